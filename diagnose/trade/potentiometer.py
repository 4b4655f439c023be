"""The position potentiometer: resistance at a travel, its load, its contact, its gear and its spare track.

Takes numbers, gives numbers; may import guards.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.trade.guards import ensure_positive, ensure_within

QUARTER_TURN_DEG = 90.0


class Slip(NamedTuple):
    """What a slipped gear does: degrees of potentiometer and of shaft, per cent of travel."""

    potentiometer: float
    shaft: float
    travel: float


class Spare(NamedTuple):
    """Track left beyond the closed and the open end of travel, per cent of the electrical angle."""

    at_closed: float
    at_open: float


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

    Raises:
        ValueError: The electrical angle is not above 0.

    References:
        Geometry.

    >>> [wiper_resistance(1000, 15, 3, 300, angle) for angle in (0, 45, 90)]
    [50.0, 500.0, 950.0]
    """
    ensure_positive("electrical angle", electrical, "deg")
    return total * (offset + ratio * angle) / electrical


def loading_error(share: float, total: float, load: float) -> float:
    """Give the error a load makes: (k / (1 + k * (1 - k) * R / R_load) - k) * 100.

    Args:
        share: Place of the wiper, k, 0 to 1 of the track.
        total: Resistance of the potentiometer, ohm.
        load: Resistance at the wiper, ohm.

    Returns:
        Per cent of span, never above 0; greatest about -(4 / 27) * R / R_load * 100 near k = 2/3.

    Raises:
        ValueError: The share lies outside 0 to 1, or a resistance is not above 0.

    References:
        Circuit theory.

    >>> round(loading_error(0.5, 1000, 10000), 2)
    -1.22
    """
    ensure_within("place of the wiper", share, "", 0, 1)
    ensure_positive("total resistance", total, "ohm")
    ensure_positive("load", load, "ohm")
    return (share / (1 + share * (1 - share) * total / load) - share) * 100


def contact_resistance(low: float, high: float, total: float) -> float:
    """Give the resistance of the wiper's contact: (low + high - total) / 2.

    Args:
        low: Ohm from the low end to the wiper.
        high: Ohm from the wiper to the high end.
        total: Ohm end to end.

    Returns:
        Ohm; below 0 the three readings do not fit together.

    Raises:
        ValueError: A resistance is below 0.

    References:
        Circuit theory.

    >>> contact_resistance(412, 590, 1000)
    1.0
    """
    for name, value in (("low end to wiper", low), ("wiper to high end", high), ("end to end", total)):
        ensure_within(name, value, "ohm", 0)
    return (low + high - total) / 2


def gear_slip(teeth_slipped: float, teeth: float, ratio: float) -> Slip:
    """Give what slipped teeth shift: 360 / teeth * slipped, over the ratio, over 0.9 degrees a per cent.

    Args:
        teeth_slipped: Teeth the gear has slipped.
        teeth: Teeth of the potentiometer's gear, above 0.
        ratio: Turns of the potentiometer for one turn of the shaft, above 0.

    Returns:
        Degrees of the potentiometer, degrees of the shaft, per cent of a quarter turn.

    Raises:
        ValueError: Teeth or ratio are not above 0.

    References:
        Geometry.

    >>> [round(part, 2) for part in gear_slip(1, 48, 3)]
    [7.5, 2.5, 2.78]
    """
    ensure_positive("teeth of the gear", teeth, "")
    ensure_positive("ratio", ratio, "")
    turned = 360 / teeth * teeth_slipped
    return Slip(turned, turned / ratio, turned / ratio / QUARTER_TURN_DEG * 100)


def spare_track(offset: float, ratio: float, electrical: float) -> Spare:
    """Give the track left at both ends: offset / A * 100 and (A - offset - 90 * ratio) / A * 100.

    Args:
        offset: Degrees of the potentiometer at the closed end of travel.
        ratio: Turns of the potentiometer for one turn of the shaft.
        electrical: Electrical angle A of the potentiometer, degrees.

    Returns:
        Per cent of the electrical angle at the closed and at the open end; below 0 the track ends first.

    Raises:
        ValueError: The electrical angle is not above 0.

    References:
        Geometry; 2 to 5 % wanted at either end (common practice, no source).

    >>> spare_track(15, 3, 300)
    Spare(at_closed=5.0, at_open=5.0)
    """
    ensure_positive("electrical angle", electrical, "deg")
    beyond = electrical - offset - QUARTER_TURN_DEG * ratio
    return Spare(offset / electrical * 100, beyond / electrical * 100)
