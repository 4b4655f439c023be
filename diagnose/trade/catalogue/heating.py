"""Entries of the catalogue: heating of the motor and its thermal cut-out.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.heating import (
    allowed_strokes,
    heated_rise,
    periodic_rise,
    steady_rise,
    time_to_reset,
    time_to_trip,
)

_STEADY = Input("steady", "rise it would end at if it ran for ever", "K", 1, 1000, "160 K")
_HEATING = Input(
    "heating", "time constant of heating, a guess unless measured", "min", 0.1, 600, "20 min", 20.0
)
_COOLING = Input(
    "cooling", "time constant of cooling at rest, a guess unless measured", "min", 0.1, 600, "30 min", 30.0
)
_START = Input("start", "rise at the start", "K", 0, 300, "0 K", 0.0)
_CUT_OUT = Input("cut_out", "temperature at which the cut-out opens", "degC", 40, 250, "120 degC")
_AMBIENT = Input("ambient", "temperature of the air around", "degC", -60, 100, "40 degC")
_MODEL = "one time constant, where a real motor has two or more: for plausibility only (common practice, no source)"
_SOURCE = "first-order heating, textbook; time constants of the motor are not on its plate"


def _trip(steady: float, heating: float, cut_out: float, ambient: float, start: float) -> tuple[float, float]:
    trip = cut_out - ambient
    return trip, time_to_trip(steady, heating, trip, start)


def _reset(cut_out: float, reset: float, ambient: float, cooling: float) -> float:
    return time_to_reset(cut_out - ambient, reset - ambient, cooling)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "heating",
        "Rise after a run",
        "How hot does the motor get in this time?",
        (_STEADY, _HEATING, Input("minutes", "run time", "min", 0, 1440, "10 min"), _START),
        heated_rise,
        ("rise = steady * (1 - exp(-minutes / heating)) + start * exp(-minutes / heating)",),
        (Result("rise", "rise above ambient", "K"),),
        _MODEL,
        _SOURCE,
        Standing.PRACTICE,
    ),
    Calculation(
        "steady-rise",
        "Steady rise behind a short-time rating",
        "What would the motor end at, going by its short-time rating?",
        (
            Input("rise", "rise reached after the rated time", "K", 1, 300, "80 K"),
            Input("minutes", "rated run time, as in S2 15 min", "min", 0.1, 600, "15 min"),
            _HEATING,
        ),
        steady_rise,
        ("steady = rise / (1 - exp(-minutes / heating))",),
        (Result("steady", "steady rise", "K"),),
        _MODEL,
        f"{_SOURCE}; S2 is a duty type of IEC 60034-1",
        Standing.PRACTICE,
    ),
    Calculation(
        "time-to-cut-out",
        "Run time until the cut-out opens",
        "How long can it run before its cut-out opens?",
        (_STEADY, _HEATING, _CUT_OUT, _AMBIENT, _START),
        _trip,
        ("trip = cut_out - ambient", "time = heating * log((steady - start) / (steady - trip))"),
        (
            Result("trip", "rise at which it opens", "K"),
            Result("time", "run time", "min", endless="never opens"),
        ),
        _MODEL,
        _SOURCE,
        Standing.PRACTICE,
    ),
    Calculation(
        "time-to-reset",
        "Rest until the cut-out closes",
        "How long must it rest before it runs again?",
        (
            _CUT_OUT,
            Input("reset", "temperature at which it closes, 15 to 35 K lower", "degC", 0, 250, "90 degC"),
            _AMBIENT,
            _COOLING,
        ),
        _reset,
        ("time = cooling * log((cut_out - ambient) / (reset - ambient))",),
        (Result("time", "rest", "min"),),
        _MODEL,
        _SOURCE,
        Standing.PRACTICE,
    ),
    Calculation(
        "periodic-heating",
        "Highest rise of a duty",
        "How hot does the motor get in this rhythm if it goes on for ever?",
        (
            _STEADY,
            Input("run", "minutes of each run", "min", 0.01, 600, "1 min"),
            Input("rest", "minutes of each rest", "min", 0, 1440, "3 min"),
            _HEATING,
            _COOLING,
        ),
        periodic_rise,
        ("highest = steady * (1 - exp(-run / heating)) / (1 - exp(-run / heating) * exp(-rest / cooling))",),
        (Result("highest", "highest rise", "K"),),
        _MODEL,
        _SOURCE,
        Standing.PRACTICE,
    ),
    Calculation(
        "strokes-allowed",
        "Strokes before the cut-out opens",
        "How many strokes from cold at this ambient before the cut-out opens?",
        (
            _STEADY,
            _CUT_OUT,
            _AMBIENT,
            Input("stroke", "time of a stroke", "min", 0.01, 60, "15 s"),
            Input("pause", "time between two strokes", "min", 0, 1440, "5 s"),
            _HEATING,
            _COOLING,
        ),
        allowed_strokes,
        (
            "highest = steady * (1 - exp(-stroke / heating)) / (1 - exp(-stroke / heating - pause / cooling))",
            "strokes is ln(1 - (cut_out - ambient) / highest) / (-stroke / heating - pause / cooling), rounded down",
        ),
        (
            Result("strokes", "strokes", "", endless="no limit: it never opens"),
            Result("highest", "rise if it went on for ever", "K"),
        ),
        f"starting at ambient; {_MODEL}",
        _SOURCE,
        Standing.PRACTICE,
    ),
)
