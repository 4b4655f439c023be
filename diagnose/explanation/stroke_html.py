"""The comparison of stroke logs as one self-contained page to print and sign.

Takes a Comparison, gives HTML without script or outside links; may import the models and the text renderers.
Pure: everything that comes from the document is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from diagnose.explanation.stroke_compare import MARKS, say_logs, say_marked, say_result
from diagnose.explanation.stroke_text import say_value
from diagnose.facts.stroke.comparison import Comparison
from diagnose.facts.stroke.report import Figure, Report

_STYLE = """
:root { color-scheme: light dark; }
body { font: 1rem/1.4 system-ui, sans-serif; max-width: 52rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.3rem; } h2 { font-size: 1.05rem; margin-top: 1.4rem; }
table { border-collapse: collapse; width: 100%; font-size: .9rem; }
td, th { border-top: 1px solid #8888; padding: .25rem .5rem .25rem 0; text-align: left; vertical-align: top; }
td { font-variant-numeric: tabular-nums; } .mark { font-weight: 700; } .mark, .value { white-space: nowrap; }
.caution { border-left: .35rem solid currentColor; padding: .1rem .7rem; margin: .4rem 0; font-weight: 600; }
.small { font-size: .875rem; } .sign td { height: 2.2rem; vertical-align: bottom; }
@page { margin: 15mm; }
@media print { body { max-width: none; padding: 0; } section, tr, .caution { break-inside: avoid; } }
"""


def render_stroke_page(comparison: Comparison) -> str:
    """Render a comparison as a page.

    Args:
        comparison: Acceptance points, and one log or two.

    Returns:
        A whole HTML document with lines to sign. Cautions come before the work they go with, none left out.
    """
    title = f"Stroke logs, {say_logs(comparison)}"
    parts = [
        _tag("h1", title),
        *_acceptance(comparison),
        *_figures(comparison),
        *_found(comparison.after),
        *_signing(comparison),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(parts)
        + "\n</body>\n</html>\n"
    )


def _tag(name: str, text: str, kind: str = "") -> str:
    of_kind = f' class="{kind}"' if kind else ""
    return f"<{name}{of_kind}>{escape(text)}</{name}>"


def _row(cells: Iterable[str], kind: str = "td") -> str:
    return f"<tr>{''.join(_tag(kind, cell, 'value') for cell in cells)}</tr>"


def _bound(figure: Figure) -> str:
    """Say a limit that could be applied; one that lacks the unit record is left out."""
    return figure.bound if figure.verdict != "not judged" else ""


def _acceptance(comparison: Comparison) -> Iterator[str]:
    if not comparison.cause:
        return
    yield "<section>"
    yield _tag("h2", f"Acceptance: {say_result(comparison)}")
    yield _tag("p", f"Repair of {comparison.cause}: {comparison.remedy}")
    yield _tag("p", f"Proved when: {comparison.acceptance}", "small")
    yield from _cautions(comparison)
    yield "<table>"
    for point in comparison.points:
        mark = _tag("td", MARKS[point.result], "mark")
        blank = "done by ______________" if point.result == "by hand" else point.words
        yield f"<tr>{mark}{_tag('td', point.says)}{_tag('td', blank)}</tr>"
    yield "</table></section>"


def _figures(comparison: Comparison) -> Iterator[str]:
    yield _tag("h2", "Figures")
    yield "<table>"
    if comparison.before is None:
        yield _row(("", "this log", "verdict", "limit"), "th")
        for figure in comparison.after.figures:
            if figure.is_shown:
                yield _row((figure.says, say_value(figure), figure.verdict, _bound(figure)))
    else:
        earlier = "as commissioned" if comparison.is_baseline else "before"
        yield _row(("", earlier, "now", "change", "limit"), "th")
        for compared in comparison.figures:
            values = (say_marked(compared.before), say_marked(compared.after))
            yield _row((compared.after.says, *values, compared.change, _bound(compared.after)))
    yield "</table>"
    yield _tag(
        "p", "Limits: common practice, no source, unless the rules name one. ! outside its limit.", "small"
    )


def _found(report: Report) -> Iterator[str]:
    told = [*(f"! {note}" for note in report.notes), *(shape.says for shape in report.shapes)]
    told += [
        f"{spot.way.capitalize()}, {spot.what} {spot.ratio:.2g} times at "
        f"{spot.from_travel:.0f} to {spot.to_travel:.0f} % travel."
        for spot in report.spots
    ]
    if told:
        yield _tag("h2", f"In {report.log}")
        yield f"<ul>{''.join(_tag('li', line) for line in told)}</ul>"


def _cautions(comparison: Comparison) -> Iterator[str]:
    yield from (_tag("p", says, "caution") for says in comparison.cautions)
    if comparison.deferral:
        yield _tag("p", comparison.deferral)


def _signing(comparison: Comparison) -> Iterator[str]:
    yield '<table class="sign"><tr><td>Date</td><td>Done by</td><td>Witnessed</td></tr></table>'
    yield _tag("p", f"Rules {comparison.rules_version}", "small")
