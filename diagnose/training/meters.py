"""A number that a meter would show where the case gives none: inside the band of what is to be seen.

Takes a reading and the states it decides, gives the number as text; may import facts and knowledge.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import floor, log10

from diagnose.facts.model import State
from diagnose.facts.readings import Measured, decide
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.seeing import Decision
from diagnose.knowledge.unit import UnitRecord

# A number clear of a limit lies within this part of the limit beyond it, and within so many
# uncertainties: estimates, no source.
_BEYOND = 0.3
_UNCERTAINTIES = 6.0
# Resistances spread over decades: so far beyond the limit lies what is plainly sound or plainly bad.
_DECADES = 4.0


@dataclass(frozen=True)
class Meter:
    """One reading at one unit."""

    knowledge: Knowledge
    reading: str
    unit: UnitRecord | None


def choose_number(meter: Meter, states: Mapping[str, State], share: float) -> str | None:
    """Choose a number that decides exactly what is so.

    Args:
        meter: The reading at the unit.
        states: State of every observation.
        share: Where in the band, 0 to 1.

    Returns:
        The number with its unit; None where no number says all of it, or a nominal value is not known.
    """
    band = _find_band(meter, states)
    if band is None:
        return None
    record = meter.knowledge.readings[meter.reading]
    digits = max(0, -floor(log10(record.uncertainty)))
    number = round(band[0] + (0.2 + 0.6 * share) * (band[1] - band[0]), digits)
    try:
        facts = decide(meter.knowledge, Measured(meter.reading, number, record.uncertainty), meter.unit)
    except ValueError:
        return None
    fits = all(fact.state is states[fact.observation] for fact in facts)
    return f"{number:.{digits}f} {record.unit}" if fits else None


def _find_band(meter: Meter, states: Mapping[str, State]) -> tuple[float, float] | None:
    """Find the numbers that fit the states, held near the limit where the other end is open."""
    record = meter.knowledge.readings[meter.reading]
    lowest, highest = None, None
    for decision in record.decides:
        limit = _limit_of(decision, meter.unit)
        if limit is None:
            return None
        is_below = (decision.when == "below") == (states[decision.observation] is State.PRESENT)
        if is_below:
            highest = limit if highest is None else min(highest, limit)
        else:
            lowest = limit if lowest is None else max(lowest, limit)
    low, high = (_close_by_decades if record.unit.endswith("ohm") else _close)(
        lowest, highest, record.uncertainty
    )
    low, high = max(low, record.lowest), min(high, record.highest)
    return (low, high) if low < high else None


def _close(lowest: float | None, highest: float | None, uncertainty: float) -> tuple[float, float]:
    """Clear both ends of their limits by the uncertainty and close an open end near the other."""
    low, high = (lowest or 0.0) + uncertainty, (highest or 0.0) - uncertainty
    if highest is None:
        high = low + max(uncertainty, min(abs(low) * _BEYOND, _UNCERTAINTIES * uncertainty))
    if lowest is None:
        low = high - max(uncertainty, min(abs(high) * _BEYOND, _UNCERTAINTIES * uncertainty))
    return low, high


def _close_by_decades(lowest: float | None, highest: float | None, uncertainty: float) -> tuple[float, float]:
    """Close an open end some decades away, where a resistance is plainly good or plainly bad."""
    if lowest is None and highest is not None:
        return highest * 10**-_DECADES, highest * 10 ** (-_DECADES / 2)
    if highest is None and lowest is not None:
        return lowest * 10 ** (_DECADES / 4), lowest * 10 ** (_DECADES / 2)
    return _close(lowest, highest, uncertainty)


def _limit_of(decision: Decision, unit: UnitRecord | None) -> float | None:
    """Give the limit in the unit of the reading; None where the nominal value is not known."""
    if decision.limit_of is None:
        return decision.limit
    nominal = getattr(unit, decision.limit_of) if unit is not None else None
    return None if nominal is None else float(nominal) * decision.factor
