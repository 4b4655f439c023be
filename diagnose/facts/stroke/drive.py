"""Where along the travel the current or the time rises, and what supply and current are on the move.

Takes motions, gives `Spot` records and figures; may import columns, estimate, holds, noise and strokes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

import numpy as np

from diagnose.facts.stroke.columns import CURRENT, OUTPUT, VOLTS
from diagnose.facts.stroke.estimate import Reading, Untold, about, magnitude
from diagnose.facts.stroke.holds import Motion, is_free_run
from diagnose.facts.stroke.movement import Change
from diagnose.facts.stroke.noise import Noise, find_last_place, find_scatter
from diagnose.facts.stroke.strokes import running_current
from diagnose.facts.stroke.trace import Floats, Piece

# Travel is looked at in stretches of so much (per cent); their edges:
_STRETCH = 5.0
_EDGES = np.arange(0.0, 100.1, _STRETCH)
# Moves shorter than this (per cent) tell nothing of a place against the rest.
_LONG = 30.0
_MOST_MOVES = 400
_FEWEST_STRETCHES = 4

What = Literal["current", "time"]


@dataclass(frozen=True, eq=False)
class Profile:
    """Current or time along the travel in one direction, against the median of the direction.

    Attributes:
        ratio: For each stretch of travel, NaN where nothing passed it.
        doubt: Doubt of a ratio.
    """

    what: What
    way: int
    ratio: Floats
    doubt: float


@dataclass(frozen=True)
class Spot:
    """A stretch of travel where current or time is above the median of its direction.

    Attributes:
        ratio: Greatest ratio within the stretch.
    """

    what: What
    way: int
    from_travel: float
    to_travel: float
    ratio: float


def find_profiles(motions: Sequence[Motion], noise: Noise) -> tuple[Profile, ...]:
    """Find current and time along the travel, each way, where the log shows them."""
    profiles = []
    for way in (1, -1):
        long = [
            (motion.piece, change)
            for motion in motions
            for change in motion.changes
            if change.size * way >= _LONG and is_free_run(motion.piece, change)
        ][:_MOST_MOVES]
        profiles += [profile for profile in _profiles(long, way, noise) if profile is not None]
    return tuple(profiles)


def _profiles(long: list[tuple[Piece, Change]], way: int, noise: Noise) -> Iterator[Profile | None]:
    if not long:
        return
    passed = [_pass(piece, change) for piece, change in long]
    seconds = np.array([times for times, _ in passed])
    fewest = np.sum(np.isfinite(seconds), axis=0).min(
        initial=len(long), where=np.isfinite(seconds).any(axis=0)
    )
    usual = float(np.nanmedian(seconds)) if np.isfinite(seconds).any() else 0.0
    if usual > 0:
        speed = _STRETCH / usual
        doubt = 2 * (noise.interval / 2 + noise.scatter / speed) / usual / np.sqrt(max(1, fewest))
        yield _profile("time", way, seconds, float(doubt))
    if CURRENT in long[0][0].values and usual > 0:
        currents = np.array([current for _, current in passed])
        scatter = find_scatter(long[0][0].values[CURRENT])
        level = float(np.nanmedian(currents)) if np.isfinite(currents).any() else 0.0
        if level > 0:
            samples = max(1.0, usual / noise.interval)
            yield _profile("current", way, currents, float(2 * scatter / level / np.sqrt(samples) + 0.02))


def _profile(what: What, way: int, values: Floats, doubt: float) -> Profile | None:
    seen = np.isfinite(values).any(axis=0)
    if seen.sum() < _FEWEST_STRETCHES:
        return None
    along = np.full(values.shape[1], np.nan)
    along[seen] = np.nanmedian(values[:, seen], axis=0)
    middle = float(np.nanmedian(along))
    return Profile(what, way, along / middle, doubt) if middle > 0 else None


def _pass(piece: Piece, change: Change) -> tuple[Floats, Floats]:
    """Give seconds and mean current for each stretch that a move passes whole, but not its two ends."""
    part = slice(change.start, change.end + 1)
    time, way = piece.time[part], 1 if change.size > 0 else -1
    gone = np.maximum.accumulate(piece.position[part] * way)
    low, high = sorted((change.before, change.after))
    edges = _EDGES if way > 0 else _EDGES[::-1]
    inside = (edges > low + _STRETCH / 2) & (edges < high - _STRETCH / 2)
    at = np.where(inside, np.interp(edges * way, gone, time), np.nan)
    seconds = np.diff(at)
    current = np.full(len(seconds), np.nan)
    if CURRENT in piece.values:
        measured = piece.values[CURRENT][part]
        for number in np.flatnonzero(np.isfinite(seconds)):
            first, last = np.searchsorted(time, at[number : number + 2])
            current[number] = float(np.mean(measured[first:last])) if last > first else np.nan
    return (seconds, current) if way > 0 else (seconds[::-1], current[::-1])


def find_spots(profiles: Sequence[Profile], limits: dict[What, float]) -> tuple[Spot, ...]:
    """Find the stretches in which a ratio is above its limit by more than its doubt."""
    return tuple(
        spot
        for profile in profiles
        if profile.what in limits
        for spot in _spots(profile, limits[profile.what])
    )


def _spots(profile: Profile, limit: float) -> Iterator[Spot]:
    above = np.nan_to_num(profile.ratio) - profile.doubt > limit
    at = 0
    for is_above, group in groupby(above.tolist()):
        length = len(tuple(group))
        if is_above:
            worst = float(np.nanmax(profile.ratio[at : at + length]))
            yield Spot(profile.what, profile.way, float(_EDGES[at]), float(_EDGES[at + length]), worst)
        at += length


def read_rise(profiles: Sequence[Profile], what: What) -> Reading:
    """Give the greatest ratio of a place to the median of its direction."""
    mine = [profile for profile in profiles if profile.what == what]
    if not mine:
        need = "the motor current over" if what == "current" else ""
        return Untold(f"it needs {need} moves of {_LONG:g} % or more at steady command".replace("  ", " "))
    profile = max(mine, key=lambda one: float(np.nanmax(one.ratio)))
    at = int(np.nanargmax(profile.ratio))
    way = "opening" if profile.way > 0 else "closing"
    where = f"{way}, at {_EDGES[at]:.0f} to {_EDGES[at + 1]:.0f} % travel"
    return about(float(profile.ratio[at]), profile.doubt, where)


def read_running_current(motions: Sequence[Motion], *, trace_has: bool) -> Reading:
    """Give the median motor current over the middle of the moves, A."""
    if not trace_has:
        return Untold("the motor current was not logged")
    levels = [level for motion in motions if (level := running_current(motion)) is not None]
    if not levels:
        return Untold("the motor never draws current")
    logged = np.concatenate([motion.piece.values[CURRENT] for motion in motions])
    scatter = max(find_scatter(motion.piece.values[CURRENT]) for motion in motions)
    doubt = max(2 * scatter, find_last_place(logged) / 2)
    return about(float(np.median(levels)), doubt, "median of the samples with the drive on")


def read_lowest_supply(motions: Sequence[Motion], *, trace_has: bool) -> Reading:
    """Give the lowest supply voltage on the move, V; single low samples within the noise do not count."""
    if not trace_has:
        return Untold("the supply voltage was not logged")
    samples = _moving(motions, VOLTS)
    if not len(samples):
        return Untold("nothing moved")
    doubt = max(3 * find_scatter(samples), find_last_place(samples) / 2)
    return about(float(np.quantile(samples, 0.005)), doubt, "lowest on the move")


def _moving(motions: Sequence[Motion], name: str) -> Floats:
    parts = [
        motion.piece.values[name][change.start + 2 : max(change.start + 3, change.end - 1)]
        for motion in motions
        for change in motion.changes
        if name in motion.piece.values
    ]
    samples = np.concatenate(parts) if parts else np.empty(0)
    return samples[np.isfinite(samples)]


def read_output_error(motions: Sequence[Motion], noise: Noise, *, trace_has: bool) -> Reading:
    """Give the greatest difference between position output and travel at rest, per cent of span."""
    if not trace_has:
        return Untold("the position output was not logged")
    worst = _worst_output(motions)
    if worst is None:
        return Untold("the travel rests nowhere")
    error, at = worst
    return magnitude(error, 2 * noise.doubt_of_level(10), f"{error:+.2f} % at {at:.1f} % travel")


def _worst_output(motions: Sequence[Motion]) -> tuple[float, float] | None:
    errors = []
    for motion in motions:
        for hold in motion.holds:
            if hold.travel is not None:
                shown = motion.piece.values[OUTPUT][max(hold.start, hold.end - hold.samples) : hold.end]
                shown = shown[np.isfinite(shown)]
                if len(shown):
                    errors.append((float(shown.mean()) - hold.travel, hold.travel))
    return max(errors, key=lambda error: abs(error[0]), default=None)
