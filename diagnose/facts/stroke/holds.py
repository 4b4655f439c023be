"""Holds: stretches of steady command, the travel's answer in each, and where it came to rest.

Takes a `Trace`, gives `Hold` records; may import noise, movement and trace.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from diagnose.facts.stroke.movement import LEVEL, Change, find_changes
from diagnose.facts.stroke.noise import Noise, find_command_noise, find_noise
from diagnose.facts.stroke.trace import Piece, Trace

# The travel rests at the end of a hold when nothing moves in so many last samples.
_RESTING = 5
# A change of the command this short (s, or three samples) is a step, a longer one a ramp.
_STEP_SECONDS = 0.5
# A command that changes by no more than this (per cent) stands still.
_STEADY = 1.0


@dataclass(frozen=True, eq=False)
class Hold:
    """A stretch of steady command.

    Attributes:
        start: Index of the first sample at this command.
        end: One past the last.
        command: Per cent.
        travel: Resting travel at the end of the hold, per cent; None where it does not rest.
        samples: Samples behind the resting travel.
        approach: +1 when it was reached from below, -1 from above, 0 not known.
        changes: Changes of the travel that begin within the hold.
        by_step: The command came here by a step, not by a ramp.
        is_moving_at_start: The travel was still on its way when the hold began.
    """

    piece: Piece
    start: int
    end: int
    command: float
    travel: float | None
    samples: int
    approach: int
    changes: tuple[Change, ...]
    by_step: bool
    is_moving_at_start: bool

    @property
    def seconds(self) -> float:
        """Length of the hold, s."""
        return float(self.piece.time[self.end - 1] - self.piece.time[self.start])


@dataclass(frozen=True, eq=False)
class Motion:
    """Everything that moved in one piece: the travel's changes, and the holds of the command."""

    piece: Piece
    changes: tuple[Change, ...]
    command_changes: tuple[Change, ...]
    holds: tuple[Hold, ...]


def find_motions(trace: Trace) -> tuple[tuple[Motion, ...], Noise]:
    """Find the changes and holds of every piece of a log, and what its travel can show."""
    noise = find_noise(trace.joined("position"), trace.interval)
    command_noise = find_command_noise(trace.joined("command"), trace.interval)
    return tuple(_find_motion(piece, noise, command_noise) for piece in trace.pieces), noise


def _find_motion(piece: Piece, noise: Noise, command_noise: Noise) -> Motion:
    changes = find_changes(piece.time, piece.position, noise)
    command_changes = find_changes(piece.time, piece.command, command_noise)
    return Motion(piece, changes, command_changes, _holds(piece, changes, command_changes, noise))


def _holds(
    piece: Piece, changes: tuple[Change, ...], command_changes: tuple[Change, ...], noise: Noise
) -> tuple[Hold, ...]:
    starts = [0, *(change.end for change in command_changes)]
    ends = [*(change.start + 1 for change in command_changes), len(piece)]
    by_step = [False, *(_is_step(piece, change) for change in command_changes)]
    begins = [change.start for change in changes]
    holds = []
    approach = 0
    last_travel: float | None = None
    for start, end, step in zip(starts, ends, by_step, strict=True):
        if end - start < 2:
            continue
        first, last = bisect_left(begins, start - 1), bisect_left(begins, end - 1)
        within = changes[first:last]
        carried = changes[first - 1] if first else None
        is_moving = carried is not None and carried.end > start
        rest_from = max([start, *(c.end for c in within), *([carried.end] if carried and is_moving else [])])
        travel, samples = _resting_travel(piece, rest_from, end, noise)
        command = float(piece.command[start:end].mean())
        approach = _approach(approach, last_travel, travel, noise.doubt_of_difference(samples), within)
        last_travel = travel if travel is not None else last_travel
        holds.append(Hold(piece, start, end, command, travel, samples, approach, within, step, is_moving))
    return tuple(holds)


def is_free_run(piece: Piece, change: Change) -> bool:
    """Tell whether the command stands still during a move, so that the move shows the unit and not the command."""
    begin, end = min(change.start + 2, len(piece) - 1), min(change.end, len(piece) - 1)
    during = piece.command[begin : max(end, begin + 1)]
    return float(during.max() - during.min()) <= _STEADY


def _approach(
    before: int, old: float | None, new: float | None, doubt: float, changes: tuple[Change, ...]
) -> int:
    """Tell from which side a rest was reached: by the levels, or by the last change where one is lacking."""
    if old is not None and new is not None:
        return before if abs(new - old) <= doubt else (1 if new > old else -1)
    return (1 if changes[-1].size > 0 else -1) if changes else before


def _is_step(piece: Piece, change: Change) -> bool:
    interval = float(piece.time[1] - piece.time[0])
    return change.end_time - float(piece.time[change.start]) <= max(_STEP_SECONDS, 3 * interval)


def _resting_travel(piece: Piece, rest_from: int, end: int, noise: Noise) -> tuple[float | None, int]:
    if end - rest_from < _RESTING:
        return None, 0
    first = max(end - LEVEL, rest_from + (end - rest_from) // 2)
    rest = piece.position[first:end]
    # something that still creeps has no resting travel
    if abs(float(rest[-3:].mean() - rest[:3].mean())) > noise.visible:
        return None, 0
    return float(rest.mean()), end - first
