"""One log on an even clock: pieces without gaps, each with its arrays.

Takes nothing, gives frozen records; imports nothing of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagnose.facts.stroke.columns import COMMAND, POSITION, TIME

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Piece:
    """A stretch of log without a gap, sampled evenly.

    Attributes:
        values: Arrays of equal length by column name; time in s from the start of the log.
    """

    values: dict[str, Floats]

    @property
    def time(self) -> Floats:
        """Seconds from the start of the log."""
        return self.values[TIME]

    @property
    def command(self) -> Floats:
        """Command in per cent open."""
        return self.values[COMMAND]

    @property
    def position(self) -> Floats:
        """Travel in per cent open."""
        return self.values[POSITION]

    def __len__(self) -> int:
        return len(self.time)


@dataclass(frozen=True, eq=False)
class Spikes:
    """Single samples that stand out of the travel: how many, and where the travel stood."""

    places: Floats


@dataclass(frozen=True, eq=False)
class Trace:
    """A cleaned log.

    Attributes:
        interval: Seconds between samples; no time is known better.
        names: Columns that the log has.
        rows: Rows of the file.
        notes: What was found and made good in cleaning.
    """

    path: str
    interval: float
    pieces: tuple[Piece, ...]
    names: tuple[str, ...]
    rows: int
    spikes: Spikes
    notes: tuple[str, ...]

    @cached_property
    def seconds(self) -> float:
        """Seconds watched, gaps left out."""
        return float(sum(piece.time[-1] - piece.time[0] for piece in self.pieces))

    def joined(self, name: str) -> Floats:
        """Give one column of all pieces in one array."""
        return np.concatenate([piece.values[name] for piece in self.pieces])
