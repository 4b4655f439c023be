"""The shape of the errors over the travel: a clipped end, a wrong slope, a shift, a gap or a bump.

Takes resting points, gives findings; may import points. The middle points are fitted first: the end points
alone cannot tell a clipped end from a wrong slope (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnose.facts.stroke.points import Point

Kind = Literal["exact", "clipped_open", "clipped_closed", "slope", "shift", "gap", "bump", "curved"]
# The middle lies between these commands; fewer than two points there fit no line.
_MIDDLE = (10.0, 90.0)
_FEWEST = 2
_NARROWEST = 20.0
# Less travel than this (per cent) has no shape.
_LEAST_TRAVEL = 10.0


@dataclass(frozen=True)
class Shape:
    """One thing found in the shape.

    Attributes:
        size: Per cent of span: what is missing, the error over the whole span, the shift, the gap.
    """

    kind: Kind
    says: str
    size: float


def find_shapes(points: Sequence[Point], exact_within: float) -> tuple[Shape, ...]:
    """Read what the errors look like along the travel.

    Args:
        points: Resting points in order of command.
        exact_within: Per cent within which a point counts as exact; widened by the doubt of the points.

    Returns:
        Findings, or nothing where the points are too few to tell.
    """
    if not points:
        return ()
    within = exact_within + 2 * max(point.doubt for point in points)
    middle = _without_plateaus([p for p in points if _MIDDLE[0] <= p.command <= _MIDDLE[1]], points, within)
    if len(middle) < _FEWEST or middle[-1].command - middle[0].command < _NARROWEST:
        return ()
    if max(p.middle for p in points) - min(p.middle for p in points) < _LEAST_TRAVEL:
        return ()
    found = [*_gap(points, within)]
    line, bumps = _fit(middle, within)
    found += bumps
    found += _line(line, within)
    found += _ends(points, line, found, within)
    if not found:
        found += _curve(points, line, within)
    return tuple(found) or (Shape("exact", "Every resting point lies on its command.", 0.0),)


def _without_plateaus(middle: list[Point], points: Sequence[Point], within: float) -> list[Point]:
    """Leave out middle points at which the travel already stands where it ends: the end is clipped there."""
    low, high = points[0], points[-1]
    return [
        p
        for p in middle
        if not (high.command - p.command > _NARROWEST and p.middle >= high.middle - within)
        and not (p.command - low.command > _NARROWEST and p.middle <= low.middle + within)
    ]


def _fit(middle: Sequence[Point], within: float) -> tuple[tuple[float, float], list[Shape]]:
    """Fit slope and offset to the middle points; one that stands out of four or more is a bump."""
    commands = np.array([point.command for point in middle])
    travels = np.array([point.middle for point in middle])
    if len(middle) >= 4:
        for out in range(len(middle)):
            keep = np.arange(len(middle)) != out
            slope, offset = np.polyfit(commands[keep], travels[keep], 1)
            off = travels - (slope * commands + offset)
            if abs(off[out]) > 2 * within and np.abs(off[keep]).max() <= within / 2:
                says = f"A bump: at {commands[out]:.4g} % command alone travel is off by {off[out]:+.2f} %."
                return (float(slope), float(offset)), [Shape("bump", says, float(off[out]))]
    slope, offset = np.polyfit(commands, travels, 1)
    return (float(slope), float(offset)), []


def _gap(points: Sequence[Point], within: float) -> Iterator[Shape]:
    """A gap between the directions that is about the same in the middle of the travel.

    Either direction may be off by what still counts as exact.
    """
    gaps = [
        p.down - p.up
        for p in points
        if p.up is not None and p.down is not None and _MIDDLE[0] <= p.command <= _MIDDLE[1]
    ]
    if len(gaps) >= 2 and float(np.abs(gaps).min()) > 2 * within and float(np.ptp(gaps)) <= within:
        size = float(np.mean(gaps))
        yield Shape("gap", f"A constant gap of {size:+.2f} % between the directions.", size)


def _line(line: tuple[float, float], within: float) -> Iterator[Shape]:
    slope, offset = line
    over_span = (slope - 1) * 100
    if abs(over_span) > within:
        says = (
            f"A straight line of the wrong slope: {slope:.3f} per cent of travel for a per cent of command."
        )
        yield Shape("slope", says, over_span)
    # the shift is what is left where a slope turns: at the exact end, or in the middle of a true slope
    shift = offset if abs(over_span) > within else offset + (slope - 1) * 50
    if abs(shift) > within:
        yield Shape("shift", f"A parallel shift of {shift:+.2f} %.", shift)


def _ends(
    points: Sequence[Point], line: tuple[float, float], found: Sequence[Shape], within: float
) -> Iterator[Shape]:
    """Find end points short of the line through the middle; the full travel itself stops a shifted line."""
    slope, offset = line
    # an end is reached from one side only, so half a gap is not missing there
    within += sum(abs(shape.size) / 2 for shape in found if shape.kind == "gap")
    is_shifted = any(shape.kind in {"shift", "slope"} for shape in found)
    for point in points:
        wanted = slope * point.command + offset
        if _MIDDLE[0] <= point.command <= _MIDDLE[1]:
            continue
        missing = wanted - point.middle if point.command > 50 else point.middle - wanted
        is_full = abs(point.middle - (100 if point.command > 50 else 0)) <= within
        if missing > within and not (is_shifted and is_full):
            end: Kind = "clipped_open" if point.command > 50 else "clipped_closed"
            if not any(shape.kind == end for shape in found):
                side = "open" if point.command > 50 else "closed"
                exact = "" if is_shifted else " with an exact middle"
                says = (
                    f"The {side} end is clipped at {point.middle:.2f} % travel{exact}, {missing:.2f} % short."
                )
                yield Shape(end, says, missing)


def _curve(points: Sequence[Point], line: tuple[float, float], within: float) -> Iterator[Shape]:
    slope, offset = line
    off = [point.middle - slope * point.command - offset for point in points]
    if off and max(abs(value) for value in off) > within:
        worst = max(off, key=abs)
        yield Shape("curved", f"A curve: travel leaves the straight line by up to {worst:+.2f} %.", worst)
