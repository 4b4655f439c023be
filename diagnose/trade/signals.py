"""Analogue signals: what a per cent of command or position is in mA, V or ohm.

Takes numbers, gives numbers; may import guards. Travel: 0 % closed, 100 % open.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from diagnose.trade.guards import ensure_within

InputKind = Literal["ma_4_20", "ma_0_20", "v_0_10", "v_2_10", "v_1_5", "ohm_0_135"]
Acting = Literal["direct", "reverse"]


class TwoPointErrors(NamedTuple):
    """Errors of travel in per cent: at 0 % command, of the span, and at 100 % command."""

    zero: float
    span: float
    top: float


class Span(NamedTuple):
    """The two ends of a signal and its unit."""

    low: float
    high: float
    unit: str


# 4-20 mA: IEC 60381-1. 0-10 V and 1-5 V: IEC 60381-2. 0-135 ohm slidewire and the others: common practice, no source.
SPANS: dict[InputKind, Span] = {
    "ma_4_20": Span(4, 20, "mA"),
    "ma_0_20": Span(0, 20, "mA"),
    "v_0_10": Span(0, 10, "V"),
    "v_2_10": Span(2, 10, "V"),
    "v_1_5": Span(1, 5, "V"),
    "ohm_0_135": Span(0, 135, "ohm"),
}


def signal_of_percent(kind: InputKind, percent: float) -> float:
    """Give the signal that stands for a per cent: low + (high - low) * percent / 100.

    Args:
        kind: The kind of signal.
        percent: Per cent of the span.

    Returns:
        The signal in its unit (mA, V or ohm).

    References:
        IEC 60381-1 (4-20 mA), IEC 60381-2 (0-10 V, 1-5 V).

    >>> signal_of_percent("ma_4_20", 75)
    16.0
    """
    span = SPANS[kind]
    return span.low + (span.high - span.low) * percent / 100


def percent_of_signal(kind: InputKind, value: float) -> float:
    """Give the per cent that a signal stands for: (value - low) / (high - low) * 100.

    Args:
        kind: The kind of signal.
        value: The signal in its unit (mA, V or ohm).

    Returns:
        Per cent of the span; below 0 and above 100 outside it.

    References:
        IEC 60381-1 (4-20 mA), IEC 60381-2 (0-10 V, 1-5 V).

    >>> round(percent_of_signal("ma_4_20", 3.8), 3)
    -1.25
    """
    span = SPANS[kind]
    return (value - span.low) / (span.high - span.low) * 100


def command_for_travel(acting: Acting, travel: float) -> float:
    """Give the command that asks for a travel: the same when direct acting, 100 - travel when reverse.

    Args:
        acting: Direct (signal up opens) or reverse.
        travel: Wanted travel in per cent open.

    Returns:
        Command in per cent of its span.

    References:
        Definition of the acting direction.

    >>> command_for_travel("reverse", 25)
    75
    """
    return travel if acting == "direct" else 100 - travel


def volts_across(current: float, resistance: float) -> float:
    """Give the voltage of a current across a resistance: V = I * R / 1000.

    Args:
        current: mA.
        resistance: ohm.

    Returns:
        Volts.

    References:
        Ohm's law; 250 ohm turns 4-20 mA into 1-5 V.

    >>> volts_across(20, 250)
    5.0
    """
    return current * resistance / 1000


def two_point_errors(
    low_command: float, low_travel: float, high_command: float, high_travel: float
) -> TwoPointErrors:
    """Give the errors of the line through two points: slope - 1, where it meets 0 %, and their sum at 100 %.

    Args:
        low_command: Command at the low point, per cent.
        low_travel: Travel at the low point, per cent open.
        high_command: Command at the high point, per cent, above the low one.
        high_travel: Travel at the high point, per cent open.

    Returns:
        Errors in per cent of span.

    Raises:
        ValueError: The two commands lie less than 10 % apart, or the high one below.

    References:
        Definition; after IEC 61298-2 (inaccuracy).

    >>> [round(error, 6) for error in two_point_errors(0, 2, 100, 97)]
    [2.0, -5.0, -3.0]
    """
    apart = high_command - low_command
    ensure_within("high command less low command", apart, "%", 10)
    slope = (high_travel - low_travel) / apart
    zero = low_travel - low_command * slope
    span = (slope - 1) * 100
    return TwoPointErrors(zero, span, zero + span)
