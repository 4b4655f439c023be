"""The comparison of stroke logs as text of 80 columns: acceptance point by point, figures side by side.

Takes a Comparison, gives a string; may import the models and stroke_text. Pure: nothing is looked up or printed.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.stroke_text import say_value
from diagnose.explanation.text import WIDTH, wrap
from diagnose.facts.stroke.acceptance import count_results
from diagnose.facts.stroke.comparison import Compared, Comparison
from diagnose.facts.stroke.report import Figure

MARKS = {"pass": "PASS", "fail": "FAIL", "cannot tell": "cannot tell", "by hand": "by hand"}
_LABEL = 31
_CELL = 18


def render_comparison(comparison: Comparison, width: int = WIDTH) -> str:
    """Render a comparison for a terminal or a file.

    Args:
        comparison: Acceptance points, and both logs.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end. Cautions are never folded away.
    """
    lines = [*_head(comparison, width), *_acceptance(comparison, width)]
    if comparison.before is not None:
        lines += ["", *_side_by_side(comparison)]
    if comparison.cautions:
        lines += ["", *(line for says in comparison.cautions for line in wrap(f"CAUTION {says}", width))]
        lines += wrap(comparison.deferral, width)
    return "\n".join(lines) + "\n"


def say_logs(comparison: Comparison) -> str:
    """Say which log is held against which."""
    earlier = "" if comparison.before is None else f" beside {comparison.before.log}"
    kind = " (as commissioned)" if comparison.is_baseline else " (before)" if earlier else ""
    asset = f"{comparison.after.asset}: " if comparison.after.asset else ""
    return f"{asset}{comparison.after.log}{earlier}{kind}"


def say_result(comparison: Comparison) -> str:
    """Say the result of the acceptance check as a whole."""
    counts = count_results(comparison.points)
    told = ", ".join(f"{count} {result}" for result, count in counts.items() if count)
    heads = {
        "pass": "Accepted as far as the log shows",
        "fail": "Not accepted",
        "cannot tell": "Not proved yet",
        "by hand": "Nothing of it shows in a log",
    }
    return f"{heads[comparison.result]}: {told}."


def say_marked(figure: Figure) -> str:
    """Say a figure, with a mark where it is outside its limit."""
    if not figure.is_shown:
        return "not shown"
    value = (
        say_value(figure).replace(" \N{PLUS-MINUS SIGN}", "\N{PLUS-MINUS SIGN}").removeprefix("cannot tell ")
    )
    return f"{value} !" if figure.verdict == "outside" else value


def _head(comparison: Comparison, width: int) -> Iterator[str]:
    yield from wrap(f"Stroke logs, {say_logs(comparison)}", width)
    reports = [report for report in (comparison.before, comparison.after) if report is not None]
    for report in reports:
        for note in report.notes:
            yield from wrap(f"! {report.log}: {note}", width)


def _acceptance(comparison: Comparison, width: int) -> Iterator[str]:
    if not comparison.cause:
        return
    yield ""
    yield from wrap(f"Repair of {comparison.cause}: {comparison.remedy}", width)
    yield from wrap(f"Proved when: {comparison.acceptance}", width)
    yield ""
    yield from wrap(say_result(comparison), width)
    for point in comparison.points:
        yield from wrap(f"  [{MARKS[point.result]}] {point.says}", width, 0, 6)
        if point.words:
            yield from wrap(point.words, width, 6, 0)


def _side_by_side(comparison: Comparison) -> Iterator[str]:
    earlier = "as commissioned" if comparison.is_baseline else "before"
    yield f"{'':<{_LABEL}}{earlier:<{_CELL}}{'now':<{_CELL}}change"
    yield from (_row(compared) for compared in comparison.figures)
    yield "! outside its limit; the report of each log alone names limits and sources"


def _row(compared: Compared) -> str:
    before, after = (f"{say_marked(figure):<{_CELL}}" for figure in (compared.before, compared.after))
    return f"{compared.after.says:<{_LABEL}}{before}{after}{compared.change}".rstrip()
