"""Find the changes of a signal: where it leaves a level, where it comes to rest, and at which levels.

Takes one even signal, gives `Change` records; may import noise and trace. Slopes come from scipy's
Savitzky-Golay filter, wide enough for the noise of the log.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from diagnose.facts.stroke.noise import Noise
from diagnose.facts.stroke.trace import Floats

# Samples taken for a level.
LEVEL = 50
_WIDEST_SECONDS = 3.0
_WINDOWS = (2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96)
# A change must stand out of its noise so many times before the window is wide enough.
_CLEAR = 20.0


@dataclass(frozen=True)
class Change:
    """One change of a signal from a level to a level.

    Attributes:
        start: Index of the last sample at the old level.
        end: Index of the first sample at the new level.
        start_time: Seconds; extrapolated back to the old level.
        end_time: Seconds.
        before: Level before.
        after: Level after.
        speed: Per cent a second over the middle of the change, with its sign.
        samples: Samples behind the level after.
        is_whole: False where a gap or the end of the log cuts it off.
    """

    start: int
    end: int
    start_time: float
    end_time: float
    before: float
    after: float
    speed: float
    samples: int
    is_whole: bool

    @property
    def size(self) -> float:
        """Change of the level, with its sign."""
        return self.after - self.before


def find_changes(time: Floats, values: Floats, noise: Noise) -> tuple[Change, ...]:
    """Find every change of a signal that stands out of its noise.

    Args:
        time: Even times, s.
        values: The signal, per cent of span.
        noise: What it can show.

    Returns:
        Changes in order of time. A turn without a rest gives two.
    """
    if len(values) < 2 * _WINDOWS[0] + 1:
        return ()
    runs = _find_runs(*_find_moving(values, noise))
    rests = _levels(values, runs)
    changes = []
    for number, (start, end) in enumerate(runs):
        change = _measure(time, values, (start, end), rests[number : number + 2], noise)
        is_whole = (number > 0 or start > 0) and (number < len(runs) - 1 or end < len(values))
        if abs(change.size) >= noise.visible:
            changes.append(replace(change, is_whole=is_whole))
    return tuple(changes)


def find_slope(values: Floats, half: int) -> Floats:
    """Give the slope per sample over `half` samples to either side."""
    slope: Floats = signal.savgol_filter(values, 2 * half + 1, 1, deriv=1)
    return slope


def _find_moving(values: Floats, noise: Noise) -> tuple[NDArray[np.int8], int]:
    """Mark every sample +1, -1 or 0 by where the signal goes; tell over how many samples that was seen."""
    widest = max(2, min(int(_WIDEST_SECONDS / noise.interval), (len(values) - 1) // 2))
    for half in _WINDOWS:
        slope = find_slope(values, half)
        least = _least_slope(half, noise)
        fastest = (
            float(np.quantile(np.abs(slope), 0.999)) if len(slope) > 5000 else float(np.abs(slope).max())
        )
        following = _WINDOWS[min(_WINDOWS.index(half) + 1, len(_WINDOWS) - 1)]
        if fastest >= _CLEAR * least or following > widest:
            break
    return (np.where(slope > least, 1, 0) - np.where(slope < -least, 1, 0)).astype(np.int8), half


def _least_slope(half: int, noise: Noise) -> float:
    """Give the slope that noise alone does not reach: six times its own scatter, and a visible change."""
    squares = 2 * sum(k * k for k in range(1, half + 1))
    return max(6 * noise.scatter / math.sqrt(squares), max(noise.visible, 1.5 * noise.grain) / (2 * half + 1))


def _find_runs(moving: NDArray[np.int8], half: int) -> list[tuple[int, int]]:
    """List stretches of one direction as start and end (exclusive); a short halt on the way is no rest."""
    edges = np.flatnonzero(np.diff(moving)) + 1
    bounds = np.concatenate(([0], edges, [len(moving)]))
    runs: list[tuple[int, int]] = []
    for start, end in pairwise(bounds):
        if moving[start] == 0:
            continue
        if runs and start - runs[-1][1] <= half + 2 and moving[start] == moving[runs[-1][0]]:
            runs[-1] = (runs[-1][0], int(end))
        else:
            runs.append((int(start), int(end)))
    return runs


def _levels(values: Floats, runs: list[tuple[int, int]]) -> list[tuple[float, int]]:
    """Give the level of each rest before, between and after the runs, with its samples.

    The last samples of a rest count, so that a slow approach has died away.
    """
    ends = [start for start, _ in runs] + [len(values)]
    begins = [0] + [end for _, end in runs]
    levels = []
    for begin, end in zip(begins, ends, strict=True):
        if end - begin < 3:
            at = min(max(begin, 0), len(values) - 1)
            levels.append((float(values[at]), max(1, end - begin)))
            continue
        first = max(end - LEVEL, begin + (end - begin) // 2)
        levels.append((float(np.mean(values[first:end])), end - first))
    return levels


def _measure(
    time: Floats, values: Floats, run: tuple[int, int], rests: list[tuple[float, int]], noise: Noise
) -> Change:
    """Place start and end of one change where the signal leaves and reaches its levels."""
    (before, _), (after, samples) = rests
    margin = 16
    first, last = max(0, run[0] - margin), min(len(values), run[1] + margin)
    part = values[run[0] : run[1]]
    near = max(4 * noise.scatter, noise.grain, 1e-3 * abs(after - before))
    towards = 1 if after >= before else -1
    middle = before + 0.5 * (after - before)
    passed = np.flatnonzero((part - middle) * towards >= 0)
    half = run[0] + int(passed[0]) if len(passed) else run[1] - 1
    left = np.flatnonzero((values[first : half + 1] - before) * towards <= near)
    start = first + int(left[-1]) if len(left) else run[0]
    away = np.flatnonzero((after - values[half:last]) * towards > near)
    end = min(half + int(away[-1]) + 1 if len(away) else half, len(values) - 1)
    speed = _speed(time, values, (start, max(end, start + 1)), before, after)
    back = (values[start] - before) / speed if speed else 0.0
    start_time = float(time[start] - max(0.0, min(back, float(time[start] - time[first]))))
    return Change(start, end, start_time, float(time[end]), before, after, speed, samples, is_whole=True)


def _speed(time: Floats, values: Floats, run: tuple[int, int], before: float, after: float) -> float:
    """Give the mean speed between a fifth and four fifths of a change."""
    start, end = run[0], min(run[1] + 1, len(values))
    part, clock = values[start:end], time[start:end]
    low = crossing(clock, part, before + 0.2 * (after - before), before)
    high = crossing(clock, part, before + 0.8 * (after - before), before)
    if low is None or high is None or high <= low:
        return float((after - before) / max(clock[-1] - clock[0], 1e-9))
    return 0.6 * (after - before) / (high - low)


def crossing(time: Floats, values: Floats, level: float, before: float) -> float | None:
    """Give the time at which a signal that starts at `before` first crosses a level, between samples."""
    beyond = values >= level if level >= before else values <= level
    if not beyond.any():
        return None
    at = int(np.argmax(beyond))
    if at == 0:
        return float(time[0])
    low, high = float(values[at - 1]), float(values[at])
    share = (level - low) / (high - low) if high != low else 1.0
    return float(time[at - 1] + share * (time[at] - time[at - 1]))
