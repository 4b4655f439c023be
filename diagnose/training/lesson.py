"""The lesson itself: every choice of the learner becomes a move, paid in minutes and access.

Takes a scene, a lesson and a choice, gives the longer lesson; may import next_step and above. What is unsafe
is stopped with its cautions and counted, never performed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.knowledge.acting import Act, Inspection, Remedy
from diagnose.knowledge.validate import suggest
from diagnose.next_step.access import is_excluded
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.choose import Progress, build_situation
from diagnose.next_step.options import LONGEST_WAIT, is_live, list_worth_looking
from diagnose.ranking.network import UNLISTED
from diagnose.training.answering import answer_look
from diagnose.training.choices import (
    ASK_MINUTES,
    LIVE,
    is_needlessly_live,
    shortcut_for,
    split_shortcut,
)  # fmt: skip
from diagnose.training.hints import HINT_MINUTES, give_hint
from diagnose.training.records import Lesson, Move
from diagnose.training.scene import Scene, evidence_of, is_cured_by, place_of


@dataclass(frozen=True)
class _Danger:
    """Why a choice is stopped, and what it would have done."""

    why: str
    acts: tuple[Act, ...]


def start_lesson(scene: Scene, seed: int, *, exam: bool = False) -> Lesson:
    """Begin a lesson; the seed must be the one the scene was built with."""
    return Lesson(case=scene.case.case, seed=seed, rules_version=scene.tutor.knowledge.version, exam=exam)


def run_choice(scene: Scene, lesson: Lesson, choice: str) -> Lesson:
    """Take a circumstance, a look or a shortcut by its id.

    Args:
        scene: The stage.
        lesson: The lesson so far.
        choice: Id of the choice.

    Returns:
        The lesson with one more move; its `says` is what the learner gets.

    Raises:
        ValueError: There is no such choice, or the lesson is closed.
    """
    _ensure_open(lesson)
    knowledge = scene.tutor.knowledge
    if choice in knowledge.circumstances:
        return _add(lesson, _ask(scene, choice))
    look = split_shortcut(choice)
    if look not in knowledge.looks:
        cure = suggest(choice, (*knowledge.circumstances, *knowledge.looks), "choose a number of the list")
        raise ValueError(f"no choice '{choice}'; {cure}")
    danger = _find_danger(scene, lesson, choice)
    if danger:
        return _add(lesson, _stop(scene, lesson, choice, danger))
    return _add(lesson, _look(scene, lesson, look))


def run_hint(scene: Scene, lesson: Lesson, grade: int) -> Lesson:
    """Ask for a hint; it costs minutes.

    Raises:
        ValueError: No such grade, an exam, or the lesson is closed.
    """
    _ensure_open(lesson)
    if lesson.exam:
        raise ValueError("an exam gives no hints; go on from what you know")
    if grade not in HINT_MINUTES:
        raise ValueError(f"there is no hint {grade}; ask for hint 1, 2 or 3")
    says = give_hint(scene, lesson, grade)
    return _add(lesson, Move(kind="hint", id=str(grade), minutes=HINT_MINUTES[grade], says=says))


def run_suspicion(scene: Scene, lesson: Lesson, cause: str, confidence: float) -> Lesson:
    """Write down a suspected cause with the probability the learner gives it, 0 to 1; costs nothing.

    Raises:
        ValueError: No such cause, no probability, or the lesson is closed.
    """
    _ensure_open(lesson)
    _ensure_cause(scene, cause)
    return _add(lesson, Move(kind="suspect", id=cause, confidence=_ensure_probability(confidence)))


def run_close(
    scene: Scene, lesson: Lesson, cause: str, confidence: float, remedies: tuple[str, ...] = ()
) -> Lesson:
    """Close the lesson: name the cause and the remedies in the order they would be done.

    The remedies are then carried out until one works, each paid in minutes, and the unit is closed up.

    Args:
        scene: The stage.
        lesson: The lesson so far.
        cause: Cause, cause.mode, or `unlisted` to hand the unit over.
        confidence: Probability that it is this cause, 0 to 1.
        remedies: Causes, cause.modes or states to put right, first one first; the cause alone if left out.

    Returns:
        The closed lesson.

    Raises:
        ValueError: No such cause or remedy, no probability, or the lesson is closed.
    """
    _ensure_open(lesson)
    _ensure_cause(scene, cause)
    order = remedies or ((cause,) if cause != UNLISTED else ())
    for name in order:
        _ensure_remedy(scene, name)
    close = Move(kind="close", id=cause, confidence=_ensure_probability(confidence), remedies=order)
    return run_remedies(scene, _add(lesson, close), order)


def run_remedies(scene: Scene, lesson: Lesson, order: tuple[str, ...]) -> Lesson:
    """Carry remedies out until one puts the confirmed cause right, then close the unit up."""
    for name in order:
        lesson = _add(lesson, repair(scene, lesson, name))
        if is_cured_by(scene, name):
            break
    return leave(scene, lesson)


def repair(scene: Scene, lesson: Lesson, name: str) -> Move:
    """Carry one remedy out; one that cannot be reached today waits and costs nothing now."""
    remedy = scene.tutor.knowledge.named_remedy(name)
    if remedy is None:
        raise KeyError(name)
    path, there = _way(scene, lesson, remedy.access)
    if not path:
        return Move(kind="repair", id=name, says=(f"{remedy.says}: waits, it cannot be reached today.",))
    minutes = remedy.minutes + min(remedy.minutes_to_know, LONGEST_WAIT)
    works = "it works" if is_cured_by(scene, name) else "still faulty"
    says = (*_say_cautions(scene, remedy, path), f"{remedy.says}: {works}.")
    return Move(kind="repair", id=name, minutes=minutes, access_minutes=there, access=path, says=says)


def leave(scene: Scene, lesson: Lesson) -> Lesson:
    """Close the unit up, where it is not as it was found."""
    path, back = _way(scene, lesson, scene.tutor.knowledge.access.start)
    if len(path) < 2:
        return lesson
    return _add(lesson, Move(kind="leave", id=path[-1], access_minutes=back, access=path))


def _add(lesson: Lesson, move: Move) -> Lesson:
    return lesson.model_copy(update={"moves": (*lesson.moves, move)})


def _ask(scene: Scene, name: str) -> Move:
    """Ask for a circumstance; where the case does not tell it, nobody on the site knows."""
    record = scene.tutor.knowledge.circumstances[name]
    values = tuple(dict.fromkeys(f.value for f in scene.world.circumstances if f.circumstance == name))
    told = "; ".join(record.values[value] for value in values) or "Nobody on the site can tell"
    return Move(kind="ask_circumstance", id=name, minutes=ASK_MINUTES, values=values,
                says=(f"{record.question} {told}.",))  # fmt: skip


def _look(scene: Scene, lesson: Lesson, name: str) -> Move:
    """Take a look, or learn for a minute's question that it cannot be had."""
    knowledge = scene.tutor.knowledge
    look = knowledge.looks[name]
    if is_excluded(look.excluded_when, scene.world.atoms):
        nothing = ("This unit has nothing of the kind; nothing was done.",)
        return Move(kind="out_of_reach", id=name, minutes=ASK_MINUTES, says=nothing)
    path, there = _way(scene, lesson, look.access)
    if not path:
        refused = (f"Not to be had today: {knowledge.access.states[look.access].says}.",)
        return Move(kind="out_of_reach", id=name, minutes=ASK_MINUTES, says=refused)
    shown = answer_look(knowledge, scene.world, look.reveals)
    says = (*_say_cautions(scene, look, path), *dict.fromkeys(one.says for one in shown))
    return Move(kind="inspect", id=name, minutes=look.minutes, access_minutes=there,
                access=path, shown=shown, says=says)  # fmt: skip


def _way(scene: Scene, lesson: Lesson, access: str) -> tuple[tuple[str, ...], float]:
    """Give the access states to pass and the minutes; nothing where there is no way today."""
    ways, here = scene.ways, place_of(scene, lesson)
    minutes = float(ways.minutes[ways.index(here), ways.index(access)])
    return ways.path(here, access), minutes


def _say_cautions(scene: Scene, work: Inspection | Remedy, path: tuple[str, ...]) -> Iterator[str]:
    """Say every safety line that goes with the work, and the sentence that defers to local rules."""
    knowledge = scene.tutor.knowledge
    lines = collect_cautions(knowledge, work, path)
    yield from (f"CAUTION {line}" for line in scene.tutor.reasoner.say_cautions(lines))
    if lines:
        yield knowledge.cautions.deferral


def _find_danger(scene: Scene, lesson: Lesson, choice: str) -> _Danger | None:
    """Find what makes a choice unsafe at this moment."""
    knowledge, name = scene.tutor.knowledge, split_shortcut(choice)
    look, cut = knowledge.looks[name], shortcut_for(knowledge, name)
    if choice != name:
        if cut is None:
            raise ValueError(f"no choice '{choice}'; choose a number of the list")
        why = "This is done with the supply locked off and proved dead" if cut is LIVE else (
            "This is done only with the line isolated, without pressure and drained")  # fmt: skip
        return _Danger(f"{why}, whatever the minutes say.", cut.acts)
    if not is_live(knowledge, look):
        return None
    ranking = scene.tutor.reasoner.rank(evidence_of(scene, lesson))
    situation = build_situation(knowledge, ranking.chained, ranking.beliefs, Progress())
    acts: tuple[Act, ...] = ("open_cover", "measure_live")
    if is_excluded(knowledge.access.states[look.access].excluded_when, situation.exclusion_atoms):
        return _Danger("Energised work with the cover off, and the area is not known to be safe.", acts)
    worth = list_worth_looking(knowledge, situation)
    new = tuple(o for o in look.reveals if o in worth) or look.reveals
    if is_needlessly_live(scene, name, new):
        return _Danger("Live work where a dead measurement tells the same.", acts)
    return None


def _stop(scene: Scene, lesson: Lesson, choice: str, danger: _Danger) -> Move:
    """Stop an unsafe choice with its cautions."""
    del lesson
    knowledge = scene.tutor.knowledge
    called = {line for act in danger.acts for line in knowledge.cautions.acts[act]}
    lines = tuple(line for line in knowledge.cautions.lines if line in called)
    cautions = (f"CAUTION {line}" for line in scene.tutor.reasoner.say_cautions(lines))
    says = (f"STOPPED, not done. {danger.why}", *cautions, knowledge.cautions.deferral)
    return Move(kind="unsafe", id=choice, says=says)


def _ensure_open(lesson: Lesson) -> None:
    if lesson.closing:
        raise ValueError("the lesson is closed; start another one")


def _ensure_cause(scene: Scene, name: str) -> None:
    """Refuse what is no cause, and a mode that the cause does not have."""
    causes = scene.tutor.knowledge.causes
    cause, _, mode = name.partition(".")
    if cause not in causes and name != UNLISTED:
        raise ValueError(
            f"no cause '{name}'; {suggest(cause, causes, 'give the id of a cause, or unlisted')}"
        )
    if mode and mode not in causes[cause].modes:
        cure = suggest(mode, causes[cause].modes, "leave the mode out")
        raise ValueError(f"'{cause}' has no mode '{mode}'; {cure}")


def _ensure_remedy(scene: Scene, name: str) -> None:
    knowledge = scene.tutor.knowledge
    if knowledge.named_remedy(name) is None:
        cure = suggest(name, (*knowledge.causes, *knowledge.consequences), "name the cause it puts right")
        raise ValueError(f"no remedy for '{name}'; {cure}")


def _ensure_probability(value: float) -> float:
    if not 0 <= value <= 1:
        raise ValueError(f"{value * 100:g} % is no confidence; give 0 to 100 per cent")
    return value
