"""What a scored ticket says of one set of facts, ready to be put into many rows.

Takes a ranking and the next step, gives an Answer; may import explanation and above.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

import numpy as np

from diagnose.explanation.asking import Asker
from diagnose.explanation.prospects import ask_for, keep_askable, list_open_observations, list_questions
from diagnose.explanation.reasoner import Reasoner
from diagnose.interfaces.plan import MOST_CAUSES, MOST_QUESTIONS
from diagnose.interfaces.tickets.priority import Priority, choose_priority
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind
from diagnose.ranking.batch import RankedColumns
from diagnose.ranking.network import Floats
from diagnose.ranking.rank import RankedCause, Ranking, Status, explain_status

OTHER_EQUIPMENT = "other_equipment"
_WHY_NONE = {
    Status.ASK_FIRST: "too little was told",
    Status.NOT_COVERED: "no listed cause explains what was told",
}
# Causes that differ by less come in order of their ids, so that no rounding decides.
SAME = 9


@dataclass(frozen=True)
class Answer:
    """One answer as JSON text, in parts between which the ticket's own priority and facts stand.

    Attributes:
        head: Members `status` and `reason`.
        priority: How soon the causes want action.
        causes: Member `causes`.
        tail: Members from `next` to `rules_version`.
        chances: Probability of every cause and of `unlisted`; they need not add up to 1.
    """

    head: str
    priority: Priority
    causes: str
    tail: str
    chances: Mapping[str, float]


def dump(value: object) -> str:
    """Write JSON in the one way that all rows share."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def order_causes(ranking: Ranking) -> list[RankedCause]:
    """List the causes that can be, likeliest first."""
    possible = [ranked for ranked in ranking.causes if not ranked.ruled_out_by]
    return sorted(possible, key=lambda ranked: (-round(ranked.probability, SAME), ranked.cause))


def build_answer(knowledge: Knowledge, ranking: Ranking, following: dict[str, object] | None) -> Answer:
    """Put a ranking and what follows it into words and numbers."""
    leading = [(ranked.cause, ranked.probability) for ranked in order_causes(ranking)[:MOST_CAUSES]]
    still_open = list_open_observations(knowledge, ranking)
    if ranking.status is Status.ASK_FIRST:
        still_open = keep_askable(knowledge, still_open) or still_open
    questions = list_questions(knowledge, ranking, still_open)
    asked = [q.observation for q in questions[:MOST_QUESTIONS]]
    every = ranking.posterior.all_causes
    return _put_together(knowledge, ranking.status, leading, asked, every, following)


def build_answers(knowledge: Knowledge, asker: Asker, ranked: RankedColumns) -> Iterator[Answer]:
    """Put many rankings into words and numbers, each the equal of `build_answer` without a next step."""
    listed = ranked.causes[:-1]
    rounded = np.where(ranked.ruled_out[:, :-1], -1.0, np.round(ranked.chances[:, :-1], SAME))
    # equal ones come in order of their ids, as the columns do
    order = np.argsort(-rounded, axis=1, kind="stable")[:, :MOST_CAUSES].tolist()
    chances, ruled_out = ranked.chances.tolist(), ranked.ruled_out.tolist()
    for unit, asked in enumerate(asker.list_asked(ranked, MOST_QUESTIONS)):
        leading = [(listed[n], chances[unit][n]) for n in order[unit] if not ruled_out[unit][n]]
        every = _Chances(ranked.causes, ranked.chances[unit])
        yield _put_together(knowledge, ranked.statuses[unit], leading, asked, every)


def _put_together(  # noqa: PLR0917 - the parts of an answer in their order
    knowledge: Knowledge,
    status: Status,
    leading: Sequence[tuple[str, float]],
    asked: Iterable[str],
    chances: Mapping[str, float],
    following: dict[str, object] | None = None,
) -> Answer:
    priority = Priority(None, _WHY_NONE.get(status, ""))
    if status is Status.RANKED:
        priority = choose_priority(knowledge, leading)
    ask = [{"observation": name, "question": ask_for(knowledge, name)} for name in asked]
    return Answer(
        head=_members(status=status.value, reason=explain_status(status) or None),
        priority=priority,
        causes=_members(causes=[{"cause": cause, "probability": round(p, 6)} for cause, p in leading]),
        tail=_members(next=following, ask=ask, rules_version=knowledge.version),
        chances=chances,
    )


def build_other(knowledge: Knowledge) -> Answer:
    """Answer a ticket about another device."""
    return Answer(
        _members(status=Status.NOT_COVERED.value, reason=OTHER_EQUIPMENT),
        Priority(None, "the words speak of another device"),
        _members(causes=[]),
        _members(next=None, ask=[], rules_version=knowledge.version),
        {},
    )


def build_next(reasoner: Reasoner, step: NextStep) -> dict[str, object]:
    """Show the next step: minutes of the work itself, the access it needs, every caution in full."""
    kind = step.kind.value
    return {
        "kind": kind,
        "inspection": step.id if step.kind is StepKind.INSPECTION else None,
        "repair": step.id if step.kind is StepKind.REPAIR else None,
        "says": step.says,
        "minutes": step.minutes,
        "access": step.access[-1] if step.access else None,
        "plan_minutes": round(step.expected, 3),
        "cautions": reasoner.say_cautions(step.cautions),
    }


class _Chances(Mapping[str, float]):
    """The chances of one unit by cause, looked up in the numbers of all."""

    def __init__(self, names: tuple[str, ...], numbers: Floats) -> None:
        self._names, self._numbers = names, numbers

    def __getitem__(self, name: str) -> float:
        if name not in self._names:
            raise KeyError(name)
        return float(self._numbers[self._names.index(name)])

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def list_shares(chances: Mapping[str, float]) -> dict[str, float]:
    """Scale the probabilities of all causes and of `unlisted` so that they add up to 1."""
    total = fsum(chances.values())
    return {cause: probability / total for cause, probability in chances.items()}


def _members(**members: object) -> str:
    return dump(members)[1:-1]
