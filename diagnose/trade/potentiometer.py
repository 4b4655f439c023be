"""The position potentiometer: resistance at a travel.

Takes numbers, gives numbers; imports nothing of ours.
"""

from __future__ import annotations


def wiper_resistance(total: float, offset: float, ratio: float, electrical: float, angle: float) -> float:
    """Give the resistance from the low end to the wiper: total * (offset + ratio * angle) / electrical.

    Args:
        total: Resistance end to end in ohm.
        offset: Degrees of the potentiometer at the closed end of travel.
        ratio: Turns of the potentiometer for one turn of the shaft.
        electrical: Electrical angle of the potentiometer in degrees.
        angle: Angle of the shaft in degrees, 0 closed.

    Returns:
        Ohm.

    References:
        Geometry.

    >>> [wiper_resistance(1000, 15, 3, 300, angle) for angle in (0, 45, 90)]
    [50.0, 500.0, 950.0]
    """
    return total * (offset + ratio * angle) / electrical
