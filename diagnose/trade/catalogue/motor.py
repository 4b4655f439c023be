"""Entries of the catalogue: currents, duty, windings, capacitor and insulation of the motor.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.conductors import resistance_at_20
from diagnose.trade.motor import cycles_per_hour, duty_of, expected_currents, most_starts
from diagnose.trade.windings import (
    check_reversing,
    derating,
    insulation_at_40,
    lowest_insulation,
    run_capacitance,
    unbalance,
)

_WINDING = Input("winding", "temperature of the winding", "degC", -60, 180, "20 degC", 20.0)


def _ohms(name: str, says: str, example: str) -> Input:
    return Input(name, says, "ohm", 0, 10000, example)


def _volts(name: str, says: str, example: str) -> Input:
    return Input(name, says, "V", 0, 750, example)


def _derate(first: float, second: float, third: float) -> tuple[float, float | str]:
    percent = unbalance(first, second, third)
    factor = derating(percent)
    return percent, "not to be run" if factor is None else factor


def _balance(first: float, second: float, third: float) -> tuple[float, str]:
    percent = unbalance(first, second, third)
    return percent, "good" if percent <= 2 else "suspect" if percent > 5 else "doubtful"


def _capacitor(
    current: float, voltage: float, frequency: float, marked: float, tolerance: float
) -> tuple[float, float, str]:
    found = run_capacitance(current, voltage, frequency)
    off = (found - marked) / marked * 100
    return found, off, "within its mark" if abs(off) <= tolerance else "outside its mark"


def _insulation(measured: float, winding: float, voltage: float) -> tuple[float, float, str]:
    at_40, lowest = insulation_at_40(measured, winding), lowest_insulation(voltage)
    if at_40 < lowest:
        return at_40, lowest, "too low: do not energise, look for water"
    return at_40, lowest, "low for a small motor: look for water" if at_40 < 5 else "good"


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "expected-currents",
        "Running and stall current to expect",
        "What should a clamp meter read while it runs and while it stalls?",
        (
            Input("running", "running current of the plate", "A", 0.001, 100, "0.8 A"),
            Input("stall", "stall current of the plate", "A", 0.001, 500, "2.4 A"),
        ),
        expected_currents,
        (
            "running_low = 0.5 * running",
            "running_high = 1.1 * running",
            "stall_low = 0.8 * stall",
            "stall_high = 1.2 * stall",
        ),
        (
            Result("running_low", "running, at least", "A"),
            Result("running_high", "running, at most", "A"),
            Result("stall_low", "stalled, at least", "A"),
            Result("stall_high", "stalled, at most", "A"),
        ),
        "at nominal supply; one line of three phases",
        "common practice, no source",
        Standing.PRACTICE,
    ),
    Calculation(
        "duty",
        "Duty factor and starts an hour",
        "How hard does this rhythm work the motor?",
        (
            Input("run", "mean run time", "s", 0.01, 3600, "1 s"),
            Input("rest", "mean rest between runs", "s", 0, 86400, "3 s"),
        ),
        duty_of,
        ("factor = run / (run + rest) * 100", "starts = 3600 / (run + rest)"),
        (Result("factor", "duty factor", "%"), Result("starts", "starts", "1/h")),
        "means over an hour or more",
        "definition; duty types S3 and S4 of IEC 60034-1",
        Standing.DERIVED,
    ),
    Calculation(
        "starts-allowed",
        "Most starts an hour",
        "How often may it start within its duty factor?",
        (
            Input("duty", "duty factor allowed", "%", 0.1, 100, "25 %"),
            Input("run", "mean run time", "s", 0.01, 3600, "1 s"),
        ),
        most_starts,
        ("starts = duty / 100 * 3600 / run",),
        (Result("starts", "starts at most", "1/h"),),
        "the plate's own starts an hour may be fewer",
        "definition of the duty factor, IEC 60034-1",
        Standing.DERIVED,
    ),
    Calculation(
        "cycles-allowed",
        "Full cycles an hour",
        "How many full cycles, open and close, does the duty factor allow?",
        (
            Input("duty_percent", "duty factor allowed", "%", 0.1, 100, "25 %"),
            Input("stroke_time", "time of a stroke", "s", 1, 600, "15 s"),
        ),
        cycles_per_hour,
        ("cycles = duty_percent / 100 * 3600 / (2 * stroke_time)",),
        (Result("cycles", "cycles at most", "1/h"),),
        "both directions alike",
        "definition of the duty factor, IEC 60034-1",
        Standing.DERIVED,
    ),
    Calculation(
        "run-capacitor",
        "Run capacitor from running values",
        "Is the motor capacitor within its mark, without lifting it?",
        (
            Input("current", "current through the capacitor", "A", 0.001, 100, "1.3 A"),
            Input("voltage", "voltage across the capacitor", "V", 1, 1500, "200 V"),
            Input("frequency", "frequency", "Hz", 1, 400, "50 Hz"),
            Input("marked", "marked capacitance", "uF", 0.5, 200, "20 uF"),
            Input("tolerance", "marked tolerance", "%", 1, 50, "5 %", 10.0),
        ),
        _capacitor,
        (
            "capacitance = current / (2 * pi * frequency * voltage) * 1000000",
            "off = (capacitance - marked) / marked * 100",
        ),
        (
            Result("capacitance", "capacitance", "uF"),
            Result("off", "off its mark", "%"),
            Result("verdict", "verdict"),
        ),
        "live work by a qualified person only: the voltage across the capacitor exceeds the supply",
        "circuit theory; tolerance as marked, 10 % where none is marked (common practice, no source)",
        Standing.DERIVED,
    ),
    Calculation(
        "winding-balance",
        "Balance of three windings",
        "Are the three windings alike?",
        (
            _ohms("first", "first winding, between lines", "22 ohm"),
            _ohms("second", "second winding", "22 ohm"),
            _ohms("third", "third winding", "23.4 ohm"),
        ),
        _balance,
        ("unbalance is the greatest |x - mean| / mean * 100",),
        (Result("unbalance", "unbalance", "%"), Result("verdict", "verdict")),
        "supply off, proved dead, all at one temperature; up to 2 % good, over 5 % suspect",
        "common practice, no source",
        Standing.PRACTICE,
    ),
    Calculation(
        "reversing-windings",
        "Windings of a reversing capacitor motor",
        "Do open, close and common fit together?",
        (
            _ohms("open_common", "open lead to common", "22 ohm"),
            _ohms("close_common", "close lead to common", "22 ohm"),
            _ohms("open_close", "open lead to close lead", "44 ohm"),
        ),
        check_reversing,
        (
            "apart = abs(open_common - close_common) / ((open_common + close_common) / 2) * 100",
            "share = open_close / (open_common + close_common) * 100",
        ),
        (
            Result("apart", "open and close apart", "%"),
            Result("share", "open to close, of their sum", "%"),
            Result("verdict", "verdict"),
        ),
        "supply off, proved dead, capacitor discharged, leads lifted; alike within 5 % is practice",
        "series connection of like windings; limits common practice, no source",
        Standing.DERIVED,
    ),
    Calculation(
        "winding-at-20",
        "Winding resistance brought to 20 degC",
        "What would this winding measure at 20 degC?",
        (
            _ohms("resistance", "as measured", "26.3 ohm"),
            Input("temperature", "temperature of the winding", "degC", -60, 180, "70 degC"),
        ),
        resistance_at_20,
        ("at_20 = resistance / (1 + 0.00393 * (temperature - 20))",),
        (Result("at_20", "at 20 degC", "ohm"),),
        "copper; measured with the supply off, proved dead",
        "IEC 60028; the coefficient 0.00393 from memory, unverified",
        Standing.MEMORY,
    ),
    Calculation(
        "voltage-unbalance",
        "Unbalance of three line voltages",
        "Are the three line voltages alike enough to load the motor?",
        (
            _volts("first", "first to second line", "400 V"),
            _volts("second", "second to third line", "395 V"),
            _volts("third", "third to first line", "388 V"),
        ),
        _derate,
        ("unbalance is the greatest |x - mean| / mean * 100", "load by interpolation of the table"),
        (Result("unbalance", "unbalance", "%"), Result("load", "load allowed, of the rated one")),
        "full load up to 1 %, not to be run above 5 %; the points between are read off a curve, +/-0.01",
        "NEMA MG 1-14.36",
        Standing.REPRODUCED,
    ),
    Calculation(
        "insulation",
        "Insulation brought to 40 degC",
        "Is the insulation of the motor good enough?",
        (
            Input("measured", "after one minute, motor to earth", "Mohm", 0, 1000000, "8 Mohm"),
            _WINDING,
            Input("voltage", "rated voltage of the motor", "V", 1, 1000, "230 V"),
        ),
        _insulation,
        ("at_40 = measured * 0.5 ** ((40 - winding) / 10)", "lowest = voltage / 1000 + 1"),
        (
            Result("at_40", "at 40 degC", "Mohm"),
            Result("lowest", "lowest allowed", "Mohm"),
            Result("verdict", "verdict"),
        ),
        "supply off, proved dead, electronics disconnected first; written for motors of 750 W and more, for smaller ones it is practice",
        "IEEE 43, values from memory, unverified; below 5 Mohm look for water: common practice, no source",
        Standing.MEMORY,
    ),
)
