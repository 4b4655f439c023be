"""A figure against its limit: within, outside, or "cannot tell" where the log is too coarse.

Takes readings and limits, gives `Figure` models; may import estimate, report and knowledge.
"""

from __future__ import annotations

import math

from diagnose.facts.stroke.estimate import Estimate, Reading, Untold
from diagnose.facts.stroke.report import FIGURES, Figure, Verdict
from diagnose.knowledge.stroke_limits import FigureId, StrokeLimit, StrokeLimits
from diagnose.knowledge.unit import UnitRecord


def judge(name: FigureId, reading: Reading, limits: StrokeLimits, unit: UnitRecord | None) -> Figure:
    """Hold a figure against its limit.

    Args:
        name: The figure.
        reading: What the log shows of it.
        limits: The limits.
        unit: The unit record, for limits that are a factor on one of its fields.

    Returns:
        The figure with a verdict; it passes or fails only with its whole range.
    """
    says, unit_of_figure = FIGURES[name]
    limit = limits.limits.get(name)
    bound = bound_of(limit, unit)
    words = say_bound(limit, bound, unit_of_figure)
    source = limit.source if limit else ""
    if isinstance(reading, Untold):
        verdict: Verdict = "cannot tell" if limit else "not judged"
        return Figure(
            id=name,
            says=says,
            unit=unit_of_figure,
            where=reading.why,
            verdict=verdict,
            bound=words,
            source=source,
        )
    return Figure(
        id=name,
        says=says,
        unit=unit_of_figure,
        value=reading.value,
        low=reading.low,
        high=reading.high if math.isfinite(reading.high) else None,
        where=reading.where,
        verdict=_verdict(reading, limit, bound),
        bound=words,
        source=source,
    )


def bound_of(limit: StrokeLimit | None, unit: UnitRecord | None) -> float | None:
    """Give the number of a limit; None where there is none or the unit record lacks its field."""
    if limit is None:
        return None
    factor = limit.at_most if limit.at_most is not None else limit.at_least
    if factor is None or limit.of is None:
        return factor
    field = getattr(unit, limit.of) if unit is not None else None
    return None if field is None else factor * float(field)


def say_bound(limit: StrokeLimit | None, bound: float | None, unit_of_figure: str) -> str:
    """Say a limit in words."""
    if limit is None:
        return ""
    side = "max" if limit.at_most is not None else "min"
    if bound is None:
        factor = limit.at_most if limit.at_most is not None else limit.at_least
        return f"{side} {factor:g} x {limit.of}, which is not on record"
    return f"{side} {bound:.4g} {unit_of_figure}".strip()


def _verdict(reading: Estimate, limit: StrokeLimit | None, bound: float | None) -> Verdict:
    if limit is None or bound is None:
        return "not judged"
    return compare(reading.low, reading.high, bound, is_most=limit.at_most is not None)


def compare(low: float, high: float, bound: float, *, is_most: bool) -> Verdict:
    """Compare the size of a range with a bound: it passes or fails as a whole, or cannot be told."""
    least = 0.0 if low <= 0 <= high else min(abs(low), abs(high))
    most = max(abs(low), abs(high))
    if is_most:
        return "within" if most <= bound + 1e-9 else "outside" if least > bound else "cannot tell"
    return "within" if least >= bound - 1e-9 else "outside" if most < bound else "cannot tell"
