"""Why each cause stands where it stands: weights of the counted facts, shifts, chains, exclusions.

Takes a ranking and the knowledge base, gives parts of the document; may import ranking and above.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import log10

from diagnose.chaining.trace import find_sentence
from diagnose.explanation.document import CauseView, ChainView, RuledOutView, Shifted, Weighed
from diagnose.facts.model import State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Link
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.rank import RankedCause, Ranking
from diagnose.ranking.weights import LeaveOneOut, weigh_observations

SHOWN_CAUSES = 4
_LIKELY_STATE = 0.5


def decibans(probability: float) -> float:
    """Give 10 log10 of the odds of a probability, held within 200 dB."""
    bounded = min(max(probability, 1e-20), 1 - 1e-12)
    return 10 * log10(bounded / (1 - bounded))


def explain_causes(knowledge: Knowledge, ranking: Ranking) -> tuple[CauseView, ...]:
    """Explain every cause that is not ruled out; only the first few carry weights."""
    possible = [ranked for ranked in ranking.causes if not ranked.ruled_out_by]
    shown = [ranked.cause for ranked in possible[:SHOWN_CAUSES]]
    items = ranking.counted.items
    # what other facts prove absent was told by nobody, so it is no reason of its own
    told = [item.observation for item in items if item.basis]
    loo = weigh_observations(ranking.network, items, shown, told) if told else None
    behind = _list_atoms_behind(ranking)
    return tuple(_explain_cause(knowledge, ranking, ranked, loo, behind) for ranked in possible)


def _list_atoms_behind(ranking: Ranking) -> dict[str, tuple[str, ...]]:
    """List the atoms on which each rule fired, in any of its branches, sorted."""
    atoms: dict[str, set[str]] = {}
    for firing in ranking.chained.firings:
        atoms.setdefault(firing.rule_id.partition("#")[0], set()).update(firing.atoms)
    return {rule: tuple(sorted(found)) for rule, found in atoms.items()}


def _explain_cause(
    knowledge: Knowledge,
    ranking: Ranking,
    ranked: RankedCause,
    loo: LeaveOneOut | None,
    behind: Mapping[str, tuple[str, ...]],
) -> CauseView:
    record = knowledge.causes[ranked.cause]
    weights = loo.weights.get(ranked.cause, {}) if loo else {}
    views = [_weigh(knowledge, record, item, weights[item.observation])
             for item in ranking.counted.items if item.observation in weights]  # fmt: skip
    return CauseView(
        cause=ranked.cause,
        says=record.says,
        part=record.part,
        probability=ranked.probability,
        mode=ranked.mode,
        prior_decibans=decibans(ranked.prior),
        total_decibans=decibans(ranked.probability),
        shifts=tuple(_explain_shifts(knowledge, ranking, ranked.cause, behind)),
        weights=tuple(sorted(views, key=lambda w: (-abs(w.decibans), w.observation))),
        verdict=record.in_service.verdict,
        if_left=record.in_service.if_left,
        interim=record.in_service.interim,
    )


def state_sentence(knowledge: Knowledge, observation: str, state: State) -> str:
    """Say what a state of an observation means."""
    record = knowledge.observations[observation]
    return record.says if state is State.PRESENT else record.absent


def _weigh(knowledge: Knowledge, record: Cause, item: CountedObservation, weight: float) -> Weighed:
    rule, source = name_link(knowledge, record, item.observation)
    words = dict.fromkeys(fact.origin.words for fact in item.basis if fact.origin.words)
    return Weighed(
        observation=item.observation,
        state="present" if item.state is State.PRESENT else "absent",
        statement=state_sentence(knowledge, item.observation, item.state),
        decibans=weight,
        rule=rule,
        source=source,
        words="; ".join(words),
    )


def name_link(knowledge: Knowledge, record: Cause, observation: str) -> tuple[str, str]:
    """Name the link by which a cause shows an observation, through a state where that is the way."""
    for mode, link in knowledge.all_links(record.cause):
        if link.to == observation:
            of_mode = f".{mode}" if mode else ""
            return f"{record.cause}{of_mode} {link.strength} {observation}", link.source or record.source
    for brought in _brings_about(record):
        state = knowledge.consequences[brought.to]
        for link in state.links:
            if link.to == observation:
                return (
                    f"{record.cause} {brought.strength} {brought.to} {link.strength} {observation}",
                    link.source or state.source,
                )
    return f"{record.cause} does not show {observation}", record.source


def _brings_about(record: Cause) -> Iterator[Link]:
    yield from record.brings_about
    for mode in record.modes.values():
        yield from mode.brings_about


def _explain_shifts(
    knowledge: Knowledge, ranking: Ranking, cause: str, behind: Mapping[str, tuple[str, ...]]
) -> Iterator[Shifted]:
    if cause in ranking.heard:
        yield Shifted(
            statement="The words as typed, each clause read as a whole",
            decibans=ranking.heard[cause],
            rule="mentions.yaml",
            source=knowledge.mentions.source,
        )
    for shift in ranking.chained.shifts.get(cause, ()):
        sentence = find_sentence(knowledge, shift.rule_id) or ", ".join(behind[shift.rule_id])
        yield Shifted(
            statement=sentence,
            decibans=shift.decibans,
            rule=shift.rule_id,
            source=knowledge.causes[cause].source,
        )


def explain_ruled_out(knowledge: Knowledge, ranking: Ranking) -> tuple[RuledOutView, ...]:
    """List the causes this unit cannot have, with the reason."""
    return tuple(
        RuledOutView(
            cause=ranked.cause,
            says=knowledge.causes[ranked.cause].says,
            reason=find_sentence(knowledge, ranked.ruled_out_by[0]),
            rule=ranked.ruled_out_by[0],
        )
        for ranked in ranking.causes
        if ranked.ruled_out_by
    )


def explain_chains(knowledge: Knowledge, ranking: Ranking) -> tuple[ChainView, ...]:
    """Tell root, state and what was seen, for the likely states that the first cause brings about."""
    first = next((r.cause for r in ranking.causes if not r.ruled_out_by), None)
    if first is None:
        return ()
    seen = {item.observation for item in ranking.counted.items if item.state is State.PRESENT}
    brought = {link.to for link in _brings_about(knowledge.causes[first])}
    views = []
    for state in sorted(brought):
        probability = ranking.posterior.states.get(state, 0.0)
        shows = [link.to for link in knowledge.consequences[state].links if link.to in seen]
        if probability >= _LIKELY_STATE and shows:
            says = tuple(knowledge.observations[name].says for name in shows)
            record = knowledge.consequences[state]
            views.append(
                ChainView(root=first, state=state, says=record.says, seen=says, probability=probability)
            )
    return tuple(views)


def explain_runner_up(views: tuple[CauseView, ...]) -> str | None:
    """Say by which fact the second cause loses most against the first."""
    if len(views) < 2 or not views[0].weights:
        return None
    first, second = views[0], views[1]
    theirs = {weight.observation: weight.decibans for weight in second.weights}
    gaps = [(w.decibans - theirs.get(w.observation, 0.0), w) for w in first.weights]
    gap, weight = max(gaps, key=lambda pair: (pair[0], pair[1].observation))
    if gap <= 0:
        return None
    return (
        f"{second.cause} ({second.probability * 100:.0f} %) loses most by: {weight.statement} "
        f"({weight.decibans:+.1f} dB for {first.cause}, {theirs.get(weight.observation, 0.0):+.1f} dB for it)"
    )
