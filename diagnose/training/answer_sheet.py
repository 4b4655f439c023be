"""The instructor's answer sheet of a case: what it was, the program's path, the evidence, the remedy, the grading.

Takes a tutor, a case and a seed, gives one frozen document; may import the other modules of this layer. Text and
page are pure functions of the document.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Literal

from diagnose.explanation.text import WIDTH, wrap
from diagnose.facts.case_file import Case
from diagnose.training.debrief import Debrief, StepDebrief
from diagnose.training.debrief_text import DRAWN, LEGEND, say_figures, say_moment
from diagnose.training.debriefing import build_debrief
from diagnose.training.difficulty import FORMULA, Difficulty, render_difficulty
from diagnose.training.grading import grade_lesson
from diagnose.training.program import run_program
from diagnose.training.records import GradePart, Record
from diagnose.training.scene import Tutor, build_scene

_STYLE = """
body { font: 1rem/1.45 system-ui, sans-serif; max-width: 52rem; margin: 0 auto; padding: 1rem;
  overflow-wrap: anywhere; color-scheme: light dark; }
h1 { font-size: 1.35rem; } h2 { font-size: 1.1rem; margin-top: 1.6rem; }
.caution { border-left: .35rem solid currentColor; padding: .1rem .7rem; margin: .4rem 0; font-weight: 600; }
@media print { body { max-width: none; padding: 0; } section, li, .caution { break-inside: avoid; } }
"""


class SheetSection(Record):
    """Lines under one title; cautions stand before them and are never folded away."""

    title: str
    kind: Literal["lines", "numbered"] = "lines"
    cautions: tuple[str, ...] = ()
    lines: tuple[str, ...]


class AnswerSheet(Record):
    """Everything an instructor needs beside a learner's lesson on one case and seed."""

    format: Literal[1] = 1
    case: str
    seed: int
    title: str
    rules_version: str
    difficulty: Difficulty
    sections: tuple[SheetSection, ...]
    deferral: str


def build_answer_sheet(tutor: Tutor, case: Case, seed: int, difficulty: Difficulty) -> AnswerSheet:
    """Build the answer sheet of a case.

    Args:
        tutor: The rule base made ready.
        case: A case with a confirmed cause.
        seed: The seed of the lesson, which draws what the case leaves out.
        difficulty: How difficult the case is.

    Returns:
        The document, complete enough to render without the rules.

    Raises:
        InputFaulty: Nobody confirmed a cause.
    """
    scene = build_scene(tutor, case, seed)
    program = run_program(scene, seed)
    debrief = build_debrief(scene, grade_lesson(scene, program, program), program)
    return AnswerSheet(
        case=case.case,
        seed=seed,
        title=case.title,
        rules_version=tutor.knowledge.version,
        difficulty=difficulty,
        sections=tuple(_list_sections(case, debrief, difficulty)),
        deferral=debrief.deferral,
    )


def _list_sections(case: Case, debrief: Debrief, difficulty: Difficulty) -> Iterator[SheetSection]:
    yield SheetSection(title="The call as the learner sees it", lines=(" ".join(case.call.split()),))
    misled = (f"What misleads: {debrief.misleading}",) if debrief.misleading else ()
    was = f"{debrief.confirmed}: {debrief.confirmed_says}"
    yield SheetSection(title="What it was", lines=(was, debrief.found, *misled))
    yield SheetSection(title="How difficult", lines=(render_difficulty(difficulty), FORMULA))
    path = debrief.program
    yield SheetSection(
        title=f"The program's path: {path.minutes:.0f} min",
        kind="numbered",
        lines=tuple(_say_step(step) for step in path.steps),
    )
    yield SheetSection(title="How to read the path", lines=(say_moment(path), LEGEND))
    yield SheetSection(
        title="Evidence for the right cause (+) or against it (-)",
        lines=tuple(f"{p.decibans:+.1f} dB  {p.statement} [{p.rule}; {p.source}]" for p in debrief.points),
    )
    yield from _list_remedy(debrief)
    if debrief.drawn:
        yield SheetSection(title=f"{DRAWN} (seed {debrief.seed})", lines=debrief.drawn)
    yield SheetSection(title="How it is graded", lines=tuple(_say_grading(debrief)))


def _say_step(step: StepDebrief) -> str:
    answers = "".join(f"; -> {a.says}{' [drawn]' if a.drawn else ''}" for a in step.answers)
    figures = say_figures(step)
    return f"{step.says} ({step.minutes:.0f} min){answers}{f' ({figures})' if figures else ''}"


def _list_remedy(debrief: Debrief) -> Iterator[SheetSection]:
    remedy = debrief.remedy
    if remedy is None:
        return
    steps = tuple(f"{step.do}; to {step.reach}" if step.reach else step.do for step in remedy.steps)
    title = f"Remedy: {remedy.says} ({remedy.minutes:.0f} min, {remedy.access})"
    yield SheetSection(title=title, kind="numbered", cautions=debrief.cautions, lines=steps)
    yield SheetSection(title="Proved when", lines=(remedy.acceptance,))


def _say_grading(debrief: Debrief) -> Iterator[str]:
    grade = debrief.grade
    yield grade.formula
    for name in ("safety", "cause", "minutes", "calibration"):
        part: GradePart = getattr(grade, name)
        yield f"{name}: {part.formula}"


def render_answer_sheet(sheet: AnswerSheet, width: int = WIDTH) -> str:
    """Render a sheet for a terminal or print.

    Args:
        sheet: The document.
        width: Columns to fill.

    Returns:
        Lines that each end in a newline.
    """
    lines = wrap(_say_head(sheet), width)
    for section in sheet.sections:
        lines += ["", *wrap(section.title, width)]
        for caution in section.cautions:
            lines += wrap(f"CAUTION {caution}", width, 2)
        for number, line in enumerate(section.lines, start=1):
            mark = f"{number}. " if section.kind == "numbered" else ""
            lines += wrap(f"{mark}{line}", width, 2, len(mark))
    return "\n".join([*lines, "", *wrap(sheet.deferral, width)]) + "\n"


def render_answer_sheet_html(sheet: AnswerSheet) -> str:
    """Render a sheet as one self-contained page; everything from the document is escaped."""
    parts = [f"<h1>{escape(_say_head(sheet))}</h1>"]
    for section in sheet.sections:
        cautions = "".join(f'<p class="caution">{escape(line)}</p>' for line in section.cautions)
        item, frame = ("li", ("<ol>", "</ol>")) if section.kind == "numbered" else ("p", ("", ""))
        lines = "".join(f"<{item}>{escape(line)}</{item}>" for line in section.lines)
        title = f"<h2>{escape(section.title)}</h2>"
        parts.append(f"<section>{title}{cautions}{frame[0]}{lines}{frame[1]}</section>")
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Answer sheet: {escape(sheet.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        + "\n".join([*parts, f"<p>{escape(sheet.deferral)}</p>"])
        + "\n</body>\n</html>\n"
    )


def _say_head(sheet: AnswerSheet) -> str:
    return f"Answer sheet: {sheet.title} ({sheet.case}, seed {sheet.seed}, rules {sheet.rules_version})"
