"""Current loops: what the source can drive, bands of the signal, and what a wrong input makes of it.

Takes numbers, gives numbers; may import signals and guards.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.trade.guards import ensure_positive, ensure_within
from diagnose.trade.signals import (
    SPANS,
    Acting,
    InputKind,
    command_for_travel,
    percent_of_signal,
    signal_of_percent,
    volts_across,
)

Region = Literal[
    "failure low",
    "undefined low",
    "under range",
    "normal",
    "over range",
    "undefined high",
    "failure high",
]

SLIDEWIRE_OHM = 135.0  # common practice, no source


class OutputErrors(NamedTuple):
    """Errors of a position output in mA: at closed, of the span, at open, and the size of the worse end."""

    zero: float
    span: float
    top: float
    worst: float


class LoopLoad(NamedTuple):
    """How a loop loads its source: ohm, ohm, mA, per cent of travel, words."""

    resistance: float
    limit: float
    ceiling: float
    ceiling_travel: float
    verdict: str


def name_region(current: float) -> Region:
    """Name the band a current lies in: 3.6, 3.8, 4, 20, 20.5 and 21 mA part the seven bands.

    Args:
        current: mA.

    Returns:
        The band; 3.6 and 21 count as failure, 3.8, 20 and 20.5 to the inner band.

    References:
        NAMUR NE 43 (seen in reproductions, which differ on the edges); written for transmitters,
        for a command it is a convention (common practice, no source).

    >>> name_region(3.7), name_region(20.2)
    ('undefined low', 'over range')
    """
    ensure_within("current", current, "mA", -100, 100)
    if current <= 3.6:
        return "failure low"
    if current >= 21.0:
        return "failure high"
    if current < 3.8:
        return "undefined low"
    if current < 4.0:
        return "under range"
    if current <= 20.0:
        return "normal"
    return "over range" if current <= 20.5 else "undefined high"


def received_percent(
    source: InputKind, configured: InputKind, command: float, resistor: float = 250.0
) -> float:
    """Give the per cent a wrongly set input makes of a command: the source's signal read on the input's span.

    Args:
        source: The signal that is sent.
        configured: The signal the input is set to.
        command: Per cent sent.
        resistor: Ohm across the input, where a current is sent and a voltage read.

    Returns:
        Per cent read; below 0 it lies under a live zero.

    Raises:
        ValueError: The two kinds cannot be brought together by one resistor.

    References:
        Definition of the spans; Ohm's law.

    >>> [round(received_percent("ma_4_20", "v_0_10", c), 6) for c in (0, 50, 100)]
    [10.0, 30.0, 50.0]
    """
    sent, read = SPANS[source].unit, SPANS[configured].unit
    signal = signal_of_percent(source, command)
    if (sent, read) == ("mA", "V"):
        ensure_positive("resistor", resistor, "ohm")
        return percent_of_signal(configured, volts_across(signal, resistor))
    if sent != read:
        raise ValueError(f"a signal in {sent} on an input in {read} follows from no resistor alone")
    return percent_of_signal(configured, signal)


def shunt_error(current: float, tolerance: float) -> float:
    """Give the error that a resistor's tolerance makes: current * tolerance / 16.

    Args:
        current: mA through the resistor.
        tolerance: Of the resistor, per cent.

    Returns:
        Per cent of the 4-20 mA span.

    Raises:
        ValueError: The tolerance lies outside 0 to 100 %.

    References:
        Ohm's law; 16 mA are the whole span.

    >>> shunt_error(20, 0.1), shunt_error(4, 0.1)
    (0.125, 0.025)
    """
    ensure_within("tolerance", tolerance, "%", 0, 100)
    return current * tolerance / 16


def highest_resistance(compliance: float, current: float = 20.0) -> float:
    """Give the resistance a current source can just drive: V / I * 1000.

    Args:
        compliance: Greatest voltage of the source, V.
        current: mA; 20 for normal work, 21 where the failure level must be reached too.

    Returns:
        Ohm.

    Raises:
        ValueError: A number is not above 0.

    References:
        Ohm's law.

    >>> highest_resistance(15)
    750.0
    """
    ensure_positive("compliance", compliance, "V")
    ensure_positive("current", current, "mA")
    return compliance / current * 1000


def current_ceiling(compliance: float, resistance: float) -> float:
    """Give the current at which the source has used up its voltage: V / R * 1000.

    Args:
        compliance: Greatest voltage of the source, V.
        resistance: Of the whole loop, ohm.

    Returns:
        mA.

    Raises:
        ValueError: A number is not above 0.

    References:
        Ohm's law.

    >>> round(current_ceiling(15, 764.7), 3)
    19.616
    """
    ensure_positive("compliance", compliance, "V")
    ensure_positive("resistance", resistance, "ohm")
    return compliance / resistance * 1000


def loop_load(compliance: float, inputs: float, length: float, core: float, wanted: float = 20.0) -> LoopLoad:
    """Add up a loop and say how far its current can rise.

    Args:
        compliance: Greatest voltage of the source, V.
        inputs: Resistance of everything in series but the cable, ohm.
        length: Cable one way, m.
        core: Resistance of one core, ohm per km.
        wanted: Highest current the loop must reach, mA.

    Returns:
        Resistance, the limit, the ceiling, the travel at which a direct-acting unit then stops, and a verdict.

    Raises:
        ValueError: A number is below 0, or the loop has no resistance.

    References:
        Ohm's law: R = inputs + 2 * length / 1000 * core; limit = V / I; ceiling = V / R.

    >>> loop_load(15, 750, 300, 24.5).verdict
    'too much: exact at low command, stuck at the top'
    """
    for name, value, unit in (("inputs", inputs, "ohm"), ("length", length, "m"), ("core", core, "ohm/km")):
        ensure_within(name, value, unit, 0)
    resistance = inputs + 2 * length / 1000 * core
    limit = highest_resistance(compliance, wanted)
    ceiling = current_ceiling(compliance, resistance)
    travel = min(100.0, max(0.0, percent_of_signal("ma_4_20", ceiling)))
    verdict = "fits" if resistance <= limit else "too much: exact at low command, stuck at the top"
    return LoopLoad(resistance, limit, ceiling, travel, verdict)


def slidewire_error(lead: float, leads: Literal["two", "three"]) -> float:
    """Give the error of a 135 ohm slidewire at zero: 2 r / 135, or r / (135 + 2 r) by three leads, times 100.

    Args:
        lead: Resistance of one lead, ohm.
        leads: "two" or "three"; the end leads of three are taken as equal.

    Returns:
        Per cent of span.

    Raises:
        ValueError: The lead is below 0 ohm.

    References:
        Circuit theory; 135 ohm is common practice, no source.

    >>> round(slidewire_error(0.905, "two"), 3), round(slidewire_error(0.905, "three"), 3)
    (1.341, 0.662)
    """
    ensure_within("lead", lead, "ohm", 0)
    if leads == "two":
        return 2 * lead / SLIDEWIRE_OHM * 100
    return lead / (SLIDEWIRE_OHM + 2 * lead) * 100


def command_error(command: float, travel: float, acting: Acting = "direct") -> float:
    """Give how far travel is off the controller's command: travel - command, reverse travel - (100 - command).

    Args:
        command: Of the controller, per cent.
        travel: As measured, per cent open.
        acting: Direct (signal up opens) or reverse.

    Returns:
        Per cent; above 0 when it stands too far open.

    Raises:
        ValueError: The travel lies outside -100 to 200 %.

    References:
        Definition; after IEC 61298-2 (inaccuracy).

    >>> command_error(50, 47.5), command_error(25, 75, "reverse")
    (-2.5, 0.0)
    """
    ensure_within("travel", travel, "%", -100, 200)
    return float(travel - command_for_travel(acting, command))


def output_errors(closed_current: float, open_current: float) -> OutputErrors:
    """Give the errors of a 4-20 mA position output at its ends: closed - 4, open - 20, and the greater size.

    Args:
        closed_current: With the valve fully closed, mA.
        open_current: With the valve fully open, mA.

    Returns:
        Errors in mA: at closed, of the span, at open, and the size of the worse end.

    Raises:
        ValueError: A current lies outside -100 to 100 mA.

    References:
        IEC 60381-1 for the span; the rest is a definition.

    >>> [round(error, 6) for error in output_errors(4.4, 19.8)]
    [0.4, -0.6, -0.2, 0.4]
    """
    for current in (closed_current, open_current):
        ensure_within("current", current, "mA", -100, 100)
    zero, top = closed_current - 4, open_current - 20
    return OutputErrors(zero, top - zero, top, max(abs(zero), abs(top)))
