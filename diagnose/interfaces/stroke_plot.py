"""Draw a stroke log into a picture file: over time, travel against command, and error against travel.

Takes an `Analysis`, writes SVG or PNG; may import everything above. matplotlib is an optional extra.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.facts.stroke.analysis import Analysis
from diagnose.facts.stroke.trace import Floats, Piece
from diagnose.interfaces.writing import write_whole

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KINDS = (".svg", ".png")
_DPI = 110
# Lightness steps too, so that the curves stay apart in grey; opening and closing differ in dash as well.
_COMMAND, _TRAVEL = "#9a8f80", "#1d5a73"
_OPENING, _CLOSING = "#1d5a73", "#c0612b"
_MOST_POINTS = 4000
_MOST_EVENTS = 12
_FEW_POINTS = 4
_EVENT = {"drive_off": "o", "open_limit": "^", "close_limit": "v", "open_torque": "D", "close_torque": "D"}


def draw_stroke(a: Analysis, path: Path) -> None:
    """Draw an analysed log.

    Args:
        a: The log.
        path: The file; .svg or .png.

    Raises:
        InputFaulty: Another ending, no drawing library, or the file cannot be written.
    """
    if path.suffix.lower() not in KINDS:
        raise _refuse(path, f"no picture kind '{path.suffix}'", f"end the name in {' or '.join(KINDS)}")
    try:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
    except ImportError:
        cure = "install the extra: pip install 'diagnose[pictures]'"
        raise _refuse(path, "pictures need matplotlib, which is not installed", cure) from None
    figure = Figure(figsize=(11, 8.2), dpi=_DPI, layout="constrained")
    FigureCanvasAgg(figure)
    _draw(figure, a)
    stream = io.BytesIO()
    is_svg = path.suffix.lower() == ".svg"
    # a picture of the same log is the same file
    figure.savefig(
        stream, format=path.suffix[1:].lower(), metadata={"Date": None} if is_svg else {"Software": None}
    )
    write_whole(path, stream.getvalue())


def _refuse(path: Path, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "picture", wrong, cure)])


def _draw(figure: Figure, a: Analysis) -> None:
    grid = figure.add_gridspec(2, 2, height_ratios=(1, 1.15))
    time, curve, error = (figure.add_subplot(place) for place in (grid[0, :], grid[1, 0], grid[1, 1]))
    figure.suptitle(f"Stroke log {a.trace.path}", fontsize=12, fontweight="bold")
    _draw_time(time, a)
    _draw_curve(curve, a)
    _draw_error(error, a)
    for axes in (time, curve, error):
        axes.grid(visible=True, linewidth=0.4, alpha=0.5)
        axes.spines[["top", "right"]].set_visible(False)


def _thin(piece: Piece, share: float) -> Floats:
    """Choose samples to draw: every so many, and never more than can be seen."""
    wanted = max(2, int(_MOST_POINTS * share))
    return np.unique(np.linspace(0, len(piece) - 1, min(len(piece), wanted)).astype(int))


def _draw_time(axes: Axes, a: Analysis) -> None:
    whole = sum(len(piece) for piece in a.trace.pieces)
    for number, piece in enumerate(a.trace.pieces):
        at = _thin(piece, len(piece) / whole)
        labels = ("command", "travel") if number == 0 else ("_", "_")
        axes.step(
            piece.time[at], piece.command[at], where="post", color=_COMMAND, linewidth=1.6, linestyle="--",
            label=labels[0],
        )  # fmt: skip
        axes.plot(piece.time[at], piece.position[at], color=_TRAVEL, linewidth=1.2, label=labels[1])
    for cycle in a.cycles[:_MOST_EVENTS]:
        axes.axvspan(
            cycle.from_time, cycle.from_time + cycle.seconds, color="#e3c65b", alpha=0.3, linewidth=0
        )
        axes.annotate(
            "swings", (cycle.from_time, cycle.travel), fontsize=7.5, xytext=(2, 8), textcoords="offset points"
        )
    _mark_events(axes, a)
    axes.set(xlabel="time, s", ylabel="%", ylim=_room(a))
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, 1.16), ncols=8, fontsize=8, frameon=False)


def _mark_events(axes: Axes, a: Analysis) -> None:
    marked: set[str] = set()
    for stroke in a.strokes[:_MOST_EVENTS]:
        for event in stroke.events:
            if event.name in _EVENT:
                label = event.name.replace("_", " ") if event.name not in marked else "_"
                marked.add(event.name)
                axes.plot(
                    event.at, event.travel, _EVENT[event.name], color="#3a2f26", markersize=5.5,
                    markerfacecolor="none", label=label,
                )  # fmt: skip


def _room(a: Analysis) -> tuple[float, float]:
    values = np.concatenate([a.trace.joined("command"), a.trace.joined("position")])
    low, high = float(values.min()), float(values.max())
    margin = 0.06 * max(high - low, 5.0)
    return low - margin, high + margin


def _sides(a: Analysis) -> tuple[tuple[str, str, str, Sequence[tuple[float, float]]], ...]:
    """Give the resting points of both directions: name, colour, marker, command and travel."""
    up = [(p.command, p.up) for p in a.points if p.up is not None]
    down = [(p.command, p.down) for p in a.points if p.down is not None]
    other = [(p.command, p.other) for p in a.points if p.other is not None]
    return (
        ("from below", _OPENING, "^-", up),
        ("from above", _CLOSING, "v--", down),
        ("at the start", "#3a2f26", "s", other),
    )


def _draw_curve(axes: Axes, a: Analysis) -> None:
    axes.plot((0, 100), (0, 100), color=_COMMAND, linewidth=1, linestyle=":", label="travel = command")
    whole = sum(len(piece) for piece in a.trace.pieces)
    # the way between the points is told where there are few of them, as in a log of ramps
    for number, piece in enumerate(a.trace.pieces if len(a.points) < _FEW_POINTS else ()):
        at = _thin(piece, len(piece) / whole)
        label = "on the way" if number == 0 else "_"
        axes.plot(piece.command[at], piece.position[at], color=_TRAVEL, linewidth=0.6, alpha=0.4, label=label)
    for name, colour, marker, points in _sides(a):
        if points:
            commands, travels = zip(*points, strict=True)
            axes.plot(
                commands,
                travels,
                marker,
                color=colour,
                linewidth=1.2,
                markersize=5.5,
                label=f"at rest, {name}",
            )
    axes.set(xlabel="command, %", ylabel="travel at rest, %", title="Travel against command")
    axes.title.set_fontsize(10)
    axes.legend(fontsize=8, frameon=False, loc="upper left")


def _draw_error(axes: Axes, a: Analysis) -> None:
    limit = a.limits.limits.get("point_error")
    if limit is not None and limit.at_most is not None:
        axes.axhspan(-limit.at_most, limit.at_most, color="#9fc2a3", alpha=0.3, linewidth=0)
        axes.axhline(limit.at_most, color="#5f8a64", linewidth=0.8, label=f"limit {limit.at_most:g} %")
        axes.axhline(-limit.at_most, color="#5f8a64", linewidth=0.8)
    axes.axhline(0, color=_COMMAND, linewidth=1, linestyle=":")
    for name, colour, marker, points in _sides(a):
        if points:
            at = [(travel, travel - command) for command, travel in points]
            travels, errors = zip(*at, strict=True)
            axes.plot(travels, errors, marker, color=colour, linewidth=1.2, markersize=5.5, label=name)
    _mark_spots(axes, a)
    low, high = axes.get_ylim()
    # room above for the legend
    axes.set(xlim=(-5, 105), ylim=(low - 0.05 * (high - low), high + 0.35 * (high - low)))
    axes.set(
        xlabel="travel, %", ylabel="travel less command, %", title="Error against travel, both directions"
    )
    axes.title.set_fontsize(10)
    axes.legend(fontsize=8, frameon=False, loc="upper left", ncols=2)


def _mark_spots(axes: Axes, a: Analysis) -> None:
    """Shade each stretch once, and say beside it what rises there."""
    for begin, end in sorted({(spot.from_travel, spot.to_travel) for spot in a.spots}):
        axes.axvspan(begin, end, color="#e3c65b", alpha=0.35, linewidth=0)
        told = [
            f"{spot.what} x{spot.ratio:.2g} {'opening' if spot.way > 0 else 'closing'}"
            for spot in a.spots
            if (spot.from_travel, spot.to_travel) == (begin, end)
        ]
        side = "left" if end <= 60 else "right"
        place = (end + 1.5 if side == "left" else begin - 1.5, 0.03)
        axes.annotate("\n".join(told), place, xycoords=("data", "axes fraction"), fontsize=7.5, ha=side)
