"""The plots of a triage report as inline SVG with titles that a screen reader says.

Takes a Triage, gives SVG by name; may import everything above. matplotlib is an optional extra.

Colours are those of Okabe and Ito, "Color universal design" (2008), told apart by most colour-blind people;
hatching tells them apart on grey paper. Text stays text, so that it can be found and read out.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from diagnose.explanation.triage import Measured, PlaceRow, Triage

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BLUE, ORANGE, SKY, VERMILION, INK, GRID = "#0072b2", "#e69f00", "#56b4e9", "#d55e00", "#222222", "#d8d8d8"
MOST_BARS = 15
_WIDTH, _BAR, _FRAME = 9.6, 0.26, 0.9
_LONGEST = 34
_STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "font.family": "sans-serif",
    "font.size": 9,
    "hatch.linewidth": 0.8,
    "axes.edgecolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "text.parse_math": False,
}


def draw_plots(document: Triage) -> dict[str, str]:
    """Draw every plot for which there are numbers.

    Args:
        document: The report.

    Returns:
        SVG text by name: causes, months, sites, assets, reliability.
    """
    import matplotlib as mpl

    plots: dict[str, str] = {}
    with mpl.rc_context(_STYLE):
        if document.causes:
            plots["causes"] = _draw_causes(document)
        if document.months:
            plots["months"] = _draw_months(document)
        for name, rows in (("sites", document.sites), ("assets", document.assets)):
            if rows:
                plots[name] = _draw_places(name, rows)
        if document.measured and document.measured.tenths:
            plots["reliability"] = _draw_reliability(document.measured)
    return plots


def _draw(
    name: str, title: str, size: tuple[float, float], fill: Callable[[Axes], None], width: int = 100
) -> str:
    """Draw one plot; the same numbers give the same text."""
    import matplotlib as mpl
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    figure = Figure(figsize=size, layout="constrained")
    FigureCanvasSVG(figure)
    fill(figure.add_subplot())
    stream = io.StringIO()
    with mpl.rc_context({"svg.hashsalt": name}):
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None}, transparent=True)
    return _inline(name, title, stream.getvalue(), width)


def _inline(name: str, title: str, svg: str, width: int) -> str:
    """Make a drawing part of a page: a title and a role for who cannot see it, ids of its own."""
    body = svg[svg.index("<svg") :]
    inner = body[body.index(">") + 1 :].strip()
    inner = re.sub(r"<metadata>.*?</metadata>", "", inner, flags=re.DOTALL)
    inner = re.sub(r'(\bid="|href="#|url\(#)', rf"\g<1>{name}-", inner)
    box = re.search(r'viewBox="([^"]+)"', body)
    assert box is not None  # noqa: S101 - every drawing of the library has one
    spaces = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    head = f'<svg {spaces} viewBox="{box[1]}" role="img" style="width:{width}%"'
    return f'{head} aria-labelledby="{name}-title"><title id="{name}-title">{escape(title)}</title>{inner}'


def _plain(text: str) -> str:
    """Cut a name to what fits, without characters that no drawing can hold."""
    clean = "".join(c if c.isprintable() else " " for c in text)
    return clean if len(clean) <= _LONGEST else f"{clean[: _LONGEST - 1]}\N{HORIZONTAL ELLIPSIS}"


def _lay_bars(axes: Axes, names: Sequence[str]) -> None:
    """Label horizontal bars from the top."""
    from matplotlib.ticker import MaxNLocator

    axes.set_yticks(range(len(names)), labels=[_plain(name) for name in names])
    axes.invert_yaxis()
    axes.tick_params(axis="y", length=0)
    axes.set_axisbelow(True)
    axes.grid(axis="x", color=GRID, linewidth=0.8)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))


def _draw_causes(document: Triage) -> str:
    rows = document.causes[:MOST_BARS]

    def fill(axes: Axes) -> None:
        places = range(len(rows))
        axes.barh(places, [row.tickets for row in rows], color=SKY, edgecolor=INK, linewidth=0.6)
        axes.barh(
            places, [r.confirmed for r in rows], color=BLUE, edgecolor="white", hatch="///", linewidth=0.6
        )
        _lay_bars(axes, [row.cause for row in rows])
        axes.set_xlabel("tickets (dark and hatched: confirmed)")
        above = axes.twiny()
        above.plot([100 * row.cumulative for row in rows], places, color=VERMILION, marker="o", markersize=4)
        above.set_xlim(0, 104)
        above.spines.top.set_visible(True)
        above.set_xlabel("these causes together, per cent of tickets", color=VERMILION)
        above.tick_params(colors=VERMILION)

    first = rows[0]
    title = (
        f"Causes by number of tickets: {len(rows)} of {len(document.causes)} causes, first {first.cause} with "
        f"{first.tickets} tickets; the causes shown make up {rows[-1].cumulative:.0%}"
    )
    return _draw("causes", title, (_WIDTH, _FRAME + 0.25 + _BAR * len(rows)), fill)


def _draw_months(document: Triage) -> str:
    from matplotlib.ticker import MaxNLocator

    rows = document.months

    def fill(axes: Axes) -> None:
        places = range(len(rows))
        still_open, closed = [r.open for r in rows], [r.tickets - r.open for r in rows]
        axes.bar(places, closed, color=SKY, edgecolor=INK, linewidth=0.6, label="closed")
        axes.bar(
            places,
            still_open,
            bottom=closed,
            color=ORANGE,
            edgecolor=INK,
            hatch="///",
            linewidth=0.6,
            label="open",
        )
        step = max(1, -(-len(rows) // 14))
        axes.set_xticks(list(places)[::step], labels=[row.month for row in rows][::step])
        axes.set_axisbelow(True)
        axes.grid(axis="y", color=GRID, linewidth=0.8)
        axes.yaxis.set_major_locator(MaxNLocator(integer=True))
        axes.set_ylabel("tickets opened")
        _add_legend(axes)

    most = max(rows, key=lambda row: row.tickets)
    title = (
        f"Tickets opened by month, {rows[0].month} to {rows[-1].month}; most in {most.month}: {most.tickets}"
    )
    return _draw("months", title, (_WIDTH, 2.6), fill)


def _draw_places(name: str, all_rows: Sequence[PlaceRow]) -> str:
    rows = all_rows[:MOST_BARS]

    def fill(axes: Axes) -> None:
        places = range(len(rows))
        soon, other = [r.soon for r in rows], [r.open - r.soon for r in rows]
        closed = [r.tickets - r.open for r in rows]
        left = [a + b for a, b in zip(soon, other, strict=True)]
        frame: dict[str, Any] = {"edgecolor": INK, "linewidth": 0.6}
        axes.barh(
            places, soon, color=VERMILION, hatch="///", label="open, wanted now or by the next shift", **frame
        )
        axes.barh(places, other, left=soon, color=ORANGE, label="open, can wait or not ranked", **frame)
        axes.barh(places, closed, left=left, color=SKY, label="closed", **frame)
        _lay_bars(axes, [row.name for row in rows])
        axes.set_xlabel("tickets")
        _add_legend(axes)

    first = rows[0]
    title = (
        f"Tickets by {name[:-1]}, the {len(rows)} with most to do first: {_plain(first.name)} has "
        f"{first.open} open tickets, {first.soon} of them wanted now or by the next shift"
    )
    return _draw(name, title, (_WIDTH, _FRAME + 0.3 + _BAR * len(rows)), fill)


def _add_legend(axes: Axes) -> None:
    """Put the legend above the plot, where it hides nothing."""
    axes.legend(
        loc="lower right", bbox_to_anchor=(1, 1), ncols=3, frameon=False, fontsize=8, handlelength=1.4
    )


def _draw_reliability(measured: Measured) -> str:
    def fill(axes: Axes) -> None:
        axes.plot([0, 1], [0, 1], color=INK, linewidth=0.8, linestyle="--", label="as often as it says")
        most = max(tenth.count for tenth in measured.tenths)
        sizes = [20 + 180 * tenth.count / most for tenth in measured.tenths]
        shares, rights = [t.share for t in measured.tenths], [t.right for t in measured.tenths]
        axes.plot(shares, rights, color=BLUE, linewidth=1)
        axes.scatter(shares, rights, s=sizes, color=BLUE, edgecolor=INK, linewidth=0.6, zorder=3)
        axes.set_xlim(-0.03, 1.03)
        axes.set_ylim(-0.03, 1.03)
        axes.set_aspect("equal")
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_xlabel("share given to the first cause")
        axes.set_ylabel("how often it was right")
        axes.legend(loc="upper left", frameon=False, fontsize=8)

    title = (
        f"Reliability on {measured.count} confirmed tickets: how often the first cause was right against the "
        "share it was given; larger dots stand for more tickets"
    )
    return _draw("reliability", title, (5.0, 4.7), fill, width=52)
