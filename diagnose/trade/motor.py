"""The motor: bands of current to expect, and how often it may run.

Takes numbers, gives numbers; imports nothing of ours.
"""

from __future__ import annotations

# Tolerance of what a clamp meter reads against the plate; common practice, no source.
RUNNING_BAND = (0.5, 1.1)
STALL_BAND = (0.8, 1.2)
VOLTAGE_BAND = (0.9, 1.1)


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

    References:
        Definition of the duty factor (IEC 60034-1, duty types).

    >>> cycles_per_hour(25, 15)
    30.0
    """
    return duty_percent / 100 * 3600 / (2 * stroke_time)
