"""Build the debrief once, from a closed lesson, its grade and the program's run.

Takes a scene, an outcome and the program's run, gives a Debrief; may import explanation and above.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.build import view_remedy
from diagnose.explanation.document import RemedyView
from diagnose.explanation.reasons import name_link, state_sentence
from diagnose.facts.model import State
from diagnose.knowledge.reasons import Cause
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import Ranking
from diagnose.ranking.weights import weigh_observations
from diagnose.training.debrief import Confidence, Debrief, Point
from diagnose.training.grading import list_lacking
from diagnose.training.judging import judge_path
from diagnose.training.records import Lesson, Move, Outcome
from diagnose.training.scene import Scene, gather_evidence

# A fact that moves the odds by less is no lesson point; a confidence this far off was misread.
_WORTH_SAYING = 3.0
_MISREAD = 0.3
_MOST_POINTS = 8


def build_debrief(scene: Scene, outcome: Outcome, program: Lesson) -> Debrief:
    """Build the debrief of a graded lesson.

    Args:
        scene: The stage.
        outcome: The learner's lesson with its grade.
        program: The program's run on the same answers.

    Returns:
        The document, complete enough to render without the rules.
    """
    lesson, knowledge, cause = outcome.lesson, scene.tutor.knowledge, scene.confirmed.cause
    everything = (*_learned(lesson), *_learned(program))
    ranking = scene.tutor.reasoner.rank(gather_evidence(scene, everything))
    remedy = _view_remedy(scene, ranking)
    stopped = tuple(move.says for move in lesson.moves if move.kind == "unsafe")
    return Debrief(
        case=scene.case.case,
        title=scene.case.title,
        seed=lesson.seed,
        rules_version=lesson.rules_version,
        confirmed=f"{cause}.{scene.world.mode}" if scene.world.mode else cause,
        confirmed_says=_say_cause(scene, cause),
        found=scene.confirmed.found,
        misleading=scene.confirmed.misleading or "",
        named=outcome.named,
        grade=outcome.grade,
        learner=judge_path(scene, lesson, "learner"),
        program=judge_path(scene, program, "program"),
        points=tuple(_list_points(scene, lesson, ranking)),
        confidences=tuple(_judge_confidences(scene, lesson)),
        drawn=_list_drawn(lesson),
        lacking=list_lacking(scene, lesson),
        remedy=remedy,
        stopped=stopped,
        cautions=remedy.cautions if remedy else (),
        deferral=knowledge.cautions.deferral,
    )


def _learned(lesson: Lesson) -> Iterator[Move]:
    yield from (move for move in lesson.moves if move.kind in {"ask_circumstance", "inspect"})


def _say_cause(scene: Scene, cause: str) -> str:
    if cause == UNLISTED:
        return "something that no listed cause covers"
    record = scene.tutor.knowledge.causes[cause]
    return record.modes[scene.world.mode].says if scene.world.mode else record.says


def _view_remedy(scene: Scene, ranking: Ranking) -> RemedyView | None:
    """Show the remedy of the confirmed cause, as it stands once both paths are known."""
    cause, mode = scene.confirmed.cause, scene.world.mode
    return view_remedy(scene.tutor.reasoner, f"{cause}.{mode}" if mode else cause, ranking)


def _list_drawn(lesson: Lesson) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.says for move in lesson.moves for one in move.shown if one.drawn))


def _list_points(scene: Scene, lesson: Lesson, ranking: Ranking) -> Iterator[Point]:
    """List the facts of both paths that say most of the confirmed cause, for it or against it."""
    knowledge, cause = scene.tutor.knowledge, scene.confirmed.cause
    if cause not in knowledge.causes:
        return
    weighed = _weigh(ranking, cause)
    seen = {one.observation for move in lesson.moves for one in move.shown}
    for weight, item in weighed[:_MOST_POINTS]:
        if abs(weight) < _WORTH_SAYING:
            return
        rule, source = name_link(knowledge, knowledge.causes[cause], item.observation)
        yield Point(
            statement=state_sentence(knowledge, item.observation, item.state),
            decibans=weight,
            rule=rule,
            source=source,
            seen=not _basis(item).isdisjoint(seen),
            look=_say_look(scene, item.observation),
        )


def _basis(item: CountedObservation) -> set[str]:
    """Name the observations that a counted one rests on: itself, or what a pattern joined."""
    return {fact.observation for fact in item.basis} | {item.observation}


def _weigh(ranking: Ranking, cause: str) -> list[tuple[float, CountedObservation]]:
    """Weigh the facts somebody told for one cause, heaviest first; none where the cause is ruled out."""
    told = [item.observation for item in ranking.counted.items if item.basis]
    if not told:
        return []
    weights = weigh_observations(ranking.network, ranking.counted.items, [cause], told).weights.get(cause, {})
    found = [(weights[i.observation], i) for i in ranking.counted.items if i.observation in weights]
    return sorted(found, key=lambda pair: (-abs(pair[0]), pair[1].observation))


def _say_look(scene: Scene, observation: str) -> str:
    """Say the cheapest look that shows an observation; nothing for a pattern."""
    looks = [look for look in scene.tutor.knowledge.looks.values() if observation in look.reveals]
    return min(looks, key=lambda look: (look.minutes, look.says)).says if looks else ""


def _judge_confidences(scene: Scene, lesson: Lesson) -> Iterator[Confidence]:
    """Compare each confidence with what was known when it was given."""
    for number, move in enumerate(lesson.moves):
        if move.confidence is None:
            continue
        cause = move.id.partition(".")[0]
        ranking = scene.tutor.reasoner.rank(gather_evidence(scene, lesson.moves[:number]))
        reckoned = min(1.0, ranking.posterior.all_causes[cause])
        yield Confidence(
            cause=move.id,
            given=move.confidence,
            reckoned=reckoned,
            right=cause == scene.confirmed.cause,
            misread=_say_misread(scene, ranking, cause, move.confidence - reckoned),
        )


def _say_misread(scene: Scene, ranking: Ranking, cause: str, gap: float) -> str:
    """Name the fact that speaks most against a confidence far too high, or for one far too low."""
    knowledge = scene.tutor.knowledge
    if abs(gap) < _MISREAD or cause not in knowledge.causes:
        return ""
    sign = -1 if gap > 0 else 1
    fitting = [(w, item) for w, item in _weigh(ranking, cause) if w * sign >= 1.0]
    if not fitting:
        return "it was a guess, for nothing known then spoke for it" if gap > 0 else ""
    weight, item = fitting[0]
    record: Cause = knowledge.causes[cause]
    rule, source = name_link(knowledge, record, item.observation)
    return f"{state_sentence(knowledge, item.observation, State(item.state))} ({weight:+.1f} dB) [{rule}; {source}]"
