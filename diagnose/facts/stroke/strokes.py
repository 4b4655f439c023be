"""Long moves and what happens at their end: travel reached, contacts in order, drive off, run-on.

Takes motions, gives `Stroke` records and figures; may import columns, estimate, holds and noise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from diagnose.facts.stroke.columns import CONTACTS, CURRENT
from diagnose.facts.stroke.estimate import Reading, Untold, about, magnitude
from diagnose.facts.stroke.holds import Hold, Motion
from diagnose.facts.stroke.movement import Change
from diagnose.facts.stroke.noise import Noise
from diagnose.facts.stroke.trace import Piece
from diagnose.facts.stroke.wording import counted

# A move of at least so much travel (per cent) is a stroke; towards an end less will do.
LONG = 50.0
_TOWARDS_END = 2.0
# The command asks for an end above or below this (per cent).
ASKS_OPEN, ASKS_CLOSED = 98.0, 2.0
# The drive is off where the current falls below this share of its running value.
_OFF = 0.3
_DRAWN = 0.05
# Contacts and drive are looked for so many seconds after standstill too.
_AFTER = 2.0

End = Literal["open", "closed", "midway"]


@dataclass(frozen=True)
class Event:
    """Something that happened on a stroke: which contact or the drive, when, and at which travel."""

    name: str
    at: float
    travel: float


@dataclass(frozen=True)
class Stroke:
    """One long move.

    Attributes:
        way: +1 opening, -1 closing.
        end: The end that the command asked for.
        begins: Seconds from the start of the log.
        seconds: From the first movement to standstill.
        started_at: Travel before it, per cent.
        reached: Travel at standstill, per cent.
        doubt: Doubt of it.
        speed: Per cent a second.
        events: Contacts and drive in order of time, standstill among them.
        made: Contacts that are made at standstill.
        coast: Travel from drive off to standstill; None where the log does not show when the drive went off.
    """

    way: int
    end: End
    begins: float
    seconds: float
    started_at: float
    reached: float
    doubt: float
    speed: float
    events: tuple[Event, ...]
    made: tuple[str, ...]
    coast: float | None

    @property
    def order(self) -> str:
        """Say the order of events in words."""
        return ", then ".join(
            f"{event.name.replace('_', ' ')} at {event.travel:z.1f} %" for event in self.events
        )


def find_strokes(motions: Iterable[Motion], noise: Noise) -> tuple[Stroke, ...]:
    """Find the long moves and the events at their ends; a move cut off by a gap is left out."""
    return tuple(
        _stroke(motion.piece, change, noise, running)
        for motion, running in ((motion, running_current(motion)) for motion in motions)
        for change in motion.changes
        if change.is_whole and _is_stroke(motion.piece, change)
    )


def _is_stroke(piece: Piece, change: Change) -> bool:
    asked = _asked_end(piece, change)
    towards = (asked == "open" and change.size > 0) or (asked == "closed" and change.size < 0)
    return abs(change.size) >= (_TOWARDS_END if towards else LONG)


def _asked_end(piece: Piece, change: Change) -> End:
    command = float(piece.command[min(change.end, len(piece) - 1)])
    return "open" if command >= ASKS_OPEN else "closed" if command <= ASKS_CLOSED else "midway"


def running_current(motion: Motion) -> float | None:
    """Give the median motor current on the move, A; None where it was not logged."""
    current = motion.piece.values.get(CURRENT)
    if current is None or not motion.changes:
        return None
    drawn = current[np.isfinite(current)]
    # rest and electronics draw a small part of the peak
    drawn = drawn[drawn > _DRAWN * drawn.max(initial=0.0)]
    return float(np.median(drawn)) if len(drawn) else None


def _stroke(piece: Piece, change: Change, noise: Noise, running: float | None) -> Stroke:
    way = 1 if change.size > 0 else -1
    events = sorted(_events(piece, change, running), key=lambda event: event.at)
    off = next((event for event in events if event.name == "drive_off"), None)
    if off is None and running is None:
        # without a current the first contact of this way is the nearest thing to the end of the drive
        off = next((event for event in events if event.at <= change.end_time), None)
    # one interval cannot tell which came first
    by = change.end_time + 1.5 * noise.interval
    standstill = Event("standstill", change.end_time, change.after)
    order = (*(e for e in events if e.at <= by), standstill, *(e for e in events if e.at > by))
    return Stroke(
        way,
        _asked_end(piece, change),
        change.start_time,
        change.end_time - change.start_time,
        change.before,
        change.after,
        noise.doubt_of_level(change.samples),
        change.speed,
        order,
        tuple(_made_at(piece, change)),
        abs(change.after - off.travel) if off is not None else None,
    )


def _events(piece: Piece, change: Change, running: float | None) -> Iterator[Event]:
    interval = float(piece.time[1] - piece.time[0])
    last = min(len(piece), change.end + 1 + int(_AFTER / interval))
    way = "open" if change.size > 0 else "close"
    for name in CONTACTS:
        if name in piece.values and name.startswith(way):
            yield from _edges(piece, name, piece.values[name][change.start : last] > 0.5, change.start)
    if running is not None:
        is_off = piece.values[CURRENT][change.start : last] < _OFF * running
        half = (change.end - change.start) // 2
        yield from _edges(piece, "drive_off", is_off[half:], change.start + half)


def _edges(piece: Piece, name: str, is_on: NDArray[np.bool_], first: int) -> Iterator[Event]:
    rising = np.flatnonzero(is_on[1:] & ~is_on[:-1])
    if len(rising):
        at = first + int(rising[0]) + 1
        yield Event(name, float(piece.time[at]), float(piece.position[at]))


def _made_at(piece: Piece, change: Change) -> Iterator[str]:
    at = min(len(piece) - 1, change.end + 1)
    yield from (name for name in CONTACTS if name in piece.values and piece.values[name][at] > 0.5)


def find_makings(motions: Iterable[Motion], name: str) -> tuple[float, ...]:
    """Give the travel at each moment a contact makes."""
    travels: list[float] = []
    for motion in motions:
        is_on = motion.piece.values[name] > 0.5
        travels += motion.piece.position[np.flatnonzero(is_on[1:] & ~is_on[:-1]) + 1].tolist()
    return tuple(travels)


def holds_at(motions: Iterable[Motion], end: End) -> tuple[Hold, ...]:
    """List the holds at the command of an end in which the travel rests, other than those left from beyond."""
    return tuple(
        hold
        for motion in motions
        for hold in motion.holds
        if hold.travel is not None
        and (hold.command >= ASKS_OPEN if end == "open" else hold.command <= ASKS_CLOSED)
        and hold.approach != (-1 if end == "open" else 1)
    )


def read_short(motions: Iterable[Motion], noise: Noise, end: End) -> Reading:
    """Give how far the travel stays short of its end in the worst case, per cent; negative when past it."""
    there = [(hold.travel, hold) for hold in holds_at(motions, end) if hold.travel is not None]
    if not there:
        return Untold(f"the travel rests at no command for the {end} end")
    mark, way = (100.0, 1) if end == "open" else (0.0, -1)
    travel, worst = max(there, key=lambda rest: abs(mark - rest[0]))
    # no minus before a travel that rounds to nothing
    where = f"worst of {len(there)}, at {travel:z.2f} %"
    return about((mark - travel) * way, noise.doubt_of_level(worst.samples), where)


def read_spread(motions: Iterable[Motion], noise: Noise, end: End) -> Reading:
    """Give the spread of the travels reached at an end by moves to it, per cent."""
    moved = [hold for hold in holds_at(motions, end) if hold.changes]
    if len(moved) < 2:
        return Untold(f"it needs two moves to the {end} end; the log has {len(moved)}")
    reached = [hold.travel for hold in moved if hold.travel is not None]
    doubt = 1.5 * noise.doubt_of_level(min(hold.samples for hold in moved))
    return magnitude(max(reached) - min(reached), doubt, counted(len(reached), "move"))


def read_coast(motions: Sequence[Motion], noise: Noise) -> Reading:
    """Give how far it runs on after the drive went off, per cent: nine in ten stops run on no further."""
    coasts = []
    for motion in motions:
        running = running_current(motion)
        for change in motion.changes:
            if not change.is_whole:
                continue
            stroke = _stroke(motion.piece, change, noise, running)
            if stroke.coast is not None:
                coasts.append((stroke.coast, abs(change.speed)))
    if not coasts:
        return Untold("it needs the motor current, or a contact that ends the drive")
    # a stop or an end cuts some run-ons short, so the long ones are those of the drive
    value = float(np.quantile([coast for coast, _ in coasts], 0.9, method="higher"))
    doubt = noise.visible / 2 + median(speed for _, speed in coasts) * noise.interval
    return magnitude(value, doubt, f"nine in ten of {counted(len(coasts), 'stop')} run on no further")


def count_starts(motions: Sequence[Motion], swings: int) -> int:
    """Count motor starts: from the current where it was logged, else moves, with two for each swing."""
    starts = 0
    for motion in motions:
        running = running_current(motion)
        if running is None:
            starts += len(motion.changes)
        else:
            is_on = motion.piece.values[CURRENT] > _OFF * running
            starts += int(np.sum(is_on[1:] & ~is_on[:-1])) + int(is_on[0])
    return starts if any(running_current(motion) for motion in motions) else max(starts, swings)


def running_seconds(motions: Sequence[Motion]) -> float:
    """Give the seconds with the drive on: from the current where it was logged, else those on the move."""
    seconds = 0.0
    for motion in motions:
        running = running_current(motion)
        interval = float(motion.piece.time[1] - motion.piece.time[0])
        if running is not None:
            seconds += float(np.sum(motion.piece.values[CURRENT] > _OFF * running)) * interval
            continue
        is_moving = np.zeros(len(motion.piece), bool)
        for change in motion.changes:
            is_moving[change.start : change.end] = True
        seconds += float(is_moving.sum()) * interval
    return seconds
