"""The debrief as one self-contained page with the two paths drawn.

Takes a Debrief, gives HTML without script or outside links; imports the document and the text helpers only.
Pure: everything that comes from the document is escaped.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from diagnose.explanation.text import percent
from diagnose.training.debrief import Debrief, Path, StepDebrief
from diagnose.training.debrief_picture import draw_paths
from diagnose.training.debrief_text import (
    DRAWN,
    LEGEND,
    NO_OPTIMUM,
    list_stopped,
    say_figures,
    say_look,
    say_moment,
)
from diagnose.training.records import GradePart

_STYLE = """
:root { color-scheme: light dark; }
body { font: 1rem/1.45 system-ui, sans-serif; max-width: 52rem; margin: 0 auto; padding: 1rem;
  overflow-wrap: anywhere; }
h1 { font-size: 1.35rem; } h2 { font-size: 1.1rem; margin-top: 1.8rem; }
table { border-collapse: collapse; width: 100%; }
td, th { border-top: 1px solid #8888; padding: .3rem .6rem .3rem 0; text-align: left; vertical-align: top; }
th:first-child { white-space: nowrap; }
td.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.caution { border-left: .35rem solid currentColor; padding: .1rem .7rem; margin: .4rem 0; font-weight: 600; }
.small { font-size: .875rem; } .answer { margin: 0; }
.drawing { overflow-x: auto; } svg { width: 100%; min-width: 36rem; height: auto; } svg text { font: 12px system-ui, sans-serif; fill: currentColor; }
svg .grid { stroke: currentColor; opacity: .25; } svg .learner { stroke: #b3541e; fill: #b3541e; }
svg .program { stroke: #2a6f97; fill: #2a6f97; } svg path { fill: none !important; stroke-width: 2.5; }
svg path.program { stroke-dasharray: 7 4; } svg .stop { stroke: currentColor; stroke-width: 2.5; }
@media print { body { max-width: none; padding: 0; } svg { min-width: 0; } section, tr, .caution { break-inside: avoid; } }
"""


def render_debrief_html(document: Debrief) -> str:
    """Render a debrief as a page.

    Args:
        document: The debrief.

    Returns:
        A whole HTML document. Cautions stand in it whole.
    """
    parts = [
        *_head(document),
        *_stopped(document),
        "<section>",
        _tag("h2", "The two paths"),
        f'<div class="drawing">{draw_paths(document)}</div>',
        "</section>",
        *_path(document.learner, "Your path"),
        *_path(document.program, "The program's path on the same answers"),
        *_points(document),
        *_confidences(document),
        *_remedy(document),
        *_grade(document),
        *_drawn(document),
        _tag("p", document.deferral),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Debrief: {escape(document.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(parts)
        + "\n</body>\n</html>\n"
    )


def _tag(name: str, text: str, kind: str = "") -> str:
    of_kind = f' class="{kind}"' if kind else ""
    return f"<{name}{of_kind}>{escape(text)}</{name}>"


def _row(*cells: str) -> str:
    """Make a row; the first cell holds a number."""
    first, *others = cells
    return f"<tr>{_tag('td', first, 'number')}{''.join(_tag('td', cell) for cell in others)}</tr>"


def _head(document: Debrief) -> Iterator[str]:
    grade = document.grade
    yield _tag("h1", f"Debrief: {document.title}")
    yield _tag("p", f"Case {document.case}, seed {document.seed}, rules {document.rules_version}", "small")
    yield _tag("p", f"Grade {grade.total:.0f} of 100, {'passed' if grade.passed else 'not passed'}.")
    yield _tag("p", f"It was {document.confirmed}: {document.confirmed_says}. {document.found}")
    yield _tag("p", f"You named {document.named}.")
    if document.misleading:
        yield _tag("p", f"What misled: {document.misleading}")


def _stopped(document: Debrief) -> Iterator[str]:
    if document.stopped:
        yield _tag("h2", f"Unsafe choices, stopped before anything was done: {len(document.stopped)}")
    yield from (_tag("p", line, "caution") for line in list_stopped(document))


def _path(path: Path, title: str) -> Iterator[str]:
    yield "<section>"
    yield _tag("h2", f"{title}: {path.minutes:.0f} min")
    yield _tag("p", f"{say_moment(path)} {LEGEND}", "small")
    yield "<table><tr><th>Step</th><th>What was done and what came back</th><th>What it was worth</th></tr>"
    for step in path.steps:
        yield _step(step)
    yield "</table></section>"


def _step(step: StepDebrief) -> str:
    answers = "".join(
        _tag("p", f"\N{RIGHTWARDS ARROW} {a.says}{' [drawn]' if a.drawn else ''}", "answer small")
        for a in step.answers
    )
    return (
        f"<tr>{_tag('td', str(step.number), 'number')}<td>{escape(step.says)} ({step.minutes:.0f} min)"
        f"{answers}</td>{_tag('td', say_figures(step), 'small')}</tr>"
    )


def _points(document: Debrief) -> Iterator[str]:
    for title, seen in (("Evidence you had", True), ("Evidence you missed", False)):
        points = [point for point in document.points if point.seen is seen]
        if not points:
            continue
        yield f"<section>{_tag('h2', title)}<table>"
        yield "<tr><th>For the right cause</th><th>Fact</th><th>Rule and source</th></tr>"
        for point in points:
            rule = f"{point.rule}; {point.source}"
            yield _row(f"{point.decibans:+.1f} dB", f"{point.statement}.{say_look(point)}", rule)
        yield "</table></section>"


def _confidences(document: Debrief) -> Iterator[str]:
    yield f"<section>{_tag('h2', 'Your confidences, and what the facts known then made of them')}<table>"
    yield "<tr><th>You</th><th>Reckoned</th><th>Cause</th><th>Misread</th></tr>"
    for said in document.confidences:
        right = "right" if said.right else "wrong"
        yield _row(percent(said.given), percent(said.reckoned), f"{said.cause} ({right})", said.misread)
    yield "</table></section>"


def _remedy(document: Debrief) -> Iterator[str]:
    for name in document.lacking:
        yield _tag("p", f"The remedy of {name} was named before the findings that it waits for were known.")
    remedy = document.remedy
    if remedy is None:
        return
    yield f"<section>{_tag('h2', f'Remedy: {remedy.says}')}"
    yield from (_tag("p", caution, "caution") for caution in document.cautions)
    yield _tag("p", f"{remedy.minutes:.0f} min, {remedy.access}", "small")
    steps = (f"{step.do}; to {step.reach}" if step.reach else step.do for step in remedy.steps)
    yield f"<ol>{''.join(_tag('li', step) for step in steps)}</ol>"
    yield _tag("p", f"Proved when: {remedy.acceptance}")
    yield "</section>"


def _grade(document: Debrief) -> Iterator[str]:
    grade = document.grade
    yield f"<section>{_tag('h2', f'Grade {grade.total:.0f} of 100')}"
    yield _tag("p", f"{grade.formula}.")
    yield "<table>"
    for name in ("safety", "cause", "minutes", "calibration"):
        part: GradePart = getattr(grade, name)
        numbers = ", ".join(f"{number.name} {number.value:.4g}" for number in part.numbers)
        yield _row(f"{part.score:.2f}", name, f"{part.formula} ({numbers})")
    yield "</table>"
    yield _tag("p", NO_OPTIMUM if grade.optimum is None else f"Optimum: {grade.optimum:.0f} min.", "small")
    yield "</section>"


def _drawn(document: Debrief) -> Iterator[str]:
    if document.drawn:
        yield f"<section>{_tag('h2', 'Answers that were drawn')}"
        yield _tag("p", f"{DRAWN} (seed {document.seed}).", "small")
        yield f"<ul>{''.join(_tag('li', says) for says in document.drawn)}</ul></section>"
