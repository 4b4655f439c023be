"""Positioning: coast, dead band, hunting and the smallest steps of a unit that is stopped by a dead band.

Takes numbers, gives numbers and words; imports the guards. Bands and errors in per cent of the full
travel; the dead band is the TOTAL one: the motor is told to run when the error exceeds half of it.
"""

from __future__ import annotations

import math
from typing import Literal

from diagnose.trade.guards import ensure_positive, ensure_within

# Where the card orders the stop: as the travel enters the dead band, or as the error reaches zero. A card that
# stops ahead of zero by the coast it expects is one that stops at zero, with what the coast differs by for a coast.
StopOrder = Literal["at_band", "at_zero"]
# A dead band is set wider than what is needed; common practice, no source.
DEAD_BAND_RESERVE = 1.25


def travel_speed(stroke_time: float) -> float:
    """Give the speed of the travel: 100 / stroke_time.

    Args:
        stroke_time: Seconds for the full travel, above 0.

    Returns:
        Per cent a second.

    Raises:
        ValueError: The time is not above zero.

    References:
        Definition.

    >>> travel_speed(20)
    5.0
    """
    ensure_positive("stroke time", stroke_time, "s")
    return 100 / stroke_time


def coast_travel(stroke_time: float, delay: float, braking: float = 0.0) -> float:
    """Give the travel after the stop point is crossed: v * delay + v * braking / 2, v = 100 / stroke_time.

    Args:
        stroke_time: Seconds for the full travel, above 0.
        delay: Seconds at full speed after crossing (electronics, relay or triac, run-on), 0 or more.
        braking: Seconds from there to standstill at constant deceleration a, v / a, 0 or more; the
            second part is v^2 / (2 a).

    Returns:
        Per cent of travel.

    Raises:
        ValueError: A time is out of its range.

    References:
        Kinematics (derived).

    >>> round(coast_travel(15, 0.060), 3), round(coast_travel(15, 0.060, 0.060), 3)
    (0.4, 0.6)
    """
    ensure_within("delay", delay, "s", 0)
    ensure_within("braking time", braking, "s", 0)
    return travel_speed(stroke_time) * (delay + braking / 2)


def rest_error(band: float, coast: float, order: StopOrder) -> float:
    """Give the error left after a move: band / 2 - coast when stopped at the band, -coast when stopped at zero.

    Args:
        band: Total dead band in per cent, above 0.
        coast: Per cent of travel, 0 or more.
        order: Where the stop is ordered.

    Returns:
        Per cent; above 0 the travel stands short of its target, below 0 past it.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived.

    >>> rest_error(1.0, 0.4, "at_band"), rest_error(1.0, 0.4, "at_zero")
    (0.09999999999999998, -0.4)
    """
    ensure_positive("dead band", band, "%")
    ensure_within("coast", coast, "%", 0)
    return (band / 2 if order == "at_band" else 0.0) - coast


def has_limit_cycle(band: float, coast: float, order: StopOrder) -> bool:
    """Say whether it hunts: coast > band when stopped at the band, coast > band / 2 when stopped at zero.

    Args:
        band: Total dead band in per cent, above 0.
        coast: Per cent of travel, 0 or more.
        order: Where the stop is ordered.

    Returns:
        True where a move ends outside the dead band on the other side, so that the next one starts.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived: the rest error is beyond half the band.

    >>> has_limit_cycle(0.3, 0.4, "at_band"), has_limit_cycle(0.41, 0.4, "at_band")
    (True, False)
    """
    return rest_error(band, coast, order) < -band / 2


def hunting_amplitude(band: float, coast: float, order: StopOrder) -> float:
    """Give the peak-to-peak travel of the hunting: 2 * coast - band, or 2 * coast when stopped at zero.

    Args:
        band: Total dead band in per cent, above 0.
        coast: Per cent of travel, 0 or more.
        order: Where the stop is ordered.

    Returns:
        Per cent of travel; 0 where it does not hunt.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived: twice the rest error.

    >>> round(hunting_amplitude(0.3, 0.4, "at_band"), 3), hunting_amplitude(0.7, 0.4, "at_zero")
    (0.5, 0.8)
    """
    if not has_limit_cycle(band, coast, order):
        return 0.0
    return -2 * rest_error(band, coast, order)


def hunting_starts(amplitude: float, stroke_time: float, pause: float) -> float:
    """Give the starts an hour while hunting: 3600 / (amplitude / v + pause), v = 100 / stroke_time.

    Args:
        amplitude: Peak-to-peak travel of the hunting in per cent, above 0.
        stroke_time: Seconds for the full travel, above 0.
        pause: Seconds at rest before the motor reverses, 0 or more.

    Returns:
        Starts an hour; a run crosses the whole amplitude at full speed, so braking makes them a few less.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived.

    >>> round(hunting_starts(0.5, 15, 0.2))
    13091
    """
    ensure_positive("amplitude", amplitude, "%")
    ensure_within("pause", pause, "s", 0)
    return 3600 / (amplitude / travel_speed(stroke_time) + pause)


def dead_band_needed(coast: float, backlash: float, noise: float) -> float:
    """Give the smallest dead band that rests when stopped at the band: coast + backlash + noise.

    Args:
        coast: Per cent of travel, 0 or more.
        backlash: Play seen at the position feedback where the flow can move the valve within it, per cent.
        noise: Peak to peak, with one step of the converter, per cent.

    Returns:
        Per cent, total dead band; a set one is usually 1.25 times this (common practice, no source).

    Raises:
        ValueError: A value is below zero.

    References:
        Derived.

    >>> round(dead_band_needed(0.4, 0.3, 0.1), 3)
    0.8
    """
    ensure_within("coast", coast, "%", 0)
    ensure_within("backlash", backlash, "%", 0)
    ensure_within("noise", noise, "%", 0)
    return coast + backlash + noise


def is_nudged_by_noise(rest: float, noise: float, band: float) -> bool:
    """Say whether noise alone starts the motor once more: |rest| + noise / 2 > band / 2.

    Args:
        rest: Error left after the last move in per cent.
        noise: Peak to peak in per cent, 0 or more.
        band: Total dead band in per cent, above 0.

    Returns:
        True where a single nudge happens; where noise > band the motor keeps starting whatever the rest.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived.

    >>> is_nudged_by_noise(0.3, 0.5, 1.0), is_nudged_by_noise(0.1, 0.5, 1.0)
    (True, False)
    """
    ensure_within("rest error", rest, "%", -math.inf)
    ensure_within("noise", noise, "%", 0)
    ensure_positive("dead band", band, "%")
    return abs(rest) + noise / 2 > band / 2


def smallest_steps(band: float, coast: float, order: StopOrder) -> tuple[float, float]:
    """Give the command steps that just move a unit at rest: band / 2 - rest onward, band / 2 + rest back.

    Args:
        band: Total dead band in per cent, above 0.
        coast: Per cent of travel, 0 or more.
        order: Where the stop is ordered.

    Returns:
        Per cent in the direction of the last move (resolution) and against it; together the dead band.

    Raises:
        ValueError: A value is out of its range, or the unit hunts and has no rest.

    References:
        Derived from `rest_error`; resolution as ISA-75.25.01 uses the word (from memory, unverified).

    >>> [round(step, 3) for step in smallest_steps(1.0, 0.4, "at_band")]
    [0.4, 0.6]
    """
    rest = rest_error(band, coast, order)
    if has_limit_cycle(band, coast, order):
        raise ValueError(
            f"a unit that coasts {coast:g} % hunts with a dead band of {band:g} % and never rests"
        )
    return band / 2 - rest, band / 2 + rest


def position_tolerance(band: float, play: float) -> float:
    """Give how far the valve may stand from its command: band / 2 + play.

    Args:
        band: Total dead band in per cent, above 0; the unit does not hunt.
        play: Backlash between position feedback and valve in per cent, 0 or more; it makes no hunting.

    Returns:
        Per cent either way.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived; the feedback itself is taken as exact.

    >>> position_tolerance(1.0, 0.3)
    0.8
    """
    ensure_positive("dead band", band, "%")
    ensure_within("play", play, "%", 0)
    return band / 2 + play


def converter_step(bits: float) -> float:
    """Give one step of a converter over the full travel: 100 / (2^bits - 1).

    Args:
        bits: Whole number from 1 to 32.

    Returns:
        Per cent.

    Raises:
        ValueError: Out of range or no whole number.

    References:
        Definition.

    >>> [round(converter_step(bits), 4) for bits in (8, 10, 12)]
    [0.3922, 0.0978, 0.0244]
    """
    ensure_within("bits", bits, "", 1, 32)
    if bits != int(bits):
        raise ValueError(f"bits must be a whole number, not {bits:g}")
    return 100 / ((1 << int(bits)) - 1)
