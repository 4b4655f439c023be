"""What a log cannot show: scatter of the samples, the step of their figures, and both as doubt of a level.

Takes arrays, gives numbers; imports nothing of ours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from diagnose.facts.stroke.trace import Floats

# Standard deviation of normal scatter from its median deviation; a second difference has sqrt(6) times the scatter.
_FROM_MEDIAN = 1.4826
_SECOND_DIFFERENCE = 6**0.5
_SAMPLED = 200_000
_MOST_PLACES = 6
# No move or change below this (per cent of span) is looked for, however clean the log.
SMALLEST = 0.05
# Two resting travels nearer than this (per cent of span) are the same, however clean the log.
LEAST_DIFFERENCE = 0.02


def find_scatter(values: Floats) -> float:
    """Give the standard deviation of the noise of a signal that moves slowly against the samples."""
    bends = np.diff(values[:_SAMPLED], 2)
    bends = bends[np.isfinite(bends)]
    if not len(bends):
        return 0.0
    return float(_FROM_MEDIAN * np.median(np.abs(bends - np.median(bends))) / _SECOND_DIFFERENCE)


def find_grain(values: Floats) -> float:
    """Give the step of the figures in a log: the smallest difference between two different values."""
    different = np.unique(np.round(values[:_SAMPLED][np.isfinite(values[:_SAMPLED])], 9))
    return float(np.diff(different).min()) if len(different) > 1 else find_last_place(values)


def find_last_place(values: Floats) -> float:
    """Give the last decimal place that the figures of a log use, as the least they can be told apart by.

    A tenth at the coarsest: zeros behind the point are lost in reading.

    >>> find_last_place(np.array([0.0, 1.62, 1.6])), find_last_place(np.array([50.0]))
    (0.01, 0.1)
    """
    figures = np.unique(values[:_SAMPLED][np.isfinite(values[:_SAMPLED])])
    places = (p for p in range(1, _MOST_PLACES) if np.allclose(figures, np.round(figures, p), 0, 1e-9))
    return float(10.0 ** -next(places, _MOST_PLACES))


@dataclass(frozen=True)
class Noise:
    """What the travel of a log can show.

    Attributes:
        scatter: Standard deviation of one sample, per cent of span.
        grain: Step of the figures, per cent of span.
        interval: Seconds between samples.
    """

    scatter: float
    grain: float
    interval: float

    @property
    def visible(self) -> float:
        """Smallest change of travel that stands out of single samples."""
        return max(4 * self.scatter, 1.01 * self.grain, SMALLEST)

    def doubt_of_level(self, samples: int) -> float:
        """Give the doubt of a resting travel read from so many samples: twice its standard error, half a grain."""
        return max(2 * self.scatter / math.sqrt(max(1, samples)), self.grain / 2)

    def doubt_of_difference(self, samples: int) -> float:
        """Give how far two resting travels may differ without anything having moved."""
        return max(2 * self.doubt_of_level(samples), 1.01 * self.grain, LEAST_DIFFERENCE)

    def doubt_of_time(self, speed: float) -> float:
        """Give the doubt of a time between two events, of which one shows in travel at a speed (%/s).

        Either event is known to one interval; the travel shows only when it has left its noise.
        """
        hidden = 2 * self.scatter / abs(speed) if speed else 0.0
        return 1.5 * self.interval + hidden


def find_noise(values: Floats, interval: float) -> Noise:
    """Measure what a signal can show."""
    scatter, grain = find_scatter(values), find_grain(values)
    # a grain above one per cent is that of few values, and no limit of the log
    return Noise(scatter, grain if grain <= 1 else 0.0, interval)


def find_command_noise(values: Floats, interval: float) -> Noise:
    """Measure what a command can show; it takes few values on purpose, so that their step says nothing."""
    return Noise(find_scatter(values), 0.0, interval)
