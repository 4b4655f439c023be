"""Travel stops: turns of a stop bolt and degrees of the shaft.

Takes numbers, gives numbers; imports nothing of ours. The bolt is square to the arm at contact.
"""

from __future__ import annotations

import math

# Practice for the setting where the unit's own instruction gives none; common practice, no source.
USUAL_BACK_OFF_TURNS = 2.5
USUAL_RANGE_DEG = 5.0
WANTED_MARGIN_DEG = 1.0


def stop_angle(turns: float, pitch: float, radius: float) -> float:
    """Give the angle a stop stands behind its contact point: atan(turns * pitch / radius).

    Args:
        turns: Turns the bolt is backed off.
        pitch: Pitch of its thread in mm.
        radius: From the shaft centre to the contact point in mm.

    Returns:
        Degrees of the shaft.

    References:
        Geometry; pitches of coarse metric threads in ISO 261.

    >>> round(stop_angle(2.5, 1.5, 50), 3)
    4.289
    """
    return math.degrees(math.atan(turns * pitch / radius))


def turns_for_angle(angle: float, pitch: float, radius: float) -> float:
    """Give the turns for a wanted angle: radius * tan(angle) / pitch.

    Args:
        angle: Degrees of the shaft.
        pitch: Pitch of the thread in mm.
        radius: From the shaft centre to the contact point in mm.

    Returns:
        Turns of the bolt.

    References:
        Geometry.

    >>> round(turns_for_angle(5, 1.5, 50), 3)
    2.916
    """
    return radius * math.tan(math.radians(angle)) / pitch


def stop_margin(trip: float, coast: float, behind: float) -> float:
    """Give how far behind the standstill the stop is met: behind + trip - coast.

    Args:
        trip: Degrees before the end at which the limit trips; 0 trips at the end itself.
        coast: Degrees run after the trip.
        behind: Degrees the stop stands behind the end.

    Returns:
        Degrees; below 0 the drive runs into its stop before it stands.

    References:
        Order of events: limit, coast, stop (common practice, no source); the sum is a definition.

    >>> round(stop_margin(0.0, 0.6, 4.289), 3)
    3.689
    """
    return behind + trip - coast
