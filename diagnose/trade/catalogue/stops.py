"""Entries of the catalogue: travel stops.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.stops import (
    PITCH_MM,
    USUAL_BACK_OFF_TURNS,
    USUAL_RANGE_DEG,
    WANTED_MARGIN_DEG,
    order_margins,
    pitch_of_thread,
    range_left,
    stop_angle,
    turns_for_angle,
)

_TURNS = Input(
    "turns",
    "turns the bolt is backed off from contact, below 0 turned in past it; 2.5 is common practice",
    "turn",
    -10,
    10,
    "2.5 turn",
    USUAL_BACK_OFF_TURNS,
)
_PITCH = Input("pitch", "pitch of the bolt's thread, see thread-pitch", "mm", 0.5, 6, "1.5 mm")
_RADIUS = Input("radius", "from the shaft centre to the contact point", "mm", 10, 500, "50 mm")
_SQUARE = "the bolt square to the arm at contact"
_PRACTICE = (
    "the unit's own instruction comes first; a torque-seated end must stay clear of its stop; "
    "never push an offset-disc or lined seat by hand"
)
_ANGLE = Result("angle", "behind the contact point", "deg")


def _back_off(turns: float, pitch: float, radius: float) -> tuple[float, float]:
    return turns * pitch, stop_angle(turns, pitch, radius)


def _range(
    contact: float, turns: float, pitch: float, radius: float, allowed: float
) -> tuple[float, float, str]:
    angle = stop_angle(turns, pitch, radius)
    left = range_left(contact, angle, allowed)
    return contact + angle, left, "within the range" if left >= 0 else "refuse: leaves the range"


def _judge_order(margin: float) -> str:
    if margin <= 0:
        return "stop met before standstill"
    return "in order" if margin >= WANTED_MARGIN_DEG else "in order, too close"


def _order(
    close_stop: float, close_trip: float, open_trip: float, open_stop: float, coast: float
) -> tuple[float, str, float, str]:
    close, opened = order_margins(close_stop, close_trip, open_trip, open_stop, coast)
    return close, _judge_order(close), opened, _judge_order(opened)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "thread-pitch",
        "Pitch of a thread",
        "How far does one turn of this bolt go?",
        (Input("thread", "size of the thread", example="M10", choices=tuple(PITCH_MM)),),
        pitch_of_thread,
        ("from the table; inch threads: 25.4 mm over threads an inch",),
        (Result("pitch", "pitch", "mm"),),
        "coarse and fine pitches exist for one diameter: ask or measure before converting turns",
        "ISO 261 and 262; ASME B1.1",
        Standing.REPRODUCED,
    ),
    Calculation(
        "stop-angle",
        "Angle of a backed-off stop",
        "How many degrees behind contact does the stop stand?",
        (_TURNS, _PITCH, _RADIUS),
        _back_off,
        ("gap = turns * pitch", "angle = degrees(atan(gap / radius))"),
        (Result("gap", "gap at the bolt", "mm"), _ANGLE),
        f"{_SQUARE}; {_PRACTICE}",
        "geometry; 2.5 turns common practice, no source",
        Standing.DERIVED,
    ),
    Calculation(
        "stop-turns",
        "Turns for an angle of the stop",
        "How many turns move the stop by this angle?",
        (
            Input("angle", "wanted angle", "deg", -15, 15, "5 deg"),
            _PITCH,
            _RADIUS,
        ),
        turns_for_angle,
        ("turns = radius * tan(radians(angle)) / pitch",),
        (Result("turns", "turns of the bolt", "turn"),),
        _SQUARE,
        "geometry",
        Standing.DERIVED,
    ),
    Calculation(
        "stop-range",
        "Stop setting against its adjusting range",
        "Does the backed-off stop stay within its adjusting range?",
        (
            Input(
                "contact", "degrees past the nominal end at which the bolt touches", "deg", -15, 15, "0 deg"
            ),
            _TURNS,
            _PITCH,
            _RADIUS,
            Input(
                "allowed",
                "adjusting range to either side of the end; 5 deg is common practice",
                "deg",
                1,
                15,
                "5 deg",
                USUAL_RANGE_DEG,
            ),
        ),
        _range,
        (
            "position = contact + degrees(atan(turns * pitch / radius))",
            "left = allowed - abs(position)",
        ),
        (
            Result("position", "stop past the nominal end", "deg"),
            Result("left", "left of the range", "deg"),
            Result("verdict", "verdict"),
        ),
        f"{_SQUARE}; {_PRACTICE}",
        "geometry; 2.5 turns and 5 degrees common practice, no source",
        Standing.DERIVED,
    ),
    Calculation(
        "stop-order",
        "Order of limit, coast and stop at both ends",
        "Does each limit stop the drive before its stop is met?",
        (
            Input("close_stop", "angle of the close stop, 0 closed", "deg", -15, 105, "-4.3 deg"),
            Input("close_trip", "angle at which the close limit trips", "deg", -10, 100, "0.6 deg"),
            Input("open_trip", "angle at which the open limit trips", "deg", -10, 100, "89.4 deg"),
            Input("open_stop", "angle of the open stop", "deg", -15, 105, "94.3 deg"),
            Input("coast", "degrees run after a trip, see cam-trip", "deg", 0, 30, "0.6 deg"),
        ),
        _order,
        (
            "close_margin = close_trip - coast - close_stop",
            "open_margin = open_stop - open_trip - coast",
            "a margin of 1 deg or more is wanted",
        ),
        (
            Result("close_margin", "from standstill to the close stop", "deg"),
            Result("close_verdict", "closed end"),
            Result("open_margin", "from standstill to the open stop", "deg"),
            Result("open_verdict", "open end"),
        ),
        "ends that seat on the limit; an end that seats on torque trips by torque, clear of its stop",
        "definition; the order and 1 degree common practice, no source",
        Standing.DERIVED,
    ),
)
