"""Cycling: travel that swings to and fro at a steady command, and a command that swings by itself.

Takes motions, gives `Cycle` records; may import holds, noise, movement. Turning points come from scipy's
`find_peaks`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy import signal

from diagnose.facts.stroke.holds import Hold, Motion
from diagnose.facts.stroke.noise import SMALLEST, Noise
from diagnose.facts.stroke.trace import Floats

# Fewer swings than this are a step that rings, no cycle.
_FEWEST = 3
# A regular cycle has intervals alike within this share of their median.
_REGULAR = 0.5
# Half widths of smoothing to try; a swing must be so many widths long, or smoothing takes of its height.
_SMOOTHING = (3, 8, 20)
_PERIODS_OF_WIDTH = 6.0
# Swings above this (per cent, peak to peak) of a command are strokes that somebody asked for.
_WIDEST_COMMAND = 30.0
# A hold at rest for so long (s) tells that it does not cycle there.
QUIET_SECONDS = 10.0


# A signal at several widths of smoothing: half width and values.
Views = tuple[tuple[int, Floats], ...]


@dataclass(frozen=True)
class Cycle:
    """A limit cycle at one command.

    Attributes:
        amplitude: Peak to peak, per cent of span.
        period: Seconds.
        travel: Travel about which it swings.
        count: Full swings seen.
        seconds: Length of the stretch.
    """

    command: float
    amplitude: float
    period: float
    travel: float
    count: int
    seconds: float
    from_time: float


def find_cycles(motions: Iterable[Motion], noise: Noise) -> tuple[Cycle, ...]:
    """Find the holds in which the travel swings by more than the log's noise."""
    cycles = []
    for motion in motions:
        views = smooth_views(motion.piece.position)
        cycles += [_cycle_of(hold, views, noise) for hold in motion.holds]
    return tuple(cycle for cycle in cycles if cycle is not None)


def _cycle_of(hold: Hold, views: Views, noise: Noise) -> Cycle | None:
    # the first move of a hold answers the step and is no swing
    start = min(hold.changes[0].end, hold.end) if hold.by_step and hold.changes else hold.start
    swing = find_swing(hold.piece.time, views, (start, hold.end), noise)
    if swing is None:
        return None
    begin, end = float(hold.piece.time[start]), float(hold.piece.time[hold.end - 1])
    return Cycle(hold.command, swing.amplitude, swing.period, swing.middle, swing.count, end - begin, begin)


@dataclass(frozen=True)
class Swing:
    """A regular swing of a signal: peak to peak, seconds, mean, and how many."""

    amplitude: float
    period: float
    middle: float
    count: int


def smooth_views(values: Floats) -> Views:
    """Give a signal as it is and smoothed over wider and wider windows, with the half width of each."""
    halves = [half for half in _SMOOTHING if len(values) > 2 * half]
    smooth = ((half, signal.savgol_filter(values, 2 * half + 1, 1, mode="nearest")) for half in halves)
    return ((0, values), *smooth)


def find_swing(time: Floats, views: Views, part: tuple[int, int], noise: Noise) -> Swing | None:
    """Find a regular swing that stands out of the noise, in one part of a signal.

    The least smoothing that shows it is taken, so that a swing near the noise is found too and one of few
    samples is not smoothed away.
    """
    for half, values in views:
        start, end, width = part[0] + half, part[1] - half, 2 * half + 1
        if end - start < max(8, 3 * width):
            return None
        swing = _swing_of(time[start:end], values[start:end], noise, width)
        if swing is not None:
            return swing
    return None


def _swing_of(time: Floats, values: Floats, noise: Noise, width: int) -> Swing | None:
    # noise alone reaches sqrt(2 ln n) deviations to either side
    reach = 2.4 * math.sqrt(2 * math.log(len(values))) * noise.scatter / math.sqrt(width)
    least = max(reach, 1.01 * noise.grain, SMALLEST)
    if float(np.ptp(values)) < least:
        return None
    peaks, _ = signal.find_peaks(values, prominence=least, plateau_size=1)
    troughs, _ = signal.find_peaks(-values, prominence=least, plateau_size=1)
    if min(len(peaks), len(troughs)) < _FEWEST:
        return None
    gaps = np.diff(peaks)
    usual = float(np.median(gaps))
    is_regular = float(np.median(np.abs(gaps - usual))) <= _REGULAR * usual
    if not is_regular or (width > 1 and usual < _PERIODS_OF_WIDTH * width):
        return None
    amplitude = float(np.median(values[peaks]) - np.median(values[troughs]))
    return Swing(amplitude, usual * float(time[1] - time[0]), float(values.mean()), len(peaks))


def find_command_cycle(motions: Iterable[Motion], noise: Noise) -> Cycle | None:
    """Find a command that swings smoothly by itself, as under an aggressive controller."""
    for motion in motions:
        piece = motion.piece
        held = sum(hold.seconds for hold in motion.holds)
        whole = float(piece.time[-1] - piece.time[0])
        # a staircase that somebody dialled rests most of the time
        views = smooth_views(piece.command) if held <= 0.5 * whole else ()
        swing = find_swing(piece.time, views, (0, len(piece)), noise)
        if swing is not None and swing.amplitude <= _WIDEST_COMMAND:
            command, travel = float(piece.command.mean()), float(piece.position.mean())
            begin = float(piece.time[0])
            return Cycle(command, swing.amplitude, swing.period, travel, swing.count, whole, begin)
    return None


def quiet_holds(motions: Iterable[Motion], cycles: Iterable[Cycle]) -> tuple[Hold, ...]:
    """List the holds in which the travel rests to the end for long enough to tell."""
    swinging = {round(cycle.command, 6) for cycle in cycles}
    return tuple(
        hold
        for motion in motions
        for hold in motion.holds
        if hold.travel is not None
        and _rest_seconds(hold) >= QUIET_SECONDS
        and round(hold.command, 6) not in swinging
    )


def _rest_seconds(hold: Hold) -> float:
    last = max([hold.start, *(min(change.end, hold.end - 1) for change in hold.changes)])
    return float(hold.piece.time[hold.end - 1] - hold.piece.time[last])
