"""Entries of the catalogue: analogue signals and their loops.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from typing import Literal

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.conductors import Strands, conductor_resistance
from diagnose.trade.loops import (
    LoopLoad,
    loop_load,
    name_region,
    received_percent,
    shunt_error,
    slidewire_error,
)
from diagnose.trade.signals import (
    SPANS,
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
_KINDS = tuple(SPANS)
_LENGTH = Input("length", "length of the cable, one way", "m", 0, 5000, "300 m")
_SIZE = Input("size", "cross-section of a core, or its gauge as 18 AWG", "mm2", 0.05, 400, "0.75 mm2")
_STRANDS = Input(
    "strands",
    "kind of core: fixed (solid or stranded) or flexible",
    example="fixed",
    default="fixed",
    choices=("fixed", "flexible"),
)
_WARM = Input("temperature", "temperature of the core", "degC", -60, 120, "20 degC", 20.0)
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


def _load_loop(
    compliance: float,
    inputs: float,
    length: float,
    size: float,
    *,
    strands: Strands,
    temperature: float,
    wanted: float,
) -> tuple[float | str, ...]:
    core = conductor_resistance(size, strands, temperature)
    load: LoopLoad = loop_load(compliance, inputs, length, core, wanted)
    return (core, *load)


def _lead_error(
    length: float, size: float, strands: Strands, leads: Literal["two", "three"]
) -> tuple[float, float]:
    lead = conductor_resistance(size, strands) * length / 1000
    return lead, slidewire_error(lead, leads)


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
        "wrong-input",
        "What a wrongly set input makes of a command",
        "What per cent arrives when the input is set to another kind of signal?",
        (
            Input("source", "kind of signal that is sent", example="ma_4_20", choices=_KINDS),
            Input("configured", "kind of signal the input is set to", example="v_0_10", choices=_KINDS),
            Input("command", "command that is sent", "%", 0, 100, "50 %"),
            Input("resistor", "resistor across the input for a current", "ohm", 1, 10000, "250 ohm", 250.0),
        ),
        received_percent,
        ("signal of the command on the sent span, across the resistor if need be, read on the set span",),
        (Result("percent", "command as it arrives", "%"),),
        "an ideal source; below 0 % it lies under a live zero",
        "definition of the spans; Ohm's law",
        Standing.DERIVED,
    ),
    Calculation(
        "shunt-error",
        "Error from the tolerance of a resistor",
        "How much is a 4-20 mA command off because of the resistor it is read across?",
        (
            Input("current", "current through the resistor", "mA", 0, 25, "20 mA"),
            Input("tolerance", "tolerance of the resistor", "%", 0, 100, "0.1 %"),
        ),
        shunt_error,
        ("error = current * tolerance / 16",),
        (Result("error", "error of the span", "%"),),
        "4-20 mA read as a voltage, 16 mA being the span",
        "Ohm's law",
        Standing.DERIVED,
    ),
    Calculation(
        "loop-load",
        "Load of a current loop",
        "Can the source drive this loop, and where does the valve stop if not?",
        (
            Input("compliance", "greatest voltage of the source", "V", 1, 60, "15 V"),
            Input("inputs", "resistance in series without the cable", "ohm", 0, 20000, "750 ohm"),
            _LENGTH,
            _SIZE,
            _STRANDS,
            _WARM,
            Input(
                "wanted", "highest current to reach, 21 mA for a failure level", "mA", 4, 25, "20 mA", 20.0
            ),
        ),
        _load_loop,
        (
            "resistance = inputs + 2 * length / 1000 * core",
            "limit = compliance / wanted * 1000",
            "ceiling = compliance / resistance * 1000",
            "travel = min(100, max(0, (ceiling - 4) / 16 * 100))",
        ),
        (
            Result("core", "one core of the cable", "ohm/km"),
            Result("resistance", "the whole loop", "ohm"),
            Result("limit", "the source can drive", "ohm"),
            Result("ceiling", "current at which it has used up its voltage", "mA"),
            Result("travel", "travel at which a direct-acting 4-20 mA unit then stops", "%"),
            Result("verdict", "verdict"),
        ),
        "core resistance from the table is the highest allowed; a real cable reads a little lower",
        "Ohm's law; IEC 60228 for the core",
        Standing.DERIVED,
    ),
    Calculation(
        "slidewire-lead",
        "Error from the leads of a slidewire",
        "How far is a 135 ohm slidewire off at zero because of its leads?",
        (
            _LENGTH,
            _SIZE,
            _STRANDS,
            Input("leads", "number of leads", example="three", choices=("two", "three")),
        ),
        _lead_error,
        ("two: error = 2 * lead / 135 * 100", "three: error = lead / (135 + 2 * lead) * 100"),
        (Result("lead", "one lead", "ohm"), Result("error", "error at zero", "%")),
        "three leads: the end leads alike",
        "circuit theory; IEC 60228 for the core; 135 ohm common practice, no source",
        Standing.DERIVED,
    ),
    Calculation(
        "two-point-check",
        "Zero, span and top errors from two points",
        "How far are zero, span and top off, from two pairs of command and travel?",
        (
            Input("low_command", "command at the low point", "%", -10, 110, "0 %"),
            Input("low_travel", "travel at the low point", "%", -100, 200, "2 %"),
            Input("high_command", "command at the high point", "%", -10, 110, "100 %"),
            Input("high_travel", "travel at the high point", "%", -100, 200, "97 %"),
        ),
        two_point_errors,
        (
            "span = ((high_travel - low_travel) / (high_command - low_command) - 1) * 100",
            "zero = low_travel - low_command * (1 + span / 100)",
            "top = zero + span",
        ),
        (
            Result("zero", "error at 0 %", "%"),
            Result("span", "error of the span", "%"),
            Result("top", "error at 100 %", "%"),
        ),
        "a straight line between the points; a clipped end looks like a wrong slope, so take a middle point too",
        "definition; after IEC 61298-2",
        Standing.DERIVED,
    ),
)
