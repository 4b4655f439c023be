"""What an instructor sees of a class: each learner's lessons, safety, causes, minutes, calibration; confusions.

Takes kept lessons, gives one frozen document, its text and tables; imports progress, practice and records.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from statistics import fmean, median

from diagnose.explanation.text import WIDTH, wrap
from diagnose.training.practice import Confusion, is_right, list_confusions
from diagnose.training.progress import Kept
from diagnose.training.records import GradePart, Outcome, Record
from diagnose.training.tables import Cell, write_commas

# Pairs shown in the text; the document holds them all.
_MOST_PAIRS = 10
_LEGEND = (
    "stops: unsafe choices; right: causes named rightly; minutes: own by the program's, median of those; "
    "Brier: mean squared error of confidences, 0 is best; too sure: closing confidence less share right."
)


class LearnerLine(Record):
    """One learner over all closed lessons; shares and means are None where nothing was closed.

    Attributes:
        open: Lessons begun and not closed.
        safety_stops: Unsafe choices, each stopped.
        right: Lessons closed with the right cause.
        minutes_ratio: Median of own minutes by the program's, over lessons with the right cause.
        brier: Mean square of the errors of the confidences (Brier 1950); 0 is best.
        overconfidence: Mean closing confidence less the share of right causes; positive is too sure.
    """

    learner: str
    lessons: int
    open: int
    exams: int
    passed: int
    safety_stops: int
    right: int
    mean_total: float | None
    minutes_ratio: float | None
    brier: float | None
    overconfidence: float | None


class ClassSummary(Record):
    """A class: its learners by name, and causes taken for each other, most frequent first."""

    format: int = 1
    learners: tuple[LearnerLine, ...]
    confusions: tuple[Confusion, ...]


def sum_up_class(lessons: Sequence[Kept]) -> ClassSummary:
    """Sum up the lessons of a class.

    Args:
        lessons: Lessons of all learners.

    Returns:
        One line a learner, and the pairs most confused over the class.
    """
    names = sorted({kept.learner for kept in lessons})
    lines = tuple(_sum_up(name, [kept for kept in lessons if kept.learner == name]) for name in names)
    return ClassSummary(learners=lines, confusions=list_confusions(lessons))


def _sum_up(name: str, lessons: Sequence[Kept]) -> LearnerLine:
    closed = [kept.outcome for kept in lessons if kept.outcome]
    right = [outcome for outcome in closed if is_right(outcome)]
    return LearnerLine(
        learner=name,
        lessons=len(closed),
        open=len(lessons) - len(closed),
        exams=sum(kept.allowed is not None for kept in lessons),
        passed=sum(outcome.grade.passed for outcome in closed),
        safety_stops=sum(kept.lesson.unsafe for kept in lessons),
        right=len(right),
        mean_total=_over(closed, lambda outcome: outcome.grade.total),
        minutes_ratio=_middle(_list_ratios(right)),
        brier=_over(closed, lambda outcome: 1 - outcome.grade.calibration.score),
        overconfidence=_over(closed, lambda outcome: _confidence(outcome) - is_right(outcome)),
    )


def _over(outcomes: Iterable[Outcome], figure: Callable[[Outcome], float]) -> float | None:
    values = [figure(outcome) for outcome in outcomes]
    return fmean(values) if values else None


def _middle(values: Iterable[float]) -> float | None:
    listed = list(values)
    return median(listed) if listed else None


def _list_ratios(outcomes: Iterable[Outcome]) -> Iterator[float]:
    for outcome in outcomes:
        own, program = list_minutes(outcome)
        if own is not None and program:
            yield own / program


def list_minutes(outcome: Outcome) -> tuple[float | None, float | None]:
    """Give own minutes and the program's, as the grade counted them."""
    part = outcome.grade.minutes
    return _number(part, "own minutes"), _number(part, "program's minutes")


def _number(part: GradePart, name: str) -> float | None:
    return next((number.value for number in part.numbers if number.name == name), None)


def _confidence(outcome: Outcome) -> float:
    close = outcome.lesson.closing
    return (close.confidence if close else None) or 0.0


def render_class(summary: ClassSummary) -> str:
    """Render a class for a terminal.

    Args:
        summary: The class.

    Returns:
        Lines that each end in a newline.
    """
    if not summary.learners:
        return "No lessons are kept yet.\n"
    width = max(7, *(len(line.learner) for line in summary.learners))
    lines = [
        f"{'learner':<{width}} lessons open exams passed stops right grade minutes Brier too sure",
        *(_render_line(line, width) for line in summary.learners),
        "",
        *wrap(_LEGEND, WIDTH),
    ]
    if summary.confusions:
        lines += ["", "Taken for each other:"]
    for pair in summary.confusions[:_MOST_PAIRS]:
        lines.append(f"  {pair.times:>2} times {pair.named} named where it was {pair.confirmed}")
    return "\n".join(lines) + "\n"


def _render_line(line: LearnerLine, width: int) -> str:
    share = f"{100 * line.right / line.lessons:.0f} %" if line.lessons else "-"
    return (
        f"{line.learner:<{width}} {line.lessons:>7} {line.open:>4} {line.exams:>5} {line.passed:>6} "
        f"{line.safety_stops:>5} {share:>5} {_figure(line.mean_total, 0):>5} {_figure(line.minutes_ratio, 2):>7} "
        f"{_figure(line.brier, 2):>5} {_figure(line.overconfidence, 2, '+'):>8}"
    )


def _figure(value: float | None, digits: int, sign: str = "") -> str:
    return "-" if value is None else f"{value:{sign}.{digits}f}"


def write_class_table(summary: ClassSummary) -> str:
    """Write the learners of a class as CSV, one a row."""
    columns = tuple(LearnerLine.model_fields)
    return write_commas(columns, (tuple(line.model_dump().values()) for line in summary.learners))


LESSON_COLUMNS = (
    "id", "learner", "begun", "changed", "case", "seed", "rules_version", "exam_minutes", "moves", "unsafe",
    "minutes", "program_minutes", "named", "confirmed", "right", "confidence", "total", "passed", "safety",
    "cause", "minutes_score", "calibration",
)  # fmt: skip


def write_lessons_table(lessons: Iterable[Kept]) -> str:
    """Write lessons as CSV, one a row; an open one has no grade."""
    return write_commas(LESSON_COLUMNS, (_list_cells(kept) for kept in lessons))


def _list_cells(kept: Kept) -> tuple[Cell, ...]:
    lesson = kept.lesson
    begun, changed = kept.begun.isoformat(), kept.changed.isoformat()
    head = (kept.id, kept.learner, begun, changed, lesson.case, lesson.seed, lesson.rules_version, kept.allowed,
            len(lesson.moves), lesson.unsafe, lesson.minutes)  # fmt: skip
    outcome = kept.outcome
    if outcome is None:
        return (*head, *(None,) * (len(LESSON_COLUMNS) - len(head)))
    grade = outcome.grade
    return (*head, list_minutes(outcome)[1], outcome.named, outcome.confirmed, int(is_right(outcome)),
            _confidence(outcome), grade.total, int(grade.passed), grade.safety.score, grade.cause.score,
            grade.minutes.score, grade.calibration.score)  # fmt: skip
