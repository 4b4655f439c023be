"""Limit cams and their contacts: where cams trip so that the unit stands at the end, and what contacts read.

Takes numbers, gives numbers and words; imports the guards. 0 degrees closed, 90 degrees open.
"""

from __future__ import annotations

import math
from typing import Literal

from diagnose.trade.guards import ensure_positive, ensure_within

QUARTER_TURN_DEG = 90.0
# From the trip to standstill where nobody has measured it; an assumption, to be said wherever it is used.
ASSUMED_DELAY_S = 0.1
# A closed contact reads less than the first, an open one more than the second; common practice, no source.
CLOSED_BELOW_OHM = 1.0
OPEN_ABOVE_OHM = 1e6
# A lamp switch trips this far before its limit switch; common practice, no source.
LAMP_LEAD_DEG = (1.0, 3.0)

ContactState = Literal["closed", "doubtful", "open"]


def coast_angle(stroke_time: float, delay: float) -> float:
    """Give the angle run after the trip: 90 / stroke_time * delay.

    Args:
        stroke_time: Seconds for a quarter turn, above 0.
        delay: Seconds from the trip to standstill, 0 or more.

    Returns:
        Degrees.

    Raises:
        ValueError: A time is out of its range.

    References:
        Definition of speed.

    >>> round(coast_angle(15, 0.1), 3)
    0.6
    """
    ensure_positive("stroke time", stroke_time, "s")
    ensure_within("delay", delay, "s", 0)
    return QUARTER_TURN_DEG / stroke_time * delay


def trip_angles(stroke_time: float, delay: float) -> tuple[float, float]:
    """Give where the cams trip: closed end 0 + coast, open end 90 - coast.

    Args:
        stroke_time: Seconds for a quarter turn, above 0.
        delay: Seconds from the trip to standstill, 0 or more.

    Returns:
        Degrees of the close trip and of the open trip.

    Raises:
        ValueError: A time is out of its range.

    References:
        End reached = trip + coast (definition).

    >>> [round(angle, 2) for angle in trip_angles(15, 0.1)]
    [0.6, 89.4]
    """
    coast = coast_angle(stroke_time, delay)
    return coast, QUARTER_TURN_DEG - coast


def ends_reached(
    close_trip: float, open_trip: float, stroke_time: float, delay: float
) -> tuple[float, float]:
    """Give where the unit stands with its cams as they are: close_trip - coast, open_trip + coast.

    Args:
        close_trip: Angle at which the close cam trips in degrees.
        open_trip: Angle at which the open cam trips in degrees.
        stroke_time: Seconds for a quarter turn, above 0.
        delay: Seconds from the trip to standstill, 0 or more.

    Returns:
        Degrees at the closed end and at the open end.

    Raises:
        ValueError: A value is out of its range.

    References:
        End reached = trip + coast (definition); the inverse of `trip_angles`.

    >>> [round(angle, 2) for angle in ends_reached(0.6, 89.4, 5, 0.1)]
    [-1.2, 91.2]
    """
    ensure_within("close trip", close_trip, "deg", -math.inf)
    ensure_within("open trip", open_trip, "deg", -math.inf)
    coast = coast_angle(stroke_time, delay)
    return close_trip - coast, open_trip + coast


def travel_of_angle(angle: float) -> float:
    """Give the travel of an angle: angle / 0.9; one per cent of a quarter turn is 0.9 degree.

    Args:
        angle: Degrees, 0 closed.

    Returns:
        Per cent open.

    Raises:
        ValueError: Not a finite number.

    References:
        Definition.

    >>> travel_of_angle(45)
    50.0
    """
    ensure_within("angle", angle, "deg", -math.inf)
    return angle / QUARTER_TURN_DEG * 100


def angle_of_travel(travel: float) -> float:
    """Give the angle of a travel: travel * 0.9.

    Args:
        travel: Per cent open.

    Returns:
        Degrees, 0 closed.

    Raises:
        ValueError: Not a finite number.

    References:
        Definition.

    >>> angle_of_travel(50)
    45.0
    """
    ensure_within("travel", travel, "%", -math.inf)
    return travel / 100 * QUARTER_TURN_DEG


def contact_state(resistance: float) -> ContactState:
    """Give what a contact is by its resistance: closed below 1 ohm, open above 1 Mohm, doubtful between.

    Args:
        resistance: ohm with the leads zeroed, the circuit dead and one side lifted; infinity for none at all.

    Returns:
        One of three words.

    Raises:
        ValueError: Below zero or no number.

    References:
        Common practice, no source.

    >>> [contact_state(ohm) for ohm in (0.1, 40, 2e6)]
    ['closed', 'doubtful', 'open']
    """
    if not resistance >= 0:
        raise ValueError(f"contact resistance must be 0 ohm or more, not {resistance:g} ohm")
    if resistance < CLOSED_BELOW_OHM:
        return "closed"
    return "open" if resistance > OPEN_ABOVE_OHM else "doubtful"


def is_pair_sound(normally_closed: float, normally_open: float, *, held: bool) -> bool:
    """Say whether a change-over contact reads as its cam holds it.

    Args:
        normally_closed: ohm from common to the normally closed terminal, 0 or more.
        normally_open: ohm from common to the normally open terminal, 0 or more.
        held: The cam holds the lever.

    Returns:
        Closed and open when free, open and closed when held; anything else is a bad switch or the wrong terminals.

    Raises:
        ValueError: A resistance below zero or no number.

    References:
        Truth table of a change-over contact (definition); the limits are common practice, no source.

    >>> is_pair_sound(2e6, 0.2, held=True), is_pair_sound(0.1, 0.1, held=True)
    (True, False)
    """
    wanted = ("open", "closed") if held else ("closed", "open")
    return (contact_state(normally_closed), contact_state(normally_open)) == wanted


def lamp_trips(close_trip: float, open_trip: float) -> tuple[float, float, float, float]:
    """Give where lamp switches trip, 1 to 3 degrees before their limit switch, so that the lamp shows first.

    Args:
        close_trip: Angle at which the close cam trips in degrees.
        open_trip: Angle at which the open cam trips in degrees.

    Returns:
        Degrees: lowest and highest of the close lamp, lowest and highest of the open lamp.

    Raises:
        ValueError: Not a finite number.

    References:
        Common practice, no source.

    >>> [round(angle, 2) for angle in lamp_trips(0.6, 89.4)]
    [1.6, 3.6, 86.4, 88.4]
    """
    ensure_within("close trip", close_trip, "deg", -math.inf)
    ensure_within("open trip", open_trip, "deg", -math.inf)
    least, most = LAMP_LEAD_DEG
    return close_trip + least, close_trip + most, open_trip - most, open_trip - least
