"""Entries of the catalogue: limit cams and their contacts.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from typing import Literal

from diagnose.trade.cams import (
    ASSUMED_DELAY_S,
    QUARTER_TURN_DEG,
    angle_of_travel,
    coast_angle,
    contact_state,
    ends_reached,
    is_pair_sound,
    lamp_trips,
    travel_of_angle,
    trip_angles,
)
from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing

_STROKE = Input("stroke_time", "time for a quarter turn", "s", 1, 600, "15 s")
_DELAY = Input(
    "delay",
    "from the trip to standstill; 0.1 s is assumed where nobody has measured it",
    "s",
    0,
    2,
    "0.1 s",
    ASSUMED_DELAY_S,
)
_CLOSE = Input("close_trip", "angle at which the close cam trips, 0 closed", "deg", -10, 100, "0.6 deg")
_OPEN = Input("open_trip", "angle at which the open cam trips", "deg", -10, 100, "89.4 deg")
_LIMIT_SEATED = "ends that seat on the limit; the motor keeps its full speed through the delay"


def _cam_trips(stroke_time: float, delay: float) -> tuple[float, float, float]:
    return coast_angle(stroke_time, delay), *trip_angles(stroke_time, delay)


def _cam_ends(
    close_trip: float, open_trip: float, stroke_time: float, delay: float
) -> tuple[float, float, float, float]:
    closed, opened = ends_reached(close_trip, open_trip, stroke_time, delay)
    return closed, opened, travel_of_angle(closed), travel_of_angle(opened - QUARTER_TURN_DEG)


def _contact_pair(
    normally_closed: float, normally_open: float, cam: Literal["held", "free"]
) -> tuple[str, str, str]:
    sound = is_pair_sound(normally_closed, normally_open, held=cam == "held")
    verdict = "as it should be" if sound else "bad switch or wrong terminals"
    return contact_state(normally_closed), contact_state(normally_open), verdict


def _contact(name: str, end: str, example: str) -> Input:
    return Input(
        name, f"common to {end}, leads zeroed; OL where the meter shows none", "ohm", 0, 1e9, example
    )


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "cam-trip",
        "Angles at which the cams trip",
        "Where must the cams trip so that the unit stands at its ends?",
        (_STROKE, _DELAY),
        _cam_trips,
        ("coast = 90 / stroke_time * delay", "close_trip = coast", "open_trip = 90 - coast"),
        (
            Result("coast", "run after the trip", "deg"),
            Result("close_trip", "close cam from closed", "deg"),
            Result("open_trip", "open cam from closed", "deg"),
        ),
        _LIMIT_SEATED,
        "definition of speed",
        Standing.DERIVED,
    ),
    Calculation(
        "cam-ends",
        "Ends reached with the cams as they are",
        "Where does the unit stand with these cams and this stroke time?",
        (_CLOSE, _OPEN, _STROKE, _DELAY),
        _cam_ends,
        (
            "closed = close_trip - 90 / stroke_time * delay",
            "opened = open_trip + 90 / stroke_time * delay",
            "closed_error = closed / 0.9",
            "open_error = (opened - 90) / 0.9",
        ),
        (
            Result("closed", "closed end", "deg"),
            Result("opened", "open end", "deg"),
            Result("closed_error", "past closed where below 0", "%"),
            Result("open_error", "past open where above 0", "%"),
        ),
        _LIMIT_SEATED,
        "definition: end reached is trip and coast",
        Standing.DERIVED,
    ),
    Calculation(
        "lamp-trip",
        "Angles at which lamp switches trip",
        "Where do the lamp switches trip, seen from the limit cams?",
        (_CLOSE, _OPEN),
        lamp_trips,
        (
            "close_lowest = close_trip + 1",
            "close_highest = close_trip + 3",
            "open_lowest = open_trip - 3",
            "open_highest = open_trip - 1",
        ),
        (
            Result("close_lowest", "close lamp from", "deg"),
            Result("close_highest", "close lamp to", "deg"),
            Result("open_lowest", "open lamp from", "deg"),
            Result("open_highest", "open lamp to", "deg"),
        ),
        "units with lamp switches of their own, not with lamps fed by the limit switches",
        "common practice, no source",
        Standing.PRACTICE,
    ),
    Calculation(
        "travel-of-angle",
        "Travel of an angle",
        "How much travel is this angle?",
        (Input("angle", "angle from closed", "deg", -15, 105, "45 deg"),),
        travel_of_angle,
        ("travel = angle / 0.9",),
        (Result("travel", "per cent open", "%"),),
        "a quarter turn",
        "definition",
        Standing.DERIVED,
    ),
    Calculation(
        "angle-of-travel",
        "Angle of a travel",
        "What angle is this travel?",
        (Input("travel", "per cent open", "%", -20, 120, "50 %"),),
        angle_of_travel,
        ("angle = travel * 0.9",),
        (Result("angle", "angle from closed", "deg"),),
        "a quarter turn",
        "definition",
        Standing.DERIVED,
    ),
    Calculation(
        "contact-pair",
        "What a change-over contact reads",
        "Is this change-over contact sound?",
        (
            _contact("normally_closed", "normally closed", "0.2 ohm"),
            _contact("normally_open", "normally open", "OL"),
            Input("cam", "held where the cam holds the lever", example="free", choices=("held", "free")),
        ),
        _contact_pair,
        (
            "closed below 1 ohm, open above 1 Mohm, doubtful between",
            "free wants closed and open, held wants open and closed",
        ),
        (
            Result("closed_state", "common to normally closed"),
            Result("open_state", "common to normally open"),
            Result("verdict", "verdict"),
        ),
        "supply off, proved dead, and one side lifted: windings and lamps in parallel fake a closed contact",
        "truth table (definition); the limits common practice, no source",
        Standing.PRACTICE,
    ),
)
