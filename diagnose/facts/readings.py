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
    member that holds is told, since it already denies the others; while a more drastic
    one is undecided a milder one is too, for telling it would deny the drastic one.

    Raises:
        ValueError: The value lies outside the reading's range.
    """
    reading = knowledge.readings[measured.reading]
    ensure_in_range(reading, measured.value)
    limits = {decision: _limit(decision, unit) for decision in reading.decides}
    told = {
        decision.observation: State.UNKNOWN if limit is None else _compare(decision, measured, limit)
        for decision, limit in limits.items()
    }
    facts = []
    for decision, limit in limits.items():
        state = told[decision.observation]
        worse = _states_of_worse(knowledge, decision.observation, told)
        if limit is None or State.PRESENT in worse:
            continue
        if state is State.PRESENT and State.UNKNOWN in worse:
            state = State.UNKNOWN
        facts.append(_fact(knowledge, measured, decision.observation, state))
    return tuple(facts)


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


def _states_of_worse(knowledge: Knowledge, observation: str, told: dict[str, State]) -> set[State]:
    """Collect what the reading says of the more drastic members of the observation's group."""
    members = knowledge.group_of(observation)
    earlier = members[: members.index(observation)] if members else ()
    return {told[member] for member in earlier if member in told}


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
