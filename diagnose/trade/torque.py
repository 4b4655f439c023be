"""Torque: margin of the actuator over the valve, and what low voltage leaves of it.

Takes numbers, gives numbers; imports nothing of ours.
"""

from __future__ import annotations

NM_PER_LBF_FT = 1.3558179483314004  # exact: 4.4482216152605 N times 0.3048 m
# Usual margin of an actuator over the greatest torque of its valve; common practice, no source.
USUAL_MARGIN = (1.25, 1.5)


def torque_margin(available: float, needed: float) -> float:
    """Give the margin: available / needed.

    Args:
        available: Torque of the actuator in N.m.
        needed: Greatest torque of the healthy valve in N.m.

    Returns:
        A ratio; below 1 it cannot work.

    References:
        Definition; 1.25 to 1.5 is usual (common practice, no source).

    >>> torque_margin(100, 80)
    1.25
    """
    return available / needed


def lowest_voltage_share(needed: float, rated: float) -> float:
    """Give the share of the nominal voltage at which an induction motor just moves the valve: sqrt(needed / rated).

    Args:
        needed: Greatest torque of the healthy valve in N.m.
        rated: Torque of the actuator at nominal voltage in N.m.

    Returns:
        A share of the nominal voltage.

    References:
        Torque goes with the square of the voltage (NEMA MG 1-12.44); the root is derived from it.

    >>> round(lowest_voltage_share(80, 100), 4)
    0.8944
    """
    return float((needed / rated) ** 0.5)
