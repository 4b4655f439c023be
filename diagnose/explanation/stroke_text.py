"""The stroke report as text of 80 columns.

Takes a Report, gives a string; may import the report model and text. Pure: nothing is looked up or printed.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.text import WIDTH, wrap
from diagnose.facts.model import State
from diagnose.facts.stroke.report import Figure, PointView, Report, StepView
from diagnose.knowledge.stroke_limits import FigureId

GROUPS: tuple[tuple[str, tuple[FigureId, ...]], ...] = (
    ("Ends", ("travel_open_short", "travel_closed_short", "end_spread_open", "end_spread_closed")),
    (
        "Speed and steps",
        ("stroke_time_opening", "stroke_time_closing", "dead_time", "t63", "t86", "overshoot", "coast"),
    ),
    (
        "Accuracy at rest",
        (
            "point_error",
            "zero_error",
            "span_error",
            "linearity",
            "hysteresis",
            "dead_band",
            "resolution",
            "cycle_amplitude",
            "output_error",
        ),
    ),
    (
        "Drive and supply",
        ("running_current", "current_rise", "time_rise", "lowest_supply", "starts_per_hour", "duty"),
    ),
)
_LABEL = 30
_VALUE = 23
_VERDICT = 12
_BOUNDED: frozenset[FigureId] = frozenset({"dead_band", "resolution"})
_SHOWN = 6


def render_stroke(report: Report, verbosity: int = 0, width: int = WIDTH) -> str:
    """Render a stroke report for a terminal or a file.

    Args:
        report: What one log shows.
        verbosity: 0 figures and findings; 1 also what each column was read as, strokes, steps, points, and where each figure was read.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end.
    """
    lines = [*_head(report, verbosity, width)]
    for title, names in GROUPS:
        shown = [figure for name in names if (figure := report.figure(name)).is_shown]
        if shown:
            lines += ["", title, *(line for figure in shown for line in _figure(figure, verbosity, width))]
    lines += [*_findings(report, width), *_untold(report, width)]
    if verbosity:
        lines += [*_strokes(report, width), *_steps(report.steps), *_points(report.points)]
    lines += [*_facts(report, verbosity, width), *_sources(report, width)]
    return "\n".join(lines) + "\n"


def say_value(figure: Figure) -> str:
    """Say a figure with its doubt: a value, a bound, or that it is finer than the log can show."""
    unit = f" {figure.unit}" if figure.unit else ""
    if figure.low is None:
        return "not in this log"
    if figure.id in _BOUNDED:
        return _say_bounded(figure, unit)
    if figure.value is None:
        return f"cannot tell <{_number(figure.high)}{unit}"
    doubt = ((figure.high or 0.0) - figure.low) / 2
    return f"{_rounded(figure.value, doubt)} \N{PLUS-MINUS SIGN}{_number(doubt)}{unit}"


def _say_bounded(figure: Figure, unit: str) -> str:
    low, high = figure.low or 0.0, figure.high
    if high is None:
        return f"above {_number(low)}{unit}"
    return f"{_number(low)} to {_number(high)}{unit}" if low > 0 else f"at most {_number(high)}{unit}"


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.2g}" if abs(value) < 10 else f"{value:.0f}"


def _rounded(value: float, doubt: float) -> str:
    """Round a value to the place its doubt allows, never to more than three decimals."""
    places = 3
    while places > 0 and doubt >= 4.5 * 10.0**-places:
        places -= 1
    shown = f"{value:.{places}f}"
    return shown.removeprefix("-") if float(shown) == 0 else shown


def _head(report: Report, verbosity: int, width: int) -> Iterator[str]:
    asset = f"{report.asset}, " if report.asset else ""
    head = f"Stroke log {asset}{report.log}: {report.rows:,} rows, {report.seconds:.0f} s"
    yield from wrap(f"{head}, every {report.interval:.3g} s", width)
    noise = f"noise of the travel {report.scatter:.2g} %, figures to {report.grain:.2g} %"
    yield from wrap(f"What it can show: {noise}, times to {report.interval:.2g} s.", width)
    if verbosity:
        yield from wrap(f"Read as: {', '.join(report.columns)}.", width)
    for note in report.notes:
        yield from wrap(f"! {note}", width)


def _figure(figure: Figure, verbosity: int, width: int) -> Iterator[str]:
    verdict = {"not judged": "", "outside": "OUTSIDE"}.get(figure.verdict, figure.verdict)
    bound = figure.bound if figure.verdict != "not judged" else ""
    line = f"  {figure.says:<{_LABEL}}{say_value(figure):<{_VALUE}}{verdict:<{_VERDICT}}{bound}"
    yield line.rstrip()
    if verbosity or figure.verdict == "outside":
        yield from wrap(figure.where, width, 6, 0)


def _findings(report: Report, width: int) -> Iterator[str]:
    if report.shapes or report.spots or report.cycles:
        yield ""
        yield "Found"
    for shape in report.shapes:
        yield from wrap(f"- {shape.says}", width, 2)
    for spot in report.spots:
        what = "the current" if spot.what == "current" else "the time"
        place = f"{spot.from_travel:.0f} to {spot.to_travel:.0f} % travel"
        yield from wrap(
            f"- {spot.way.capitalize()}, {what} rises to {spot.ratio:.2g} times at {place}.", width, 2
        )
    for cycle in report.cycles[:_SHOWN]:
        swing = f"{cycle.amplitude:.2f} % peak to peak every {cycle.period:.3g} s"
        where = f"at {cycle.command:.4g} % command, {cycle.count} swings from {cycle.from_time:.0f} s on"
        yield from wrap(f"- Swings {swing} {where}.", width, 2)
    if len(report.cycles) > _SHOWN:
        yield f"  and {len(report.cycles) - _SHOWN} more"


def _untold(report: Report, width: int) -> Iterator[str]:
    untold = [figure for figure in report.figures if not figure.is_shown]
    if untold:
        yield ""
        yield "Cannot tell from this log"
    for why in dict.fromkeys(figure.where for figure in untold):
        names = "; ".join(figure.says for figure in untold if figure.where == why)
        yield from wrap(f"- {names}: {why}", width, 2)


def _strokes(report: Report, width: int) -> Iterator[str]:
    if report.strokes:
        yield ""
        yield "Strokes"
    for stroke in report.strokes:
        head = f"{stroke.begins:.1f} s {stroke.way} {stroke.from_travel:z.1f} to {stroke.to_travel:z.1f} %"
        yield from wrap(f"- {head} in {stroke.seconds:.2f} s: {stroke.order}", width, 2)


def _steps(steps: tuple[StepView, ...]) -> Iterator[str]:
    if steps:
        yield ""
        yield "Steps"
        yield "       at s   from %     to %  dead s    T63 s    T86 s  over %"
    for step in steps:
        cells = (step.dead_time, step.t63, step.t86, step.overshoot)
        told = "  ".join(f"{'-' if cell is None else f'{cell:z.2f}':>7}" for cell in cells)
        moved = "" if step.moved is not False else "  did not move"
        yield f"  {step.at:>9.2f}{step.from_command:>9.2f}{step.to_command:>9.2f} {told}{moved}"


def _points(points: tuple[PointView, ...]) -> Iterator[str]:
    if points:
        yield ""
        yield "Resting points, travel in %"
        yield "    command   from below   from above    unknown"
    for point in points:
        cells = (point.up, point.down, point.other)
        told = "".join(f"{'-' if cell is None else f'{cell:z.2f}':>13}" for cell in cells)
        yield f"  {point.command:>9.2f}{told[:26]}{told[28:]}"


def _facts(report: Report, verbosity: int, width: int) -> Iterator[str]:
    told = [fact for fact in report.facts if fact.state is not State.UNKNOWN]
    present = [fact for fact in told if fact.state is State.PRESENT]
    if not told:
        return
    yield ""
    yield f"For the ranking: {len(present)} present, {len(told) - len(present)} absent"
    for fact in told if verbosity else present:
        words = fact.words.removeprefix(f"{report.log}: ")
        yield from wrap(f"- {fact.observation} {fact.state.value}: {words}", width, 2)


def _sources(report: Report, width: int) -> Iterator[str]:
    yield ""
    judged = [f for f in report.figures if f.source and f.is_shown and f.verdict != "not judged"]
    other = [f"{f.says}: {f.source}" for f in judged if not f.source.startswith("common practice")]
    named = f" Others: {'; '.join(other)}." if other else ""
    yield from wrap(f"Limits: common practice, no source, unless named.{named}", width)
