"""Entries of the catalogue: analogue signals.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.loops import command_error, name_region, output_errors
from diagnose.trade.signals import (
    Acting,
    InputKind,
    command_for_travel,
    percent_of_signal,
    signal_of_percent,
    two_point_errors,
)

_ACTING = Input(
    "acting",
    "direct where the signal up opens, else reverse",
    example="direct",
    default="direct",
    choices=("direct", "reverse"),
)
_TRAVEL = Input("travel", "travel in per cent open", "%", -100, 200, "50 %")
_TOLD = {"ma": "IEC 60381-1 for 4-20 mA; 0-20 mA common practice, no source"}
_TOLD |= {"v": "IEC 60381-2 for 0-10 V and 1-5 V; 2-10 V is 4-20 mA across 500 ohm"}
_TOLD |= {"ohm": "135 ohm three-wire slidewire: common practice, no source"}
_FORMS = {
    "ma_4_20": ("(current - 4) / 16 * 100", "4 + 16 * percent / 100"),
    "ma_0_20": ("current / 20 * 100", "20 * percent / 100"),
    "v_0_10": ("voltage / 10 * 100", "10 * percent / 100"),
    "v_2_10": ("(voltage - 2) / 8 * 100", "2 + 8 * percent / 100"),
    "v_1_5": ("(voltage - 1) / 4 * 100", "1 + 4 * percent / 100"),
    "ohm_0_135": ("resistance / 135 * 100", "135 * percent / 100"),
}


def _travel_of(kind: InputKind, acting: Acting, value: float) -> tuple[float, float]:
    percent = percent_of_signal(kind, value)
    return percent, command_for_travel(acting, percent)


def _signal_of(kind: InputKind, acting: Acting, travel: float) -> tuple[float, float]:
    percent = command_for_travel(acting, travel)
    return percent, signal_of_percent(kind, percent)


def _read_current(kind: InputKind, acting: Acting, current: float) -> tuple[float, float, str]:
    band = name_region(current) if kind == "ma_4_20" else "no bands for 0-20 mA"
    return (*_travel_of(kind, acting, current), band)


def _read_voltage(kind: InputKind, acting: Acting, voltage: float) -> tuple[float, float]:
    return _travel_of(kind, acting, voltage)


def _read_slidewire(acting: Acting, resistance: float) -> tuple[float, float]:
    return _travel_of("ohm_0_135", acting, resistance)


def _slidewire_for(acting: Acting, travel: float) -> tuple[float, float]:
    return _signal_of("ohm_0_135", acting, travel)


def _two_points(
    acting: Acting, low_current: float, low_travel: float, high_current: float, high_travel: float
) -> tuple[float, ...]:
    commands = [percent_of_signal("ma_4_20", current) for current in (low_current, high_current)]
    low, high = (command_for_travel(acting, travel) for travel in (low_travel, high_travel))
    return (low, high, *two_point_errors(commands[0], low, commands[1], high))


def _kind(*kinds: str) -> Input:
    return Input("kind", "kind of signal", example=kinds[0], default=kinds[0], choices=kinds)


def _forms(way: int, name: str, *kinds: str) -> tuple[str, ...]:
    prefix = {kind: f"{kind}: " if len(kinds) > 1 else "" for kind in kinds}
    return tuple(f"{prefix[kind]}{name} = {_FORMS[kind][way]}" for kind in kinds)


_PERCENT = Result("percent", "command", "%")
_TO_TRAVEL = ("direct: travel = percent", "reverse: travel = 100 - percent")
_OF_TRAVEL = ("direct: percent = travel", "reverse: percent = 100 - travel")
_AT = Result("travel", "travel asked for, per cent open", "%")
_OUTSIDE = "below 0 % and above 100 % the signal lies outside its span"

CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "travel-from-current",
        "Travel that a current command asks for",
        "What travel does this current ask for, and in which band does it lie?",
        (
            _kind("ma_4_20", "ma_0_20"),
            _ACTING,
            Input("current", "command current", "mA", -25, 100, "12 mA"),
        ),
        _read_current,
        (
            *_forms(0, "percent", "ma_4_20", "ma_0_20"),
            *_TO_TRAVEL,
            "band by 3.6, 3.8, 4, 20, 20.5 and 21 mA",
        ),
        (_PERCENT, _AT, Result("band", "band of the current")),
        f"{_OUTSIDE}; the bands are written for transmitters, for a command they are a convention",
        f"{_TOLD['ma']}; bands NAMUR NE 43",
        Standing.REPRODUCED,
    ),
    Calculation(
        "travel-from-voltage",
        "Travel that a voltage command asks for",
        "What travel does this command voltage ask for?",
        (
            _kind("v_0_10", "v_2_10", "v_1_5"),
            _ACTING,
            Input("voltage", "command voltage", "V", -30, 60, "5 V"),
        ),
        _read_voltage,
        (*_forms(0, "percent", "v_0_10", "v_2_10", "v_1_5"), *_TO_TRAVEL),
        (_PERCENT, _AT),
        _OUTSIDE,
        _TOLD["v"],
        Standing.REPRODUCED,
    ),
    Calculation(
        "travel-from-slidewire",
        "Travel that a 135 ohm slidewire asks for",
        "What travel does this slidewire resistance ask for?",
        (_ACTING, Input("resistance", "resistance from the low end", "ohm", 0, 150, "67.5 ohm")),
        _read_slidewire,
        (*_forms(0, "percent", "ohm_0_135"), *_TO_TRAVEL),
        (_PERCENT, _AT),
        _OUTSIDE,
        _TOLD["ohm"],
        Standing.PRACTICE,
    ),
    Calculation(
        "current-for-travel",
        "Current command for a travel",
        "What current asks for this travel?",
        (_kind("ma_4_20", "ma_0_20"), _ACTING, _TRAVEL),
        _signal_of,
        (*_OF_TRAVEL, *_forms(1, "current", "ma_4_20", "ma_0_20")),
        (_PERCENT, Result("current", "command current", "mA")),
        "travel 0 to 100 % lies within the span",
        _TOLD["ma"],
        Standing.REPRODUCED,
    ),
    Calculation(
        "voltage-for-travel",
        "Voltage command for a travel",
        "What command voltage asks for this travel?",
        (_kind("v_0_10", "v_2_10", "v_1_5"), _ACTING, _TRAVEL),
        _signal_of,
        (*_OF_TRAVEL, *_forms(1, "voltage", "v_0_10", "v_2_10", "v_1_5")),
        (_PERCENT, Result("voltage", "command voltage", "V")),
        "travel 0 to 100 % lies within the span",
        _TOLD["v"],
        Standing.REPRODUCED,
    ),
    Calculation(
        "slidewire-for-travel",
        "Slidewire resistance for a travel",
        "What slidewire resistance asks for this travel?",
        (_ACTING, _TRAVEL),
        _slidewire_for,
        (*_OF_TRAVEL, *_forms(1, "resistance", "ohm_0_135")),
        (_PERCENT, Result("resistance", "resistance from the low end", "ohm")),
        "travel 0 to 100 % lies within the span",
        _TOLD["ohm"],
        Standing.PRACTICE,
    ),
    Calculation(
        "command-error",
        "Error of travel against its command",
        "How far is the travel off what the controller asks for?",
        (Input("command", "command of the controller", "%", 0, 100, "50 %"), _TRAVEL, _ACTING),
        command_error,
        ("direct: error = travel - command", "reverse: error = travel - (100 - command)"),
        (Result("error", "error of travel", "%"),),
        "at rest, approached from one side",
        "definition; after IEC 61298-2",
        Standing.DERIVED,
    ),
    Calculation(
        "output-ends",
        "Errors of a position output at its ends",
        "How far are zero, span and top of the position output off?",
        (
            Input("closed_current", "current with the valve fully closed", "mA", -25, 100, "4.4 mA"),
            Input("open_current", "current with the valve fully open", "mA", -25, 100, "19.8 mA"),
        ),
        output_errors,
        (
            "zero = closed_current - 4",
            "span = top - zero",
            "top = open_current - 20",
            "worst = max(abs(zero), abs(top))",
        ),
        (
            Result("zero", "error at closed", "mA"),
            Result("span", "error of the span", "mA"),
            Result("top", "error at open", "mA"),
            Result("worst", "size of the worse end", "mA"),
        ),
        "the valve really stands at its ends: stem mark, not the pointer",
        "definition; IEC 60381-1 for the span",
        Standing.DERIVED,
    ),
    Calculation(
        "two-point-check",
        "Zero, span and top errors from two points",
        "How far are zero, span and top of the unit off, from two pairs of mA and travel?",
        (
            _ACTING,
            Input("low_current", "current at the low point", "mA", 0, 25, "4 mA"),
            Input("low_travel", "travel at the low point", "%", -100, 200, "2 %"),
            Input("high_current", "current at the high point", "mA", 0, 25, "20 mA"),
            Input("high_travel", "travel at the high point", "%", -100, 200, "97 %"),
        ),
        _two_points,
        (
            "direct: low = low_travel",
            "direct: high = high_travel",
            "reverse: low = 100 - low_travel",
            "reverse: high = 100 - high_travel",
            "span = ((high - low) * 16 / (high_current - low_current) / 100 - 1) * 100",
            "zero = low - (low_current - 4) / 16 * 100 * (1 + span / 100)",
            "top = zero + span",
        ),
        (
            Result("low", "command that the low travel stands for", "%"),
            Result("high", "command that the high travel stands for", "%"),
            Result("zero", "error at 0 %", "%"),
            Result("span", "error of the span", "%"),
            Result("top", "error at 100 %", "%"),
        ),
        "a straight line between the points; a clipped end looks like a wrong slope, so take a middle point too",
        "definition; after IEC 61298-2",
        Standing.DERIVED,
    ),
)
