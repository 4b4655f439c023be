"""Resting points: error, hysteresis, zero, span and linearity, at any commands approached from both sides.

Takes holds, gives `Point` records and figures; may import estimate, holds and noise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import fmean

from diagnose.facts.stroke.estimate import Reading, Untold, about, magnitude
from diagnose.facts.stroke.holds import Hold, Motion
from diagnose.facts.stroke.noise import Noise

# Commands nearer than this (per cent) are one point; an end point lies this near to 0 or 100 %.
_SAME = 0.5
AT_END = 2.0
NO_POINTS = "the travel rests at no steady command"


@dataclass(frozen=True)
class Point:
    """One command and the travels at which the unit came to rest there.

    Attributes:
        up: Mean travel approached from below, per cent; None where it was not.
        down: Mean travel approached from above.
        other: Mean travel where the approach is not known.
        doubt: Doubt of each mean, per cent.
    """

    command: float
    up: float | None
    down: float | None
    other: float | None
    doubt: float

    @property
    def travels(self) -> tuple[float, ...]:
        """The travels known here."""
        return tuple(travel for travel in (self.up, self.down, self.other) if travel is not None)

    @property
    def middle(self) -> float:
        """Travel between the directions: their mean where both are known, else what is known."""
        both = tuple(travel for travel in (self.up, self.down) if travel is not None)
        return fmean(both or self.travels)


def find_points(motions: Iterable[Motion], noise: Noise) -> tuple[Point, ...]:
    """Gather the resting travels by command, in order of command."""
    resting = sorted(
        (hold for motion in motions for hold in motion.holds if hold.travel is not None),
        key=lambda hold: hold.command,
    )
    groups: list[list[Hold]] = []
    for hold in resting:
        if groups and hold.command - groups[-1][0].command <= _SAME:
            groups[-1].append(hold)
        else:
            groups.append([hold])
    return tuple(_point(group, noise) for group in groups)


def _point(group: Sequence[Hold], noise: Noise) -> Point:
    def mean_from(side: int) -> float | None:
        # what the command is off the point's own is taken off the travel too
        travels = [
            hold.travel - (hold.command - command)
            for hold in group
            if hold.approach == side and hold.travel is not None
        ]
        return fmean(travels) if travels else None

    command = fmean(hold.command for hold in group)
    fewest = min(hold.samples for hold in group)
    return Point(command, mean_from(1), mean_from(-1), mean_from(0), noise.doubt_of_level(fewest))


def read_point_error(points: Sequence[Point]) -> Reading:
    """Give the greatest error of a resting point, per cent of span."""
    errors = [(travel - point.command, point) for point in points for travel in point.travels]
    if not errors:
        return Untold(NO_POINTS)
    worst, point = max(errors, key=lambda error: abs(error[0]))
    return magnitude(worst, point.doubt, f"{worst:+.2f} % at {point.command:.4g} % command")


def read_hysteresis(points: Sequence[Point]) -> Reading:
    """Give the greatest difference between the directions: max |down - up|, per cent of span.

    References:
        IEC 61298-2 for the term.
    """
    both = [
        (point.down - point.up, point) for point in points if point.up is not None and point.down is not None
    ]
    if not both:
        return Untold("no command was reached from both sides")
    worst, point = max(both, key=lambda gap: abs(gap[0]))
    return magnitude(worst, 1.5 * point.doubt, f"at {point.command:.4g} % command")


def read_zero(points: Sequence[Point]) -> Reading:
    """Give the travel at zero command, with its sign, per cent."""
    low = _end(points, 0)
    if low is None:
        return Untold("the travel rests at no command near 0 %")
    return about(low.middle - low.command, low.doubt, f"at {low.command:.4g} % command")


def read_span(points: Sequence[Point]) -> Reading:
    """Give the span error: travel from the lowest to the highest command less the commands' own, per cent."""
    low, high = _end(points, 0), _end(points, 100)
    if low is None or high is None:
        return Untold("the travel does not rest at both ends of the command")
    value = (high.middle - high.command) - (low.middle - low.command)
    return about(value, 1.5 * max(low.doubt, high.doubt), "from end to end")


def read_linearity(points: Sequence[Point]) -> Reading:
    """Give the terminal-based non-linearity: max |m - line through the ends of m|, m the mean of directions.

    References:
        Definition; terms as in IEC 61298-2.
    """
    low, high = _end(points, 0), _end(points, 100)
    between = [point for point in points if AT_END < point.command < 100 - AT_END]
    # a point seen from one side lies half the hysteresis off the middle
    between = [point for point in between if point.up is not None and point.down is not None] or between
    if low is None or high is None or not between:
        return Untold("it needs resting points at both ends and between them")
    slope = (high.middle - low.middle) / (high.command - low.command)
    offs = [(p.middle - low.middle - slope * (p.command - low.command), p) for p in between]
    worst, point = max(offs, key=lambda off: abs(off[0]))
    return magnitude(worst, 2 * point.doubt, f"at {point.command:.4g} % command")


def _end(points: Sequence[Point], end: float) -> Point | None:
    near = [point for point in points if abs(point.command - end) <= AT_END]
    return min(near, key=lambda point: abs(point.command - end), default=None)
