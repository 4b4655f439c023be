"""The debrief as text for a terminal.

Takes a Debrief, gives a string; imports the document and the text helpers only. Pure: nothing is looked up.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.text import WIDTH, percent, shorten, wrap
from diagnose.training.debrief import Debrief, Path, Point, StepDebrief
from diagnose.training.records import GradePart

WORTH = {
    "best": "the best step then",
    "near": "about as good as the best step",
    "dear": "dearer than the best step",
    "": "",
}
NO_OPTIMUM = "Optimum: not computed; the whole rule base has too many answers to follow them all."
DRAWN = "The case is silent on these; they were drawn from the strengths given the cause"
LEGEND = "Told: what the answer did to the odds; due: what it was to tell on average, before the answer."


def render_debrief(document: Debrief, width: int = WIDTH) -> str:
    """Render a debrief for a terminal or a file.

    Args:
        document: The debrief.
        width: Columns to fill.

    Returns:
        Lines joined by newlines. Cautions are never folded away.
    """
    lines = [
        *_head(document, width),
        *_grade(document, width),
        *_stopped(document, width),
        *_path(document.learner, "Your path", width),
        *_path(document.program, "The program's path on the same answers", width),
        *_points(document, width),
        *_confidences(document, width),
        *_remedy(document, width),
        *_drawn(document, width),
        "",
        *wrap(document.deferral, width),
    ]
    return "\n".join(lines) + "\n"


def _head(document: Debrief, width: int) -> Iterator[str]:
    yield from wrap(f"Debrief: {document.title} ({document.case}, seed {document.seed})", width)
    yield from wrap(f"It was {document.confirmed}: {document.confirmed_says}. {document.found}", width)
    yield from wrap(f"You named {document.named}.", width)
    if document.misleading:
        yield from wrap(f"What misled: {document.misleading}", width)


def _grade(document: Debrief, width: int) -> Iterator[str]:
    grade = document.grade
    yield ""
    verdict = "passed" if grade.passed else "not passed"
    yield from wrap(f"Grade {grade.total:.0f} of 100, {verdict}. {grade.formula}.", width)
    for name in ("safety", "cause", "minutes", "calibration"):
        part: GradePart = getattr(grade, name)
        numbers = ", ".join(f"{number.name} {number.value:.4g}" for number in part.numbers)
        yield from wrap(f"{name:<12}{part.score:.2f}  = {part.formula} ({numbers})", width, 2, 18)
    yield from wrap(NO_OPTIMUM if grade.optimum is None else f"Optimum: {grade.optimum:.0f} min.", width, 2)


def _stopped(document: Debrief, width: int) -> Iterator[str]:
    if document.stopped:
        yield ""
        yield from wrap(f"Unsafe choices, stopped before anything was done: {len(document.stopped)}", width)
    for line in list_stopped(document):
        yield from wrap(line, width, 2)


def list_stopped(document: Debrief) -> tuple[str, ...]:
    """List each unsafe choice with why it was stopped, then every caution that was shown, each once."""
    steps = (step for step in document.learner.steps if step.kind == "unsafe")
    chosen = [step.says.removeprefix("STOPPED: ") for step in steps]
    why = [says[0] for says in document.stopped]
    cautions = dict.fromkeys(line for says in document.stopped for line in says[1:])
    cautions.pop(document.deferral, None)
    return (*(f"{says}: {reason}" for says, reason in zip(chosen, why, strict=True)), *cautions)


def _path(path: Path, title: str, width: int) -> Iterator[str]:
    yield ""
    moment = say_moment(path)
    yield from wrap(f"{title}: {path.minutes:.0f} min. {moment}", width)
    yield from wrap(LEGEND, width, 2)
    for step in path.steps:
        yield from _step(step, width)


def say_moment(path: Path) -> str:
    """Say when the right cause became likely."""
    if path.likely_after is None:
        return "The right cause never became more likely than not."
    return f"The right cause was more likely than not, for good, after step {path.likely_after}."


def _step(step: StepDebrief, width: int) -> Iterator[str]:
    yield from wrap(f"{step.number:>2}. {step.says} ({step.minutes:.0f} min)", width, 0, 4)
    for answer in step.answers:
        drawn = " [drawn]" if answer.drawn else ""
        yield shorten(f"-> {answer.says}", width - len(drawn), 4) + drawn
    if figures := say_figures(step):
        yield from wrap(figures, width, 4)


def say_figures(step: StepDebrief) -> str:
    """Say what a step told, was due to tell and was worth, and where the right cause stood after it."""
    parts = []
    if step.told is not None:
        parts.append(f"told {_say_decibans(step.told)}")
    if step.expected is not None:
        parts.append(f"due {_say_decibans(step.expected)}")
    if step.worth:
        parts.append(WORTH[step.worth] + _say_plan(step))
    return "; ".join([*parts, f"right cause {percent(step.probability)}"]) if parts else ""


def _say_decibans(value: float) -> str:
    # nothing told is neither for nor against
    return f"{value:+z.1f} dB"


def say_look(point: Point) -> str:
    """Say by which look a missed fact is seen; a look may be worded as a question."""
    if not point.look or point.seen:
        return ""
    return f" Seen by: {point.look}" + ("" if point.look.endswith("?") else ".")


def _say_plan(step: StepDebrief) -> str:
    """Say the expected minutes with this step first and with the best one first."""
    if step.best_plan is None or step.worth == "best":
        return f" ({step.best_plan:.0f} min to go)" if step.best_plan is not None else ""
    own = "not among the best six" if step.plan is None else f"{step.plan:.0f} min to go"
    return f" ({own}, {step.best_plan:.0f} with: {step.best})"


def _points(document: Debrief, width: int) -> Iterator[str]:
    for title, seen in (("Evidence you had", True), ("Evidence you missed", False)):
        points = [point for point in document.points if point.seen is seen]
        if points:
            yield ""
            yield from wrap(f"{title}, for the right cause (+) or against it (-):", width)
        for point in points:
            yield from wrap(
                f"{point.decibans:+6.1f} dB  {point.statement}.{say_look(point)} [{point.rule}; {point.source}]",
                width,
                2,
                11,
            )


def _confidences(document: Debrief, width: int) -> Iterator[str]:
    yield ""
    yield "Your confidences, and what the facts known then made of them:"
    for said in document.confidences:
        right = "right" if said.right else "wrong"
        line = f"{said.cause}: you {percent(said.given)}, reckoned {percent(said.reckoned)}; it was {right}"
        yield from wrap(line, width, 2)
        if said.misread:
            yield from wrap(f"misread: {said.misread}", width, 4)


def _remedy(document: Debrief, width: int) -> Iterator[str]:
    for name in document.lacking:
        yield ""
        yield from wrap(
            f"The remedy of {name} was named before the findings that it waits for were known.", width
        )
    remedy = document.remedy
    if remedy is None:
        return
    yield ""
    yield from wrap(f"Remedy: {remedy.says} ({remedy.minutes:.0f} min, {remedy.access})", width)
    for caution in document.cautions:
        yield from wrap(f"CAUTION {caution}", width, 2)
    for number, step in enumerate(remedy.steps, start=1):
        reach = f"; to {step.reach}" if step.reach else ""
        yield from wrap(f"{number}. {step.do}{reach}", width, 2, 3)
    yield from wrap(f"Proved when: {remedy.acceptance}", width, 2)


def _drawn(document: Debrief, width: int) -> Iterator[str]:
    if not document.drawn:
        return
    yield ""
    yield from wrap(f"{DRAWN} (seed {document.seed}):", width)
    for says in document.drawn:
        yield from wrap(f"- {says}", width, 2)
