"""The program's own run on a lesson: its policy played on the same answers, paid in the same minutes.

Takes a scene, gives a closed lesson; may import next_step and above.
"""

from __future__ import annotations

from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind
from diagnose.ranking.network import UNLISTED
from diagnose.training.lesson import leave, repair, run_choice, start_lesson
from diagnose.training.records import Lesson, Move
from diagnose.training.scene import Scene, evidence_of, is_cured_by, place_of

# More steps than any run needs; a run that comes here is handed over.
_MOST_STEPS = 80
# A unit is handed over with a cause named only where that cause is more likely than not.
_LIKELY = 0.5


def run_program(scene: Scene, seed: int) -> Lesson:
    """Play the program's policy: ask what a call-taker asks first, then take its next step each time.

    Args:
        scene: The stage.
        seed: The seed of the lesson.

    Returns:
        The closed lesson, with every repair that was tried.
    """
    lesson = start_lesson(scene, seed)
    for name, record in scene.tutor.knowledge.circumstances.items():
        if record.asked_first:
            lesson = run_choice(scene, lesson, name)
    for _ in range(_MOST_STEPS):
        step = scene.tutor.choose(evidence_of(scene, lesson), place_of(scene, lesson))
        if step.kind is StepKind.INSPECTION:
            lesson = run_choice(scene, lesson, step.id)
            continue
        if step.kind is not StepKind.REPAIR:
            return _close(scene, lesson, _name_without_work(scene, lesson, step))
        if is_cured_by(scene, step.id):
            return _close(scene, lesson, step.id)
        lesson = _add(lesson, repair(scene, lesson, step.id))
    return _close(scene, lesson, UNLISTED)


def _name_without_work(scene: Scene, lesson: Lesson, step: NextStep) -> str:
    """Name the likeliest cause, which waits for access; a unit is handed over with one only where it is likely."""
    first = scene.tutor.reasoner.rank(evidence_of(scene, lesson)).causes[0]
    is_named = step.kind is StepKind.NOTHING_TO_REACH or first.probability >= _LIKELY
    return first.cause if is_named else UNLISTED


def _close(scene: Scene, lesson: Lesson, name: str) -> Lesson:
    """Close with a cause and the program's probability of it, and carry its remedy out where it is right."""
    chances = scene.tutor.reasoner.rank(evidence_of(scene, lesson)).posterior.all_causes
    confidence = min(1.0, chances[name.partition(".")[0]])
    order = () if name == UNLISTED else (name,)
    lesson = _add(lesson, Move(kind="close", id=name, confidence=confidence, remedies=order))
    for remedy in order:
        lesson = _add(lesson, repair(scene, lesson, remedy))
    return leave(scene, lesson)


def _add(lesson: Lesson, move: Move) -> Lesson:
    return lesson.model_copy(update={"moves": (*lesson.moves, move)})
