"""A figure read from a log, with the range in which it can lie.

Takes numbers, gives frozen records; imports nothing of ours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Estimate:
    """One figure with its doubt.

    Attributes:
        value: Best value; None where only the range is known.
        low: Least value that fits the log.
        high: Greatest value that fits the log; infinite where there is no bound.
        where: The place or the events it was read from.
    """

    value: float | None
    low: float
    high: float
    where: str = ""


@dataclass(frozen=True)
class Untold:
    """A figure that the log does not show, and why."""

    why: str


Reading = Estimate | Untold


def about(value: float, doubt: float, where: str = "") -> Estimate:
    """Make a figure of a value and its doubt to either side."""
    return Estimate(value, value - doubt, value + doubt, where)


def magnitude(value: float, doubt: float, where: str = "") -> Estimate:
    """Make a figure without sign; below its own doubt it is not told, only bounded."""
    size = abs(value)
    return Estimate(size if size > doubt else None, max(0.0, size - doubt), size + doubt, where)


def between(low: float, high: float, where: str = "") -> Estimate:
    """Make a figure of the largest value ruled out and the smallest one seen."""
    return Estimate(high if math.isfinite(high) and low > 0 else None, low, high, where)
