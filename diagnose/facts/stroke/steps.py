"""Answers to steps of the command: dead time, T63, T86, overshoot; dead band and resolution from small steps.

Takes holds, gives `Step` records and figures; may import trade, estimate, holds, movement and noise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

import numpy as np

from diagnose.facts.stroke.estimate import Reading, Untold, about, between, magnitude
from diagnose.facts.stroke.holds import Hold, Motion, is_free_run
from diagnose.facts.stroke.movement import LEVEL, crossing
from diagnose.facts.stroke.noise import SMALLEST, Noise
from diagnose.facts.stroke.wording import counted
from diagnose.trade.response import SHARE_T63, SHARE_T86

# Steps of about ten per cent give the step times (list of steps: common practice, no source).
_TIMED = (5.0, 20.0)
NO_STEPS = "the log holds no step of the command"


@dataclass(frozen=True)
class Step:
    """One step of the command and what the travel did.

    Attributes:
        at: Time of the step, s from the start of the log.
        size: Change of the command, per cent, with sign.
        since_move: Change of the command since the travel last came to rest by moving, with sign.
        is_reversal: It goes against the last movement of the travel; None where there was none.
        moved: The travel moved on it; None where that cannot be told.
        change: Change of the travel, per cent; None where it did not come to rest.
        dead_time, t63, t86: Seconds from the step; None where not seen.
        overshoot: Per cent of span beyond where it rests; None where not seen.
        speed: Per cent a second.
        at_rest: The travel rested when the step came.
    """

    at: float
    from_command: float
    to_command: float
    since_move: float
    is_reversal: bool | None
    moved: bool | None
    change: float | None
    dead_time: float | None
    t63: float | None
    t86: float | None
    overshoot: float | None
    speed: float
    at_rest: bool

    @property
    def size(self) -> float:
        """Change of the command, per cent."""
        return self.to_command - self.from_command


def find_steps(motions: Iterable[Motion], noise: Noise) -> tuple[Step, ...]:
    """Pair every step of the command with the answer of the travel."""
    return tuple(step for motion in motions for step in _steps_of(motion, noise))


def _steps_of(motion: Motion, noise: Noise) -> Iterator[Step]:
    """Walk the holds; the command of the last movement and its direction are carried along."""
    moved_at: float | None = None
    direction = 0
    for before, hold in pairwise(motion.holds):
        moved_at = before.command if moved_at is None else moved_at
        since = hold.command - moved_at
        is_reversal = None if direction == 0 else since * direction < 0
        step = _answer(before, hold, noise, since, is_reversal)
        if step.moved is not False:
            moved_at, direction = hold.command, hold.approach or direction
        if hold.by_step:
            yield step


def _answer(before: Hold, hold: Hold, noise: Noise, since: float, is_reversal: bool | None) -> Step:  # noqa: FBT001 - a fact, no switch
    piece, interval = hold.piece, noise.interval
    at = float(piece.time[hold.start]) - interval / 2
    at_rest = not hold.is_moving_at_start and hold.start >= 3
    old = _mean_before(hold)
    moves = hold.changes
    speed = moves[0].speed if moves else 0.0
    dead_time = moves[0].start_time - at if moves and at_rest else None
    change = hold.travel - old if hold.travel is not None and at_rest else None
    moved = _has_moved(hold, change, noise) if at_rest else None
    t63 = t86 = overshoot = None
    if change is not None and moves and abs(change) > noise.visible:
        t63, t86 = (_time_to(hold, old + share * change, old, at) for share in (SHARE_T63, SHARE_T86))
        overshoot = _overshoot(hold, old + change, 1 if change > 0 else -1)
    return Step(
        at,
        before.command,
        hold.command,
        since,
        is_reversal,
        moved,
        change,
        None if dead_time is None else max(0.0, dead_time),
        t63,
        t86,
        overshoot,
        speed,
        at_rest,
    )


def _has_moved(hold: Hold, change: float | None, noise: Noise) -> bool | None:
    if change is not None and not hold.changes:
        return abs(change) > noise.doubt_of_difference(min(hold.samples, LEVEL // 4))
    return True if hold.changes else None


def _mean_before(hold: Hold) -> float:
    if hold.start == 0:
        return float(hold.piece.position[0])
    # not more than a short rest: a slow approach may lie before it
    return float(hold.piece.position[max(0, hold.start - LEVEL // 4) : hold.start].mean())


def _time_to(hold: Hold, level: float, old: float, at: float) -> float | None:
    part = slice(hold.start, hold.end)
    found = crossing(hold.piece.time[part], hold.piece.position[part], level, old)
    return None if found is None else max(0.0, found - at)


def _overshoot(hold: Hold, final: float, way: int) -> float:
    """Read how far the travel goes beyond its rest, up to shortly after its last change."""
    last = min(hold.end, max(change.end for change in hold.changes) + 3)
    return max(0.0, float(np.max((hold.piece.position[hold.start : last] - final) * way)))


def read_dead_time(steps: Sequence[Step], noise: Noise) -> Reading:
    """Give the median dead time of all steps that moved the travel from rest, s."""
    seen = [step for step in steps if step.dead_time is not None]
    if not seen:
        return Untold(NO_STEPS if not steps else "no step moved the travel from rest")
    value = median(step.dead_time for step in seen if step.dead_time is not None)
    doubt = median(noise.doubt_of_time(step.speed) for step in seen)
    return magnitude(value, doubt, f"median of {counted(len(seen), 'step')}")


def read_step_time(steps: Sequence[Step], noise: Noise, name: str) -> Reading:
    """Give the median T63 or T86 of the steps of about ten per cent, s."""
    low, high = _TIMED
    times = [
        (float(getattr(step, name)), step)
        for step in steps
        if getattr(step, name) is not None and low <= abs(step.size) <= high
    ]
    if not times:
        return Untold(f"no step between {low:g} and {high:g} % that came to rest" if steps else NO_STEPS)
    doubt = median(noise.doubt_of_time(step.speed) for _, step in times)
    return magnitude(median(time for time, _ in times), doubt, f"median of {counted(len(times), 'step')}")


def read_overshoot(steps: Sequence[Step], noise: Noise) -> Reading:
    """Give the greatest overshoot of all steps, per cent of span."""
    seen = [step for step in steps if step.overshoot is not None]
    if not seen:
        return Untold("no step came to rest" if steps else NO_STEPS)
    worst = max(seen, key=lambda step: step.overshoot or 0.0)
    where = f"step from {worst.from_command:.4g} to {worst.to_command:.4g} %"
    return magnitude(worst.overshoot or 0.0, noise.visible, where)


def read_smallest(steps: Sequence[Step], *, reversals: bool) -> Reading:
    """Give the dead band (smallest reversal that moves) or the resolution (the same without reversal).

    The range runs from the largest such change of command that moved nothing to the smallest that did.
    """
    tried = [
        step
        for step in steps
        if step.is_reversal is reversals and step.moved is not None and abs(step.since_move) >= SMALLEST
    ]
    kind = "reversal" if reversals else "step in the same direction"
    if not tried:
        return Untold(f"the log holds no {kind} of the command from rest")
    moved = [abs(step.since_move) for step in tried if step.moved]
    smallest = min(moved, default=math.inf)
    ignored = [abs(step.since_move) for step in tried if not step.moved and abs(step.since_move) < smallest]
    largest = max(ignored, default=0.0)
    shown = f"smallest {kind} that moved it: {smallest:.3g} %" if moved else f"no {kind} moved it"
    missed = f"; largest that did not: {largest:.3g} %" if ignored else "; none was too small"
    return between(largest, smallest, shown + missed)


def read_stroke_time(motions: Sequence[Motion], noise: Noise, way: int) -> Reading:
    """Give the time of a full stroke in one direction, from the speed of the long moves, s."""
    long = [
        c
        for m in motions
        for c in m.changes
        if c.size * way >= 20 and c.is_whole and c.speed and is_free_run(m.piece, c)
    ]
    if not long:
        return Untold(f"no {'opening' if way > 0 else 'closing'} move of 20 % or more at steady command")
    longest = max(abs(change.size) for change in long)
    used = [change for change in long if abs(change.size) >= 0.7 * longest]
    value = median(100 / abs(change.speed) for change in used)
    # the middle six tenths of the move are timed between two samples
    share = 2 * noise.doubt_of_time(used[0].speed) / (0.6 * longest / abs(used[0].speed))
    return about(
        value, value * share, f"from the speed of {counted(len(used), 'move')} of up to {longest:.0f} %"
    )
