"""Entries of the catalogue: the position potentiometer.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.potentiometer import (
    contact_resistance,
    gear_slip,
    loading_error,
    spare_track,
    wiper_resistance,
)

_TOTAL = Input("total", "resistance end to end", "ohm", 50, 100000, "1000 ohm")
_OFFSET = Input("offset", "degrees of the potentiometer at closed", "deg", -360, 3600, "15 deg")
_RATIO = Input("ratio", "turns of the potentiometer for one turn of the shaft", "", 0.1, 40, "3")
_ELECTRICAL = Input("electrical", "electrical angle of the potentiometer", "deg", 10, 3600, "300 deg")


def _loading(share: float, total: float, load: float) -> float:
    return loading_error(share / 100, total, load)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "wiper-resistance",
        "Resistance from the low end to the wiper",
        "What should the potentiometer read at this angle?",
        (
            _TOTAL,
            _OFFSET,
            _RATIO,
            _ELECTRICAL,
            Input("angle", "angle of the shaft, 0 closed", "deg", -5, 95, "45 deg"),
        ),
        wiper_resistance,
        ("resistance = total * (offset + ratio * angle) / electrical",),
        (Result("resistance", "low end to wiper", "ohm"),),
        "a linear track",
        "geometry",
        Standing.DERIVED,
    ),
    Calculation(
        "pot-loading",
        "Error from the load on the wiper",
        "How far is the position off because of what hangs on the wiper?",
        (
            Input("share", "place of the wiper on the track", "%", 0, 100, "50 %"),
            _TOTAL,
            Input("load", "resistance at the wiper", "ohm", 1, 100000000, "10 kohm"),
        ),
        _loading,
        ("error = (share / 100 / (1 + share / 100 * (1 - share / 100) * total / load) - share / 100) * 100",),
        (Result("error", "error of the span", "%"),),
        "best with a load of more than five times the potentiometer; none at both ends",
        "circuit theory",
        Standing.DERIVED,
    ),
    Calculation(
        "wiper-contact",
        "Resistance of the wiper's contact",
        "How good is the wiper's contact?",
        (
            Input("low", "low end to wiper", "ohm", 0, 1000000, "412 ohm"),
            Input("high", "wiper to high end", "ohm", 0, 1000000, "590 ohm"),
            _TOTAL,
        ),
        contact_resistance,
        ("contact = (low + high - total) / 2",),
        (Result("contact", "wiper contact", "ohm"),),
        "supply off, proved dead, all wires lifted; below 0 the three readings do not fit together",
        "circuit theory",
        Standing.DERIVED,
    ),
    Calculation(
        "gear-slip",
        "Shift by slipped teeth",
        "How far is the position off after the potentiometer's gear has slipped?",
        (
            Input("teeth_slipped", "teeth it has slipped", "", -200, 200, "1"),
            Input("teeth", "teeth of the potentiometer's gear", "", 5, 500, "48"),
            _RATIO,
        ),
        gear_slip,
        (
            "potentiometer = 360 / teeth * teeth_slipped",
            "shaft = potentiometer / ratio",
            "travel = shaft / 90 * 100",
        ),
        (
            Result("potentiometer", "of the potentiometer", "deg"),
            Result("shaft", "of the shaft", "deg"),
            Result("travel", "of travel", "%"),
        ),
        "a quarter turn of the shaft",
        "geometry",
        Standing.DERIVED,
    ),
    Calculation(
        "spare-track",
        "Track left at both ends",
        "Does the potentiometer stay on its track over the whole travel?",
        (_OFFSET, _RATIO, _ELECTRICAL),
        spare_track,
        (
            "at_closed = offset / electrical * 100",
            "at_open = (electrical - offset - 90 * ratio) / electrical * 100",
        ),
        (Result("at_closed", "left at closed", "%"), Result("at_open", "left at open", "%")),
        "below 0 the track ends first; 2 to 5 % wanted at either end (common practice, no source)",
        "geometry",
        Standing.DERIVED,
    ),
)
