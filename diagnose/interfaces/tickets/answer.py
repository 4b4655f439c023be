"""What a scored ticket says of one set of facts, ready to be put into many rows.

Takes a ranking and the next step, gives an Answer; may import explanation and above.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from math import fsum

from diagnose.explanation.prospects import Numbered, list_open_observations, list_questions
from diagnose.explanation.reasoner import Reasoner
from diagnose.interfaces.tickets.priority import Priority, choose_priority
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import RankedCause, Ranking, Status

MOST_CAUSES = 10
MOST_QUESTIONS = 2
OTHER_EQUIPMENT = "other_equipment"
_WHY_NONE = {
    Status.ASK_FIRST: "too little was told",
    Status.NOT_COVERED: "no listed cause explains what was told",
}
# Causes that differ by less come in order of their ids, so that no rounding decides.
_DIGITS = 9


@dataclass(frozen=True)
class Answer:
    """One answer as JSON text, in parts between which the ticket's own priority and facts stand.

    Attributes:
        head: Members `status` and `reason`.
        priority: How soon the causes want action.
        causes: Member `causes`.
        tail: Members from `next` to `rules_version`.
        shares: Every cause and `unlisted`, scaled to add up to 1.
    """

    head: str
    priority: Priority
    causes: str
    tail: str
    shares: Mapping[str, float]


def dump(value: object) -> str:
    """Write JSON in the one way that all rows share."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def order_causes(ranking: Ranking) -> list[RankedCause]:
    """List the causes that can be, likeliest first."""
    possible = [ranked for ranked in ranking.causes if not ranked.ruled_out_by]
    return sorted(possible, key=lambda ranked: (-round(ranked.probability, _DIGITS), ranked.cause))


def build_answer(knowledge: Knowledge, ranking: Ranking, following: dict[str, object] | None) -> Answer:
    """Put a ranking and what follows it into words and numbers."""
    leading = [(ranked.cause, ranked.probability) for ranked in order_causes(ranking)[:MOST_CAUSES]]
    priority = Priority(None, _WHY_NONE.get(ranking.status, ""))
    if ranking.status is Status.RANKED:
        priority = choose_priority(knowledge, leading)
    causes = [{"cause": cause, "probability": round(p, 6)} for cause, p in leading]
    still_open = list_open_observations(knowledge, ranking)
    if ranking.status is Status.ASK_FIRST:
        still_open = keep_askable(knowledge, still_open) or still_open
    questions = list_questions(knowledge, ranking, still_open)
    ask = [{"observation": q.observation, "question": q.question} for q in questions[:MOST_QUESTIONS]]
    return Answer(
        head=_members(status=ranking.status.value, reason=ranking.reason or None),
        priority=priority,
        causes=_members(causes=causes),
        tail=_members(next=following, ask=ask, rules_version=knowledge.version),
        shares=list_shares(ranking),
    )


def keep_askable(knowledge: Knowledge, still_open: Numbered) -> Numbered:
    """Keep what whoever typed the ticket can say when called back: nothing need be opened or switched for it."""
    states, observations = knowledge.access.states, knowledge.observations
    return [(number, name) for number, name in still_open if not states[observations[name].access].acts]


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


def list_shares(ranking: Ranking) -> dict[str, float]:
    """Scale the probabilities of all causes and of `unlisted` so that they add up to 1."""
    every = {**ranking.posterior.causes, UNLISTED: ranking.posterior.unlisted}
    total = fsum(every.values())
    return {cause: probability / total for cause, probability in every.items()}


def _members(**members: object) -> str:
    return dump(members)[1:-1]
