"""Travel stops: threads, turns of a stop bolt, degrees of the shaft, and the order of limit and stop.

Takes numbers, gives numbers; imports the guards and the quarter turn. The bolt is square to the arm at contact.
"""

from __future__ import annotations

import math

from diagnose.trade.cams import QUARTER_TURN_DEG
from diagnose.trade.guards import ensure_positive, ensure_within

# Practice for the setting where the unit's own instruction gives none; common practice, no source.
USUAL_BACK_OFF_TURNS = 2.5
USUAL_RANGE_DEG = 5.0
WANTED_MARGIN_DEG = 1.0
MM_PER_INCH = 25.4

# Metric threads in mm, the coarse one first: ISO 261 and 262 (seen in reproductions).
_METRIC = {
    "M5": 0.8,
    "M6": 1.0,
    "M8": 1.25,
    "M10": 1.5,
    "M10x1.25": 1.25,
    "M10x1": 1.0,
    "M12": 1.75,
    "M12x1.5": 1.5,
    "M12x1.25": 1.25,
    "M14": 2.0,
    "M16": 2.0,
    "M20": 2.5,
    "M24": 3.0,
    "M30": 3.5,
}
# Inch threads, coarse then fine; the number after the dash is threads an inch: ASME B1.1 (seen in reproductions).
_INCH = (
    *("1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13", "9/16-12", "5/8-11", "3/4-10", "7/8-9", "1-8"),
    *("1/4-28", "5/16-24", "3/8-24", "7/16-20", "1/2-20", "5/8-18", "3/4-16"),
)
PITCH_MM = _METRIC | {thread: MM_PER_INCH / int(thread.rpartition("-")[2]) for thread in _INCH}


def pitch_of_thread(thread: str) -> float:
    """Give the pitch of a thread: from the table, inch threads 25.4 / threads an inch.

    Args:
        thread: Size of a coarse metric thread ("M10"), a fine one ("M10x1.25") or an inch one ("3/8-16").

    Returns:
        mm. The same diameter has coarse and fine pitches: measure before converting turns.

    Raises:
        ValueError: A thread that is not in the table.

    References:
        ISO 261 and 262, ASME B1.1 (seen in reproductions).

    >>> pitch_of_thread("M10"), pitch_of_thread("3/8-16")
    (1.5, 1.5875)
    """
    if thread not in PITCH_MM:
        raise ValueError(f"no thread '{thread}' in the table; give its pitch in mm instead")
    return PITCH_MM[thread]


def stop_angle(turns: float, pitch: float, radius: float) -> float:
    """Give the angle a stop stands behind its contact point: atan(turns * pitch / radius).

    Args:
        turns: Turns the bolt is backed off; below 0 it is turned in past contact.
        pitch: Pitch of its thread in mm, above 0.
        radius: From the shaft centre to the contact point in mm, above 0.

    Returns:
        Degrees of the shaft.

    Raises:
        ValueError: A value is out of its range.

    References:
        Geometry; pitches of coarse metric threads in ISO 261.

    >>> round(stop_angle(2.5, 1.5, 50), 3)
    4.289
    """
    ensure_within("turns", turns, "", -math.inf)
    ensure_positive("pitch", pitch, "mm")
    ensure_positive("arm radius", radius, "mm")
    return math.degrees(math.atan(turns * pitch / radius))


def turns_for_angle(angle: float, pitch: float, radius: float) -> float:
    """Give the turns for a wanted angle: radius * tan(angle) / pitch.

    Args:
        angle: Degrees of the shaft, within 45 either way.
        pitch: Pitch of the thread in mm, above 0.
        radius: From the shaft centre to the contact point in mm, above 0.

    Returns:
        Turns of the bolt.

    Raises:
        ValueError: A value is out of its range.

    References:
        Geometry.

    >>> round(turns_for_angle(5, 1.5, 50), 3)
    2.916
    """
    ensure_within("angle", angle, "deg", -45, 45)
    ensure_positive("pitch", pitch, "mm")
    ensure_positive("arm radius", radius, "mm")
    return radius * math.tan(math.radians(angle)) / pitch


def range_left(contact: float, behind: float, allowed: float = USUAL_RANGE_DEG) -> float:
    """Give what is left of the adjusting range: allowed - |contact + behind|.

    Args:
        contact: Degrees past the nominal end at which the bolt touches; below 0 before it.
        behind: Degrees the bolt is backed off from there.
        allowed: Adjusting range of the unit to either side of the end in degrees, above 0.

    Returns:
        Degrees; below 0 the setting leaves the range, and the arm may leave the gear sector.

    Raises:
        ValueError: A value is out of its range.

    References:
        The sum is a definition; 5 degrees to either side is common practice, no source.

    >>> [round(range_left(contact, 4.289), 3) for contact in (0, 1, 2)]
    [0.711, -0.289, -1.289]
    """
    ensure_within("contact", contact, "deg", -math.inf)
    ensure_within("back-off", behind, "deg", -math.inf)
    ensure_positive("adjusting range", allowed, "deg")
    return allowed - abs(contact + behind)


def stop_margin(trip: float, coast: float, behind: float) -> float:
    """Give how far behind the standstill the stop is met: behind + trip - coast.

    Args:
        trip: Degrees before the end at which the limit trips; 0 trips at the end itself.
        coast: Degrees run after the trip, 0 or more.
        behind: Degrees the stop stands behind the end.

    Returns:
        Degrees; below 0 the drive runs into its stop before it stands.

    Raises:
        ValueError: A value is out of its range.

    References:
        Order of events: limit, coast, stop (common practice, no source); the sum is a definition.

    >>> round(stop_margin(0.0, 0.6, 4.289), 3)
    3.689
    """
    ensure_within("trip", trip, "deg", -math.inf)
    ensure_within("coast", coast, "deg", 0)
    ensure_within("stop", behind, "deg", -math.inf)
    return behind + trip - coast


def order_margins(
    close_stop: float, close_trip: float, open_trip: float, open_stop: float, coast: float
) -> tuple[float, float]:
    """Give the margin of each end: (close_trip - coast) - close_stop, and open_stop - (open_trip + coast).

    Args:
        close_stop: Angle of the close stop in degrees, 0 closed; usually below 0.
        close_trip: Angle at which the close limit trips in degrees.
        open_trip: Angle at which the open limit trips in degrees.
        open_stop: Angle of the open stop in degrees; usually above 90.
        coast: Degrees run after a trip, 0 or more.

    Returns:
        Degrees at the closed end and at the open end; the order limit, coast, stop holds where above 0.

    Raises:
        ValueError: A value is out of its range, or the limits trip in the wrong order.

    References:
        Definition. An end that seats on torque must stay clear of its stop and has no such order.

    >>> [round(margin, 3) for margin in order_margins(-4.3, 0, 90, 94.3, 0.6)]
    [3.7, 3.7]
    """
    if not close_trip < open_trip:
        raise ValueError(
            f"the close limit ({close_trip:g} deg) must trip below the open one ({open_trip:g} deg)"
        )
    return (
        stop_margin(close_trip, coast, -close_stop),
        stop_margin(QUARTER_TURN_DEG - open_trip, coast, open_stop - QUARTER_TURN_DEG),
    )
