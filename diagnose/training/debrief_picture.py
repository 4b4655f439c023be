"""The two paths as one drawing: minutes to the right, the probability of the right cause upwards.

Takes a Debrief, gives inline SVG; imports the document only. No meaning by colour alone: the program's line
is broken, and each line bears its name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from math import ceil

from diagnose.training.debrief import Debrief, Path

_WIDTH, _HEIGHT = 760.0, 340.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 54.0, 16.0, 30.0, 46.0
_TICKS = 6
# A line that ends lower than this has no room for its name under it.
_LOW = 0.1
_NAMES = {"learner": "you", "program": "the program"}


@dataclass(frozen=True)
class _Frame:
    """The scale of the drawing: minutes on the whole width."""

    minutes: float

    def x(self, minutes: float) -> float:
        """Place minutes."""
        return _LEFT + minutes / self.minutes * (_WIDTH - _LEFT - _RIGHT)

    def y(self, probability: float) -> float:
        """Place a probability."""
        return _TOP + (1 - probability) * (_HEIGHT - _TOP - _BOTTOM)


def draw_paths(document: Debrief) -> str:
    """Draw both paths.

    Args:
        document: The debrief.

    Returns:
        One SVG element.
    """
    paths = (document.program, document.learner)
    frame = _Frame(max(1.0, *(path.minutes for path in paths)))
    label = (
        f"Probability of the right cause over the minutes spent: you {document.learner.minutes:.0f} minutes, "
        f"the program {document.program.minutes:.0f} minutes"
    )
    upper = max(paths, key=_end)
    drawn = (line for path in paths for line in _path(frame, path, is_upper=path is upper))
    lines = [*_axes(frame), *drawn]
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {_HEIGHT:.0f}" role="img" aria-label="{escape(label)}">'
        + "".join(lines)
        + "</svg>"
    )


def _axes(frame: _Frame) -> Iterator[str]:
    right = _WIDTH - _RIGHT
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = frame.y(share)
        yield f'<line class="grid" x1="{_LEFT}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}"/>'
        yield _text(_LEFT - 6, y + 4, f"{share * 100:.0f} %", "end")
    step = max(1, ceil(frame.minutes / _TICKS / 10) * 10)
    for minutes in range(0, int(frame.minutes) + 1, step):
        yield _text(frame.x(minutes), _HEIGHT - _BOTTOM + 18, str(minutes), "middle")
    yield _text((_LEFT + right) / 2, _HEIGHT - 8, "minutes", "middle")
    yield _text(_LEFT, 16, "probability of the right cause; above the middle line it is likely", "start")


def _end(path: Path) -> float:
    return path.steps[-1].probability if path.steps else 0.0


def _path(frame: _Frame, path: Path, *, is_upper: bool) -> Iterator[str]:
    """Draw one path: level while a step takes its minutes, then up or down by what it told."""
    spent, level = 0.0, path.steps[0].probability if path.steps else 0.0
    line = [f"M{frame.x(0):.1f},{frame.y(level):.1f}"]
    marks = []
    for step in path.steps:
        spent += step.minutes
        level = step.probability
        x, y = frame.x(spent), frame.y(level)
        line += [f"H{x:.1f}", f"V{y:.1f}"]
        marks.append(_mark(step.kind, x, y, path.who, f"{step.number}. {step.says}"))
    yield f'<path class="{path.who}" d="{"".join(line)}"/>'
    yield from marks
    name = f"{_NAMES[path.who]}: {spent:.0f} min"
    # the names of two lines that end at one height would cover each other, and a low one the minutes below
    below = 20 if level > _LOW else -26
    yield _text(frame.x(spent), frame.y(level) + (-10 if is_upper else below), name, "end")


def _mark(kind: str, x: float, y: float, who: str, title: str) -> str:
    """Mark a step: a cross where an unsafe choice was stopped, a square where the cause was named, else a dot."""
    says = f"<title>{escape(title)}</title>"
    if kind == "unsafe":
        d = f"M{x - 6:.1f},{y - 6:.1f}l12,12m0,-12l-12,12"
        return f'<path class="stop" d="{d}">{says}</path>{_text(x, y - 10, "stopped", "middle")}'
    if kind == "close":
        return f'<rect class="{who}" x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10">{says}</rect>'
    return f'<circle class="{who}" cx="{x:.1f}" cy="{y:.1f}" r="3.5">{says}</circle>'


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(text)}</text>'
