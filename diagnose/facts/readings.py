"""Readings become observations: every comparison of a number is made here, once.

Takes a reading's value in its unit, gives facts; may import knowledge and facts.model.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.facts.model import Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.seeing import Decision, Reading
from diagnose.knowledge.unit import UnitRecord


@dataclass(frozen=True)
class Measured:
    """One reading as measured: value and uncertainty in the reading's own unit."""

    reading: str
    value: float
    uncertainty: float
    words: str = ""
    after: str = ""


def ensure_in_range(reading: Reading, value: float) -> None:
    """Refuse an impossible value.

    Raises:
        ValueError: Naming the allowed range.
    """
    if not reading.lowest <= value <= reading.highest:
        raise ValueError(
            f"{value:g} {reading.unit} cannot be; {reading.says[0].lower()}{reading.says[1:]} lies between "
            f"{reading.lowest:g} and {reading.highest:g} {reading.unit}"
        )


def decide(knowledge: Knowledge, measured: Measured, unit: UnitRecord | None) -> tuple[Fact, ...]:
    """Turn one reading into facts on the observations it decides.

    A value nearer to a limit than its uncertainty decides nothing there: the fact is
    unknown and says "too near to call". Of an exclusive group only the most drastic
    member that holds is told, since it already denies the others.

    Raises:
        ValueError: The value lies outside the reading's range.
    """
    reading = knowledge.readings[measured.reading]
    ensure_in_range(reading, measured.value)
    told: dict[str, State] = {}
    for decision in reading.decides:
        limit = _limit(decision, unit)
        if limit is not None:
            told[decision.observation] = _compare(decision, measured, limit)
    return tuple(
        _fact(knowledge, measured, observation, state)
        for observation, state in told.items()
        if not _is_denied_by_worse(knowledge, observation, told)
    )


def _limit(decision: Decision, unit: UnitRecord | None) -> float | None:
    if decision.limit_of is None:
        return decision.limit
    nominal = getattr(unit, decision.limit_of) if unit is not None else None
    return None if nominal is None else float(nominal) * decision.factor


def _compare(decision: Decision, measured: Measured, limit: float) -> State:
    # just at limit ± uncertainty is still too near, whatever the last binary digit says
    if abs(measured.value - limit) <= measured.uncertainty * (1 + 1e-9):
        return State.UNKNOWN
    is_below = measured.value < limit
    return State.PRESENT if is_below == (decision.when == "below") else State.ABSENT


def _is_denied_by_worse(knowledge: Knowledge, observation: str, told: dict[str, State]) -> bool:
    members = knowledge.group_of(observation)
    earlier = members[: members.index(observation)] if members else ()
    return any(told.get(member) is State.PRESENT for member in earlier)


def _fact(knowledge: Knowledge, measured: Measured, observation: str, state: State) -> Fact:
    reading = knowledge.readings[measured.reading]
    words = measured.words or f"{measured.value:g} {reading.unit}"
    told = f"{reading.says} {words}"
    if state is State.UNKNOWN:
        told += f" (too near to call within {measured.uncertainty:g} {reading.unit}, measure again)"
    likelihood = trust_pair(knowledge, OriginKind.METER, state)
    return Fact(observation, state, Origin(OriginKind.METER, told), likelihood, measured.after)


def trust_pair(knowledge: Knowledge, kind: OriginKind, state: State) -> tuple[float, float]:
    """Give (P(told | present), P(told | absent)) of an origin's word for a state."""
    right, wrong = knowledge.settings.trust[kind.value]
    if state is State.UNKNOWN:
        return (1.0, 1.0)
    return (right, wrong) if state is State.PRESENT else (wrong, right)
