"""The grade of a closed lesson: safety, cause, minutes against the program's run, calibration; formula shown.

Takes a scene and two lessons, gives a Grade; may import the other modules of this layer. The same choices
always get the same grade.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.next_step.options import LONGEST_WAIT
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.sight import holds
from diagnose.training.records import Grade, GradePart, Lesson, Move, Number, Outcome
from diagnose.training.scene import Scene, evidence_of, is_cured_by

# Weights of the parts and the pass mark: our choice, no source.
_SAFETY, _CAUSE, _MINUTES, _CALIBRATION = 0.30, 0.35, 0.20, 0.15
_PASS = 70.0
_LOST_PER_UNSAFE = 0.5
# Of the cause's score: naming it, having shown it, and putting it right first on findings that allow it.
_NAMED, _SHOWN, _ORDER = 0.4, 0.3, 0.3
# A cause is shown in full where it is more likely than not on what was known at closing.
_LIKELY = 0.5
_FORMULA = (
    "total = 100 x (0.30 safety + 0.35 cause + 0.20 minutes + 0.15 calibration); passed with no unsafe "
    "choice, the cause named, and a total of 70 or more"
)


@dataclass(frozen=True)
class Closed:
    """What a lesson was closed with."""

    lesson: Lesson
    close: Move


def grade_lesson(scene: Scene, lesson: Lesson, program: Lesson) -> Outcome:
    """Grade a closed lesson against the program's own run on the same answers.

    Args:
        scene: The stage of both.
        lesson: The learner's closed lesson.
        program: The program's run.

    Returns:
        The grade with every number that went into it.

    Raises:
        ValueError: The lesson is still open.
    """
    if lesson.closing is None:
        raise ValueError("the lesson is still open; close it first")
    closed = Closed(lesson, lesson.closing)
    safety, cause = _grade_safety(lesson), _grade_cause(scene, closed)
    minutes, calibration = _grade_minutes(scene, closed, program), _grade_calibration(scene, lesson)
    total = round(100 * sum(p.score * p.weight for p in (safety, cause, minutes, calibration)), 6)
    passed = lesson.unsafe == 0 and _names_cause(scene, closed.close.id) and total >= _PASS
    return Outcome(
        lesson=lesson,
        grade=Grade(safety=safety, cause=cause, minutes=minutes, calibration=calibration,
                    total=total, formula=_FORMULA, passed=passed),
        named=closed.close.id,
        confirmed=scene.confirmed.cause,
    )  # fmt: skip


def _names_cause(scene: Scene, named: str) -> bool:
    return named.partition(".")[0] == scene.confirmed.cause


def _grade_safety(lesson: Lesson) -> GradePart:
    return GradePart(
        score=max(0.0, 1 - _LOST_PER_UNSAFE * lesson.unsafe),
        weight=_SAFETY,
        formula="1 - 0.5 x unsafe choices, not below 0",
        numbers=(Number(name="unsafe choices", value=lesson.unsafe),),
    )


def _grade_cause(scene: Scene, closed: Closed) -> GradePart:
    """Grade the cause named, whether it was shown, where its remedy stands and whether that was allowed."""
    named = float(_names_cause(scene, closed.close.id))
    shown = _measure_shown(scene, closed)
    place = _find_place(scene, closed.close)
    allowed = float(not list_lacking(scene, closed.lesson))
    order = (1 / place if place else 0.0) * (0.5 + 0.5 * allowed)
    return GradePart(
        score=_NAMED * named + _SHOWN * named * shown + _ORDER * order,
        weight=_CAUSE,
        formula="0.4 if the cause is named + 0.3 x how far it was shown + 0.3 / place of its remedy, the latter "
        "halved where a finding that the remedy waits for is not known; place 0 counts nothing. Shown: its "
        "probability on what was known at closing / 0.5, not above 1",
        numbers=(
            Number(name="cause named", value=named),
            Number(name="shown", value=shown),
            Number(name="place of its remedy", value=place),
            Number(name="findings of the remedy known", value=allowed),
        ),
    )


def _find_place(scene: Scene, close: Move) -> int:
    """Find the place of the right remedy in the order; handing over is the remedy of what is not listed."""
    if scene.confirmed.cause == UNLISTED and close.id == UNLISTED:
        return 1
    return next((n for n, name in enumerate(close.remedies, start=1) if is_cured_by(scene, name)), 0)


def _measure_shown(scene: Scene, closed: Closed) -> float:
    """Measure how far what was known at closing shows the confirmed cause; a lucky guess shows nothing."""
    known = _before_closing(closed.lesson)
    posterior = scene.tutor.reasoner.rank(evidence_of(scene, known)).posterior
    return min(1.0, posterior.all_causes[scene.confirmed.cause] / _LIKELY)


def _before_closing(lesson: Lesson) -> Lesson:
    """Give a lesson as it stood before it was closed."""
    end = next((n for n, move in enumerate(lesson.moves) if move.kind == "close"), len(lesson.moves))
    return lesson.model_copy(update={"moves": lesson.moves[:end]})


def list_lacking(scene: Scene, lesson: Lesson) -> tuple[str, ...]:
    """List the remedies of the order up to the right one whose conditions were not known to hold.

    Args:
        scene: The stage.
        lesson: A closed lesson.

    Returns:
        Names of causes or states, in the order given.
    """
    close = lesson.closing
    atoms = scene.tutor.reasoner.rank(evidence_of(scene, _before_closing(lesson))).chained.atoms
    lacking = []
    for name in close.remedies if close else ():
        remedy = scene.tutor.knowledge.named_remedy(name)
        if remedy and not all(holds(condition, atoms) for condition in remedy.only_after):
            lacking.append(name)
        if is_cured_by(scene, name):
            break
    return tuple(lacking)


def _grade_minutes(scene: Scene, closed: Closed, program: Lesson) -> GradePart:
    """Grade the minutes; a cause that was not found, or only guessed, has saved nobody any."""
    named, shown = _names_cause(scene, closed.close.id), _measure_shown(scene, closed)
    own = closed.lesson.minutes
    ratio = min(1.0, program.minutes / own) if own else 1.0
    return GradePart(
        score=ratio * shown if named else 0.0,
        weight=_MINUTES,
        formula="program's minutes / own minutes, not above 1, x how far the cause was shown; 0 where it was not "
        "named",
        numbers=(
            Number(name="own minutes", value=own),
            Number(name="program's minutes", value=program.minutes),
            Number(name="minutes of the repair alone", value=_measure_repair(scene)),
            Number(name="shown", value=shown),
            Number(name="cause named", value=float(named)),
        ),
    )


def _measure_repair(scene: Scene) -> float:
    """Measure the minutes that no plan escapes: the right remedy, the way there and back; 0 where it must wait."""
    cause, mode = scene.confirmed.cause, scene.world.mode
    remedy = scene.tutor.knowledge.named_remedy(f"{cause}.{mode}" if mode else cause)
    ways = scene.ways
    if remedy is None or not ways.path(scene.tutor.knowledge.access.start, remedy.access):
        return 0.0
    there = ways.index(remedy.access)
    access = float(ways.minutes[ways.home, there] + ways.minutes[there, ways.home])
    return remedy.minutes + min(remedy.minutes_to_know, LONGEST_WAIT) + access


def _grade_calibration(scene: Scene, lesson: Lesson) -> GradePart:
    """Grade the confidences by the mean square of their errors (Brier 1950).

    Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78 (1950).
    """
    said = [(m.id, m.confidence) for m in lesson.moves if m.confidence is not None]
    errors = [(confidence - _names_cause(scene, cause)) ** 2 for cause, confidence in said]
    brier = sum(errors) / len(errors)
    return GradePart(
        score=1 - brier,
        weight=_CALIBRATION,
        formula="1 - mean of (confidence - 1 if it was that cause, else 0) squared, over all confidences given",
        numbers=(
            Number(name="confidences given", value=len(errors)),
            Number(name="mean squared error", value=brier),
        ),
    )
