"""Limit cams: where they trip so that the unit stands at the end after its coast.

Takes numbers, gives numbers; imports nothing of ours. 0 degrees closed, 90 degrees open.
"""

from __future__ import annotations

QUARTER_TURN_DEG = 90.0
# From the trip to standstill where nobody has measured it; an assumption, to be said wherever it is used.
ASSUMED_DELAY_S = 0.1


def coast_angle(stroke_time: float, delay: float) -> float:
    """Give the angle run after the trip: 90 / stroke_time * delay.

    Args:
        stroke_time: Seconds for a quarter turn.
        delay: Seconds from the trip to standstill.

    Returns:
        Degrees.

    References:
        Definition of speed.

    >>> round(coast_angle(15, 0.1), 3)
    0.6
    """
    return QUARTER_TURN_DEG / stroke_time * delay


def trip_angles(stroke_time: float, delay: float) -> tuple[float, float]:
    """Give where the cams trip: closed end 0 + coast, open end 90 - coast.

    Args:
        stroke_time: Seconds for a quarter turn.
        delay: Seconds from the trip to standstill.

    Returns:
        Degrees of the close trip and of the open trip.

    References:
        End reached = trip + coast (definition).

    >>> [round(angle, 2) for angle in trip_angles(15, 0.1)]
    [0.6, 89.4]
    """
    coast = coast_angle(stroke_time, delay)
    return coast, QUARTER_TURN_DEG - coast
