"""Is a case fit to learn from: can it be solved, can its cause be confirmed, does the call give it away.

Takes a prepared rule base and cases, gives located faults; may import ranking and above.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import snowballstemmer

from diagnose.errors import Fault
from diagnose.facts.case_file import Case, Confirmed, evidence_of_case
from diagnose.facts.model import State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Confirmation
from diagnose.knowledge.yaml_nodes import Key, read_yaml
from diagnose.next_step.access import is_excluded
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import Prepared, Ranking, Status, rank_evidence
from diagnose.ranking.weights import weigh_observations
from diagnose.training.answering import is_hearsay

# The confirmed cause must stand so high once all that the case states is known.
_WITHIN = 3
# A sentence of the call gives a cause away that has this part of the words of its name; names of
# fewer words must be there whole.
_GIVEN_AWAY, _FEW_WORDS = 0.75, 4
_SAY_NOTHING = (
    "a an and are as at be been before but by can does for from had has have if in into is it its no not of off on "
    "only or out over so than that the then there they this to too up was were what when where which while with"
)
_EMPTY = frozenset(_SAY_NOTHING.split())
_WORST = 2


def check_lesson(prepared: Prepared, case: Case, path: Path) -> tuple[Fault, ...]:
    """Check that a case can be played as a lesson.

    Args:
        prepared: The rule base made ready.
        case: A case that loaded without fault; one without a confirmed cause is no lesson and passes.
        path: Its file.

    Returns:
        The faults, each at its place in the file.
    """
    if case.confirmed is None:
        return ()
    ranking = rank_evidence(prepared, evidence_of_case(case, prepared.knowledge))
    found = [
        *_check_solvable(ranking, case.confirmed),
        *_check_confirmable(prepared.knowledge, ranking, case.confirmed),
        *_check_call(prepared.knowledge, case, case.confirmed),
    ]
    if not found:
        return ()
    document = read_yaml(path)
    return tuple(document.fault(key, check, wrong, cure) for key, check, wrong, cure in found)


_Found = tuple[Key, str, str, str]


def _check_solvable(ranking: Ranking, confirmed: Confirmed) -> Iterator[_Found]:
    """Find a confirmed cause that all the case states does not bring within the first three."""
    if confirmed.cause == UNLISTED:
        if ranking.status is not Status.NOT_COVERED:
            wrong = f"'{ranking.causes[0].cause}' explains the call, yet nothing listed was found"
            yield ("confirmed", "cause"), "unsolvable", wrong, "state the facts that speak against it"
        return
    order = [ranked.cause for ranked in ranking.causes]
    place = order.index(confirmed.cause) + 1
    if place > _WITHIN:
        wrong = (
            f"'{confirmed.cause}' stands at place {place} once all that the case states is known, behind "
            f"{', '.join(order[:_WITHIN])}{_say_against(ranking, confirmed.cause)}"
        )
        cure = "state what tells them apart, or mend the strengths"
        yield ("confirmed", "cause"), "unsolvable", wrong, cure


def _say_against(ranking: Ranking, cause: str) -> str:
    """Say which facts of the case speak most against a cause."""
    ruled_out = next((r.ruled_out_by for r in ranking.causes if r.cause == cause), ())
    if ruled_out:
        return f"; it is ruled out by {', '.join(ruled_out)}"
    told = [item.observation for item in ranking.counted.items if item.basis]
    if not told:
        return "; the case states no fact"
    weights = weigh_observations(ranking.network, ranking.counted.items, [cause], told).weights[cause]
    worst = sorted((weights[name], name) for name in told if weights.get(name, 0.0) < 0)[:_WORST]
    return "".join(f"; {name} speaks {-weight:.0f} dB against it" for weight, name in worst)


def _check_confirmable(knowledge: Knowledge, ranking: Ranking, confirmed: Confirmed) -> Iterator[_Found]:
    """Find a cause that no inspection can confirm, for the case states the contrary of what each shows.

    What the case leaves open is drawn from the strengths, given the cause; so it can be had.
    """
    if confirmed.cause == UNLISTED:
        return
    seen = {b.observation: b.state for b in ranking.beliefs if not is_hearsay(b)}
    ways = knowledge.causes[confirmed.cause].confirmed_by
    reasons = [_why_not(knowledge, ranking, way, seen) for way in ways]
    if all(reasons):
        wrong = f"nothing can confirm '{confirmed.cause}': {'; '.join(reasons)}"
        yield ("confirmed", "cause"), "unconfirmable", wrong, "correct the facts, or the cause"


def _why_not(knowledge: Knowledge, ranking: Ranking, way: Confirmation, seen: Mapping[str, State]) -> str:
    """Say why one inspection cannot confirm; empty where it can."""
    if is_excluded(knowledge.looks[way.inspection].excluded_when, ranking.chained.atoms):
        return f"{way.inspection} cannot be done on this unit"
    against = [
        name
        for name, state in way.expects.items()
        if seen.get(name, State.UNKNOWN) not in {State.UNKNOWN, State(state)}
    ]
    return f"{way.inspection} would show {', '.join(against)} otherwise" if against else ""


def _check_call(knowledge: Knowledge, case: Case, confirmed: Confirmed) -> Iterator[_Found]:
    """Find a sentence of title or call that has the words of the cause's name, sentence or remedy."""
    if confirmed.cause == UNLISTED:
        return
    record = knowledge.causes[confirmed.cause]
    names = (confirmed.cause, record.says, knowledge.remedy(confirmed.cause, confirmed.mode).says)
    for section, text in (("title", case.title), ("call", case.call)):
        for sentence in re.split(r"(?<=[.!?;:])\s+", text):
            told = next((name for name in names if _gives_away(sentence, name)), None)
            if told is not None:
                wrong = f"'{' '.join(sentence.split())[:80]}' gives the cause away: '{told}'"
                yield (section,), "given-away", wrong, "tell what was noticed, not what it was"
                break


def _gives_away(sentence: str, name: str) -> bool:
    meant, said = _fold(name), _fold(sentence)
    needed = 1.0 if len(meant) < _FEW_WORDS else _GIVEN_AWAY
    return bool(meant) and len(meant & said) >= needed * len(meant)


@cache
def _fold(text: str) -> frozenset[str]:
    """Fold a text to the stems of the words that say something."""
    words = re.findall(r"[a-z]+", text.lower().replace("_", " "))
    return frozenset(snowballstemmer.stemmer("english").stemWords([w for w in words if w not in _EMPTY]))
