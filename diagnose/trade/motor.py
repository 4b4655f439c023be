"""The motor: bands of current to expect, and how often it may run.

Takes numbers, gives numbers; may import guards.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.trade.guards import ensure_positive, ensure_within

# Tolerance of what a clamp meter reads against the plate; common practice, no source.
RUNNING_BAND = (0.5, 1.1)
STALL_BAND = (0.8, 1.2)
VOLTAGE_BAND = (0.9, 1.1)


class CurrentBands(NamedTuple):
    """What a clamp meter should read, A: running, lowest and highest, then stalled."""

    running_low: float
    running_high: float
    stall_low: float
    stall_high: float


class Duty(NamedTuple):
    """A rhythm of work: per cent of the time running, and starts an hour."""

    factor: float
    starts: float


def tolerance_band(nominal: float, band: tuple[float, float]) -> tuple[float, float]:
    """Give the lowest and highest value to expect: nominal times each factor.

    Args:
        nominal: The figure of the plate.
        band: Lowest and highest factor.

    Returns:
        Lowest and highest value, in the unit of the nominal one.

    References:
        Voltage: +/-10 % (IEC 60038; NEMA MG 1-12.44). Currents: common practice, no source.

    >>> [round(value, 1) for value in tolerance_band(230, VOLTAGE_BAND)]
    [207.0, 253.0]
    """
    return nominal * band[0], nominal * band[1]


def cycles_per_hour(duty_percent: float, stroke_time: float) -> float:
    """Give the full cycles (open and close) an hour that a duty factor allows: duty/100 * 3600 / (2 * stroke_time).

    Args:
        duty_percent: Duty factor in per cent.
        stroke_time: Seconds for a quarter turn.

    Returns:
        Cycles an hour.

    Raises:
        ValueError: A number is not above 0.

    References:
        Definition of the duty factor (IEC 60034-1, duty types).

    >>> cycles_per_hour(25, 15)
    30.0
    """
    ensure_positive("duty factor", duty_percent, "%")
    ensure_positive("stroke time", stroke_time, "s")
    return duty_percent / 100 * 3600 / (2 * stroke_time)


def expected_currents(running: float, stall: float) -> CurrentBands:
    """Give the bands of running and stall current to expect: 0.5 to 1.1 and 0.8 to 1.2 of the plate.

    Args:
        running: Running current of the plate, A.
        stall: Stall current of the plate, A, not below the running one.

    Returns:
        Lowest and highest of both, A.

    Raises:
        ValueError: A current is not above 0, or the stall current lies below the running one.

    References:
        Common practice, no source.

    >>> [round(value, 3) for value in expected_currents(0.8, 2.4)]
    [0.4, 0.88, 1.92, 2.88]
    """
    ensure_positive("running current", running, "A")
    ensure_within("stall current", stall, "A", running)
    return CurrentBands(*tolerance_band(running, RUNNING_BAND), *tolerance_band(stall, STALL_BAND))


def duty_of(run: float, rest: float) -> Duty:
    """Give duty factor and starts an hour: run / (run + rest) * 100 and 3600 / (run + rest).

    Args:
        run: Mean run time, s.
        rest: Mean rest between two runs, s, 0 or more.

    Returns:
        Per cent, and starts an hour.

    Raises:
        ValueError: The run is not above 0, or the rest below 0.

    References:
        Definition of the duty factor (IEC 60034-1, duty types S3 and S4).

    >>> duty_of(1, 3)
    Duty(factor=25.0, starts=900.0)
    """
    ensure_positive("run time", run, "s")
    ensure_within("rest", rest, "s", 0)
    return Duty(run / (run + rest) * 100, 3600 / (run + rest))


def most_starts(duty: float, run: float) -> float:
    """Give the most starts an hour at a duty factor: duty / 100 * 3600 / run.

    Args:
        duty: Duty factor allowed, per cent, above 0 to 100.
        run: Mean run time, s.

    Returns:
        Starts an hour.

    Raises:
        ValueError: A number is not above 0, or the duty above 100 %.

    References:
        Definition of the duty factor (IEC 60034-1).

    >>> most_starts(25, 1)
    900.0
    """
    ensure_positive("duty factor", duty, "%")
    ensure_within("duty factor", duty, "%", 0, 100)
    ensure_positive("run time", run, "s")
    return duty / 100 * 3600 / run
