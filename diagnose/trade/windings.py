"""Windings, capacitor and insulation of the motor, and the balance of the three line voltages.

Takes numbers, gives numbers; may import guards.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from diagnose.trade.guards import ensure_positive, ensure_within

# NEMA MG 1 14.36: no derating up to 1 %, not to be run above 5 %; the points between are read off its curve.
DERATING = (
    (1.0, 1.00),
    (1.5, 0.97),
    (2.0, 0.95),
    (2.5, 0.93),
    (3.0, 0.89),
    (3.5, 0.85),
    (4.0, 0.82),
    (4.5, 0.78),
    (5.0, 0.76),
)
ALIKE = 5.0  # per cent: windings of one motor; common practice, no source


class ReversingCheck(NamedTuple):
    """Two windings of a reversing motor: per cent apart, open to close in per cent of their sum, words."""

    apart: float
    share_of_sum: float
    verdict: str


def unbalance(first: float, second: float, third: float) -> float:
    """Give the unbalance of three readings: greatest |x - mean| / mean * 100.

    Args:
        first: Voltage line to line in V, or winding resistance in ohm.
        second: The same.
        third: The same.

    Returns:
        Per cent of the mean.

    Raises:
        ValueError: A reading is below 0, or all are 0.

    References:
        NEMA MG 1-14.36 for voltages (seen in a reproduction); for windings common practice, no source.

    >>> round(unbalance(462, 463, 455), 3)
    1.087
    """
    readings = (first, second, third)
    for reading in readings:
        ensure_within("each reading", reading, "", 0)
    mean = sum(readings) / 3
    ensure_positive("mean of the readings", mean, "")
    return max(abs(reading - mean) for reading in readings) / mean * 100


def derating(percent: float) -> float | None:
    """Give the share of rated power a motor may be loaded with at a voltage unbalance.

    Args:
        percent: Voltage unbalance.

    Returns:
        A factor; None above 5 %, where it is not to be run.

    Raises:
        ValueError: The unbalance is below 0.

    References:
        NEMA MG 1-14.36 (limits seen in a reproduction; the points are read off a curve, +/-0.01).

    >>> round(derating(1.606), 3), derating(5.1)
    (0.966, None)
    """
    ensure_within("unbalance", percent, "%", 0)
    if percent > DERATING[-1][0]:
        return None
    for (low, at_low), (high, at_high) in pairwise(DERATING):
        if low < percent <= high:
            return at_low + (at_high - at_low) * (percent - low) / (high - low)
    return 1.0


def check_reversing(open_common: float, close_common: float, open_close: float) -> ReversingCheck:
    """Compare the windings of a reversing capacitor motor: open and close alike, and open to close their sum.

    Args:
        open_common: Ohm from the open lead to common.
        close_common: Ohm from the close lead to common.
        open_close: Ohm from the open lead to the close lead.

    Returns:
        How far the two are apart in per cent of their mean, the third in per cent of their sum, and a verdict.

    Raises:
        ValueError: A reading is below 0, infinite, or both to common are 0.

    References:
        Series connection of two like windings (derived); 5 % is common practice, no source.

    >>> check_reversing(22, 22, 44).verdict
    'healthy'
    """
    for reading in (open_common, close_common, open_close):
        ensure_within("each resistance", reading, "ohm", 0)
    total = open_common + close_common
    ensure_positive("sum of the two windings", total, "ohm")
    apart, share = abs(open_common - close_common) / (total / 2) * 100, open_close / total * 100
    if share < 10:
        verdict = "open to close near zero: capacitor shorted, or leads joined"
    elif abs(share - 100) > ALIKE:
        verdict = "open to close is not the sum: wrong lead taken for common, or something in parallel"
    else:
        verdict = "healthy" if apart <= ALIKE else "windings unlike: turns shorted in the lower one"
    return ReversingCheck(apart, share, verdict)


def run_capacitance(current: float, voltage: float, frequency: float) -> float:
    """Give a capacitance from running values: I / (2 * pi * f * V) * 1e6.

    Args:
        current: Through the capacitor, A.
        voltage: Across the capacitor, V.
        frequency: Hz.

    Returns:
        Microfarad.

    Raises:
        ValueError: A number is not above 0.

    References:
        Circuit theory.

    >>> round(run_capacitance(1.3, 200, 50), 2)
    20.69
    """
    for name, value, unit in (
        ("current", current, "A"),
        ("voltage", voltage, "V"),
        ("frequency", frequency, "Hz"),
    ):
        ensure_positive(name, value, unit)
    return current / (2 * math.pi * frequency * voltage) * 1e6


def insulation_at_40(measured: float, temperature: float) -> float:
    """Bring an insulation resistance to 40 degC: R * 0.5^((40 - t) / 10).

    Args:
        measured: Megohm after one minute.
        temperature: degC of the winding, -60 to 180.

    Returns:
        Megohm at 40 degC.

    Raises:
        ValueError: The resistance is below 0 or the temperature out of range.

    References:
        IEEE 43, 6.3: halves each 10 K, thermoplastic (from memory, unverified).

    >>> insulation_at_40(8, 20)
    2.0
    """
    ensure_within("insulation resistance", measured, "Mohm", 0)
    ensure_within("temperature", temperature, "degC", -60, 180)
    return float(measured * 0.5 ** ((40 - temperature) / 10))


def lowest_insulation(voltage: float) -> float:
    """Give the lowest insulation resistance of an old winding at 40 degC: kV + 1.

    Args:
        voltage: Rated, V, above 0.

    Returns:
        Megohm.

    Raises:
        ValueError: The voltage is not above 0.

    References:
        IEEE 43 table of minimum values (from memory, unverified); written for 750 W and more,
        using it on a small motor is common practice.

    >>> round(lowest_insulation(230), 2)
    1.23
    """
    ensure_positive("voltage", voltage, "V")
    return voltage / 1000 + 1
