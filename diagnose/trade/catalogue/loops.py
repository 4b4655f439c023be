"""Entries of the catalogue: current loops, resistors, leads and inputs that are set wrongly.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from typing import Literal

from diagnose.trade.catalogue.cable import STRANDS, WARM
from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.conductors import Strands, conductor_resistance
from diagnose.trade.loops import (
    LoopLoad,
    current_ceiling,
    loop_load,
    received_percent,
    shunt_error,
    slidewire_error,
)
from diagnose.trade.signals import SPANS, percent_of_signal

_KINDS = tuple(SPANS)
_LENGTH = Input("length", "length of the cable, one way", "m", 0, 5000, "300 m")
_SIZE = Input("size", "cross-section of a core, or its gauge as 18 AWG", "mm2", 0.05, 400, "0.75 mm2")


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


def _ceiling(compliance: float, resistance: float) -> tuple[float, float]:
    ceiling = current_ceiling(compliance, resistance)
    return ceiling, min(100.0, max(0.0, percent_of_signal("ma_4_20", ceiling)))


CALCULATIONS: tuple[Calculation, ...] = (
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
            STRANDS,
            WARM,
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
            STRANDS,
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
        "loop-ceiling",
        "Current at which a source has used up its voltage",
        "How far can the current rise in a loop of this resistance?",
        (
            Input("compliance", "greatest voltage of the source", "V", 1, 60, "15 V"),
            Input("resistance", "resistance of the whole loop", "ohm", 1, 100000, "764.7 ohm"),
        ),
        _ceiling,
        (
            "ceiling = compliance / resistance * 1000",
            "travel = min(100, max(0, (ceiling - 4) / 16 * 100))",
        ),
        (
            Result("ceiling", "ceiling of the current", "mA"),
            Result("travel", "travel at which a direct-acting 4-20 mA unit then stops", "%"),
        ),
        "a command that ends at 20 mA fits where the ceiling lies above 20 mA",
        "Ohm's law",
        Standing.DERIVED,
    ),
)
