"""Response to a step: the times to 63.2 and 86.5 per cent of a move, for a lag and for a drive at constant speed.

Takes numbers, gives numbers; imports the guards and the speed. Times count from the step of the command.
"""

from __future__ import annotations

import math

from diagnose.trade.guards import ensure_positive, ensure_within
from diagnose.trade.positioning import travel_speed

# Shares of the final change at one and two time constants.
SHARE_T63 = 1 - math.exp(-1)
SHARE_T86 = 1 - math.exp(-2)
# Reading at the rounded 63.2 and 86.5 per cent makes T86 of a pure lag a third of a per cent more than twice T63.
_MOST_T86 = 2 * 1.01


def lag_times(time_constant: float, dead_time: float) -> tuple[float, float]:
    """Give the step times of a first-order lag: T63 = dead_time + tau, T86 = dead_time + 2 tau.

    Args:
        time_constant: tau in seconds, above 0.
        dead_time: Seconds before the first movement, 0 or more.

    Returns:
        T63 and T86 in seconds.

    Raises:
        ValueError: A time is out of its range.

    References:
        Solution of the first-order equation; the terms as in ISA-75.25.01 (from memory, unverified).

    >>> lag_times(2.0, 0.5)
    (2.5, 4.5)
    """
    ensure_positive("time constant", time_constant, "s")
    ensure_within("dead time", dead_time, "s", 0)
    return dead_time + time_constant, dead_time + 2 * time_constant


def lag_of_times(t63: float, t86: float) -> tuple[float, float]:
    """Give time constant and dead time of measured step times: tau = T86 - T63, dead_time = max(0, 2 T63 - T86).

    Args:
        t63: Seconds to 63.2 per cent of the final change, above 0.
        t86: Seconds to 86.5 per cent of it, above `t63`, at most 2.02 times as long.

    Returns:
        Time constant and dead time in seconds.

    Raises:
        ValueError: The times are those of no first-order lag.

    References:
        The inverse of `lag_times`.

    >>> lag_of_times(2.5, 4.5)
    (2.0, 0.5)
    """
    ensure_positive("T63", t63, "s")
    ensure_positive("T86", t86, "s")
    if not t63 < t86 <= _MOST_T86 * t63:
        raise ValueError(
            f"T86 of a first-order lag lies above {t63:g} s, at most at {_MOST_T86 * t63:g} s, not {t86:g} s"
        )
    return t86 - t63, max(0.0, 2 * t63 - t86)


def ramp_times(step: float, stroke_time: float, dead_time: float) -> tuple[float, float]:
    """Give the step times of a drive at constant speed: dead_time + share * step * stroke_time / 100.

    Args:
        step: Final change of the travel in per cent, above 0.
        stroke_time: Seconds for the full travel, above 0.
        dead_time: Seconds before the first movement, 0 or more.

    Returns:
        T63 and T86 in seconds.

    Raises:
        ValueError: A value is out of its range.

    References:
        Kinematics (derived), with starting and stopping taken as instant.

    >>> [round(seconds, 3) for seconds in ramp_times(10, 15, 0.2)]
    [1.148, 1.497]
    """
    ensure_positive("step", step, "%")
    ensure_within("dead time", dead_time, "s", 0)
    whole = step / travel_speed(stroke_time)
    return dead_time + SHARE_T63 * whole, dead_time + SHARE_T86 * whole


def dead_time_share(dead_time: float, t63: float) -> float:
    """Give the part of T63 in which nothing moves: dead_time / T63 * 100.

    Args:
        dead_time: Seconds before the first movement, 0 to `t63`.
        t63: Seconds to 63.2 per cent of the final change, above 0.

    Returns:
        Per cent.

    Raises:
        ValueError: A time is out of its range.

    References:
        Definition.

    >>> dead_time_share(0.5, 2.5)
    20.0
    """
    ensure_positive("T63", t63, "s")
    ensure_within("dead time", dead_time, "s", 0, t63)
    return dead_time / t63 * 100
