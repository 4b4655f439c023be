"""Draw the surroundings of an id into a picture file: SVG, PNG, or an HTML page that holds the SVG.

Takes the knowledge base and an id, writes a file; may import everything above. matplotlib is an optional extra.
"""

from __future__ import annotations

import html
import io
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.explanation.picture_layout import (
    BOX_WIDTH,
    LINE_HEIGHT,
    PADDING,
    Box,
    Layout,
    Tie,
    lay_out,
)
from diagnose.interfaces.writing import write_whole
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.surroundings import Surroundings, find_surroundings

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KINDS = (".svg", ".png", ".html")
# Fill and frame of each kind. The fills step in lightness, so that they stay apart in grey too.
_FILL = {
    "circumstance": "#fbf7e6",
    "cause": "#f2c9a8",
    "consequence": "#c3c48d",
    "observation": "#dcebf2",
    "rule": "#a18fbd",
    "inspection": "#8cb5ad",
}
_WORD = {
    "circumstance": "known beforehand",
    "cause": "cause",
    "consequence": "state brought about",
    "observation": "observation",
    "rule": "derived rule",
    "inspection": "inspection",
}
_LEGEND = (
    "Thick line: strong link. Dashed line: never. [ ]: link with the framed box. Causes lead to the right."
)
_INK = "#26211c"
_DENIAL = "#8a3b2a"
_DPI = 110


def draw_surroundings(knowledge: Knowledge, name: str, path: Path) -> None:
    """Draw an id with what it is linked to.

    Args:
        knowledge: The loaded rule base.
        name: Id of the middle.
        path: The file; .svg, .png or .html.

    Raises:
        InputFaulty: Another ending, nothing to draw, no drawing library, or the file cannot be written.
    """
    if path.suffix.lower() not in KINDS:
        raise _refuse(path, f"no picture kind '{path.suffix}'", f"end the name in {', '.join(KINDS)}")
    surroundings = find_surroundings(knowledge, name)
    if surroundings is None:
        raise _refuse(path, f"'{name}' has no links to draw", "draw a cause, observation, inspection or rule")
    write_whole(path, _picture(surroundings, path))


def _refuse(path: Path, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "picture", wrong, cure)])


def _picture(surroundings: Surroundings, path: Path) -> bytes:
    try:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
    except ImportError:
        cure = "install the extra: pip install 'diagnose[pictures]'"
        raise _refuse(path, "pictures need matplotlib, which is not installed", cure) from None
    layout = lay_out(surroundings)
    figure = Figure(figsize=(layout.width, layout.height), dpi=_DPI)
    FigureCanvasAgg(figure)
    _draw(figure, layout, surroundings)
    kind = "png" if path.suffix.lower() == ".png" else "svg"
    stream = io.BytesIO()
    # a picture of the same knowledge is the same file
    figure.savefig(stream, format=kind, metadata={"Date": None} if kind == "svg" else {"Software": None})
    return stream.getvalue() if path.suffix.lower() != ".html" else _page(stream.getvalue(), surroundings)


def _page(svg: bytes, surroundings: Surroundings) -> bytes:
    text = svg.decode("utf-8")
    title = html.escape(f"Surroundings of {surroundings.centre}")
    head = f"<!doctype html>\n<html lang='en'>\n<meta charset='utf-8'>\n<title>{title}</title>\n"
    return f"{head}{text[text.index('<svg') :]}</html>\n".encode()


def _draw(figure: Figure, layout: Layout, surroundings: Surroundings) -> None:
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, layout.width)
    axes.set_ylim(0, layout.height)
    axes.axis("off")
    for tie in layout.ties:
        _draw_tie(axes, tie)
    for box in layout.boxes:
        _draw_box(axes, box)
    _draw_head(axes, layout, surroundings)


def _draw_head(axes: Axes, layout: Layout, surroundings: Surroundings) -> None:
    more = f"   ({surroundings.left_out} weaker links left out)" if surroundings.left_out else ""
    top = layout.height - 0.3
    axes.text(
        0.35, top, f"Surroundings of {surroundings.centre}{more}", fontsize=12, weight="bold", color=_INK
    )
    axes.text(0.35, 0.12, _LEGEND, fontsize=7.6, color=_INK)
    columns: dict[float, set[str]] = {}
    for box in layout.boxes:
        columns.setdefault(box.x, set()).add(_WORD[box.node.kind])
    for x, kinds in columns.items():
        axes.text(x, top - 0.36, " / ".join(sorted(kinds)), fontsize=9, style="italic", color=_INK)


def _draw_box(axes: Axes, box: Box) -> None:
    from matplotlib.patches import FancyBboxPatch

    axes.add_patch(
        FancyBboxPatch(
            (box.x, box.y),
            BOX_WIDTH,
            box.height,
            boxstyle="round,pad=0,rounding_size=0.06",
            facecolor=_FILL[box.node.kind],
            edgecolor=_INK,
            linewidth=2.6 if box.node.is_centre else 0.8,
            zorder=3,
        )
    )
    for number, line in enumerate(box.lines):
        axes.text(
            box.x + PADDING,
            box.y + box.height - PADDING - (number + 0.5) * LINE_HEIGHT,
            line,
            fontsize=7.6,
            va="center",
            weight="bold" if number < box.heads else "normal",
            color=_INK,
            zorder=4,
        )


def _draw_tie(axes: Axes, tie: Tie) -> None:
    from matplotlib.patches import FancyArrowPatch
    from matplotlib.path import Path as Curve

    (x0, y0), (x1, y1) = tie.start, tie.end
    bend = max(0.5, abs(x1 - x0) / 2)
    # a tie within one column leaves and comes back on the right
    away, towards = (bend, -bend) if x1 == x0 else (bend, bend) if x1 > x0 else (-bend, -bend)
    points = [(x0, y0), (x0 + away, y0), (x1 - towards, y1), (x1, y1)]
    denial = tie.edge.strength == 0
    axes.add_patch(
        FancyArrowPatch(
            path=Curve(points, [Curve.MOVETO, Curve.CURVE4, Curve.CURVE4, Curve.CURVE4]),
            arrowstyle="-|>",
            mutation_scale=7,
            linewidth=0.5 + 1.6 * tie.edge.strength,
            linestyle=(0, (2, 2)) if denial else "solid",
            color=_DENIAL if denial else _INK,
            alpha=0.85,
            fill=False,
            zorder=1,
        )
    )
