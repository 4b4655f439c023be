"""Make a log even: rows in order of time, none twice, gaps parted, jitter told, stray samples taken out.

Takes a `RawLog`, gives a `Trace`; may import errors, loading and trace.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.facts.stroke.columns import COMMAND, CONTACTS, NEEDED, POSITION, TIME
from diagnose.facts.stroke.loading import RawLog
from diagnose.facts.stroke.noise import find_scatter
from diagnose.facts.stroke.trace import Floats, Piece, Spikes, Trace
from diagnose.facts.stroke.wording import counted

FEWEST_ROWS = 10
FEWEST_IN_PIECE = 10
# A pause of more than so many intervals is a gap.
_GAP = 5.0
# More rows than this share out of place are no late arrivals: the clock was set back.
_MOST_OUT_OF_PLACE = 0.05
# Sampling is called uneven where intervals differ by more than this share of the usual one.
_JITTER = 0.1
# A sample this far (per cent of span) from its neighbours is a stray one, whatever the noise.
_STRAY = 1.0


def clean_log(raw: RawLog, *, is_reverse: bool = False) -> Trace:
    """Bring a log onto an even clock.

    Args:
        raw: The log as written.
        is_reverse: The unit closes on a rising command; the command is turned round.

    Returns:
        Pieces without gaps, and a note on everything that was not as it should be.

    Raises:
        InputFaulty: Too few rows, or a time that does not advance.
    """
    notes = list(raw.notes)
    values = _in_order(raw, notes)
    if is_reverse:
        values[COMMAND] = 100 - values[COMMAND]
        notes.append("Reverse acting by the unit record: the command was turned round.")
    values, places = _without_strays(values, notes)
    steps = np.diff(values[TIME])
    interval = float(np.median(steps))
    _note_jitter(steps, interval, notes)
    pieces = tuple(_pieces(values, steps, interval))
    if not pieces:
        wrong = f"no stretch of {FEWEST_IN_PIECE} samples without a gap"
        raise _refuse(raw.path, wrong, "log faster, or without pauses")
    _note_gaps(steps, interval, pieces, notes)
    return Trace(
        Path(raw.path).name,
        max(interval, *(float(piece.time[1] - piece.time[0]) for piece in pieces)),
        pieces,
        tuple(values),
        len(raw.values[TIME]),
        Spikes(places),
        tuple(notes),
    )


def _in_order(raw: RawLog, notes: list[str]) -> dict[str, Floats]:
    """Drop rows without a needed value, sort by time, keep the last of rows with one time."""
    usable = np.all([np.isfinite(raw.values[name]) for name in NEEDED], axis=0)
    values = {name: array[usable] for name, array in raw.values.items()}
    time = values[TIME]
    _ensure_enough(raw.path, len(time), len(usable))
    if float(np.ptp(time)) <= 0:
        raise _refuse(raw.path, "the time is the same in every row", "log with a time that advances")
    late = int(np.sum(time < np.maximum.accumulate(time)))
    if late:
        if late > _MOST_OUT_OF_PLACE * len(time):
            row = int(np.argmax(np.diff(time) < 0)) + 3
            wrong = f"time goes back near row {row} and {late:,} rows lie before what came already"
            raise _refuse(raw.path, wrong, "split the log where its clock starts again")
        order = np.argsort(time, kind="stable")
        values = {name: array[order] for name, array in values.items()}
        notes.append(f"{counted(late, 'row')} out of order, put in order of time.")
    return _drop_doubled(values, notes, raw.path)


def _drop_doubled(values: dict[str, Floats], notes: list[str], path: str) -> dict[str, Floats]:
    time = values[TIME]
    last = np.append(np.diff(time) > 0, [True])
    doubled = len(time) - int(np.sum(last))
    if doubled:
        notes.append(f"{counted(doubled, 'row')} with the time of another left out, the last of each kept.")
        values = {name: array[last] for name, array in values.items()}
        _ensure_enough(path, len(values[TIME]), len(time))
    return {**values, TIME: values[TIME] - values[TIME][0]}


def _ensure_enough(path: str, usable: int, rows: int) -> None:
    if usable < FEWEST_ROWS:
        wrong = f"{counted(rows, 'row')}, {usable} of them usable; a stroke needs at least {FEWEST_ROWS}"
        raise _refuse(path, wrong, "log faster or longer")


def _without_strays(values: dict[str, Floats], notes: list[str]) -> tuple[dict[str, Floats], Floats]:
    """Put the median of five in the place of single samples that stand out of the travel."""
    position = values[POSITION]
    smooth = signal.medfilt(position, 5)
    smooth[:2], smooth[-2:] = position[:2], position[-2:]
    stray = np.abs(position - smooth) > max(_STRAY, 8 * find_scatter(position))
    if not stray.any():
        return values, position[:0]
    notes.append(f"{counted(int(stray.sum()), 'single sample')} out of line with the travel, smoothed over.")
    return {**values, POSITION: np.where(stray, smooth, position)}, smooth[stray]


def _note_jitter(steps: Floats, interval: float, notes: list[str]) -> None:
    usual = steps[steps <= _GAP * interval]
    low, high = (float(edge) for edge in np.quantile(usual, (0.05, 0.95)))
    if high - low > _JITTER * interval:
        notes.append(
            f"Uneven sampling: nine in ten intervals lie between {low:.3g} and {high:.3g} s; "
            f"read between the samples on an even clock of {interval:.3g} s."
        )


def _note_gaps(steps: Floats, interval: float, pieces: tuple[Piece, ...], notes: list[str]) -> None:
    gaps = steps[steps > _GAP * interval]
    if len(gaps):
        notes.append(
            f"{counted(len(gaps), 'gap')} of up to {float(gaps.max()):.3g} s; nothing is concluded across a gap "
            f"({counted(len(pieces), 'piece')} of log kept)."
        )


def _pieces(values: dict[str, Floats], steps: Floats, interval: float) -> Iterator[Piece]:
    cuts = np.flatnonzero(steps > _GAP * interval) + 1
    bounds = [0, *(int(cut) for cut in cuts), len(steps) + 1]
    for start, end in pairwise(bounds):
        if end - start >= FEWEST_IN_PIECE:
            yield _even_piece({name: array[start:end] for name, array in values.items()}, interval)


def _even_piece(values: dict[str, Floats], interval: float) -> Piece:
    """Read a stretch on an even clock: travel and measured values between samples, the rest held."""
    time = values[TIME]
    span = float(time[-1] - time[0])
    # never many more samples than rows: a burst among slow rows would fill the memory
    count = min(round(span / interval) + 1, 4 * len(time))
    if count == len(time) and np.allclose(np.diff(time), interval, rtol=1e-3, atol=0):
        return Piece(values)
    clock = np.linspace(time[0], time[-1], count)
    return Piece({name: _read_at(clock, name, time, array) for name, array in values.items()})


def _read_at(clock: Floats, name: str, time: Floats, array: Floats) -> Floats:
    if name == TIME:
        return clock
    if name == COMMAND or name in CONTACTS:
        held: NDArray[np.intp] = np.searchsorted(time, clock + 1e-9, side="right") - 1
        return array[np.clip(held, 0, len(array) - 1)]
    usable = np.isfinite(array)
    if usable.sum() < 2:
        return np.full(len(clock), np.nan)
    return np.interp(clock, time[usable], array[usable])


def _refuse(path: str, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "stroke-log", wrong, cure)])
