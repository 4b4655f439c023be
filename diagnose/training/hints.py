"""Hints of three grades: where to look, which family, the step the program would take now.

Takes a scene and a lesson, gives lines and what they cost; may import next_step and above.
"""

from __future__ import annotations

from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind
from diagnose.training.records import Lesson
from diagnose.training.scene import Scene, evidence_of, place_of

# Minutes of a telephone call to somebody who knows, by grade: estimates, no source.
HINT_MINUTES = {1: 2.0, 2: 4.0, 3: 8.0}


def give_hint(scene: Scene, lesson: Lesson, grade: int) -> tuple[str, ...]:
    """Give a hint from what the learner has been told so far; the confirmed cause plays no part.

    Args:
        scene: The stage.
        lesson: The lesson so far.
        grade: 1 where to look, 2 which family, 3 the step.

    Returns:
        Lines to show, the cautions of the step among them.
    """
    evidence = evidence_of(scene, lesson)
    step = scene.tutor.choose(evidence, place_of(scene, lesson))
    if grade == 1:
        return (_say_where(scene, step),)
    if grade == 2:
        return (_say_family(scene, lesson),)
    return _say_step(scene, step)


def _say_where(scene: Scene, step: NextStep) -> str:
    knowledge = scene.tutor.knowledge
    if step.kind is StepKind.INSPECTION:
        return f"Where to look: {knowledge.access.states[knowledge.looks[step.id].access].says}."
    if step.kind is StepKind.REPAIR:
        return "Where to look: nowhere, enough is known to name the repair."
    return "Where to look: nothing within reach is worth its minutes any more."


def _say_family(scene: Scene, lesson: Lesson) -> str:
    """Say the part of the unit in which the likeliest causes lie, with the chance of each part."""
    knowledge = scene.tutor.knowledge
    parts: dict[str, float] = {}
    for ranked in scene.tutor.reasoner.rank(evidence_of(scene, lesson)).causes:
        part = knowledge.causes[ranked.cause].part
        parts[part] = parts.get(part, 0.0) + ranked.probability
    total = sum(parts.values())
    first = sorted(parts, key=lambda part: (-parts[part], part))[:2]
    shares = " and ".join(f"{part} ({parts[part] / total * 100:.0f} %)" for part in first)
    return f"Which family: on what is known so far the likeliest parts are {shares}."


def _say_step(scene: Scene, step: NextStep) -> tuple[str, ...]:
    cautions = (f"CAUTION {line}" for line in scene.tutor.reasoner.say_cautions(step.cautions))
    deferral = (scene.tutor.knowledge.cautions.deferral,) if step.cautions else ()
    return (f"The step to take now: {step.says} [{step.id or step.kind.value}].", *cautions, *deferral)
