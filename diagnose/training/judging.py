"""What each step of a path told, what it was due to tell before the answer, and whether it was worth its minutes.

Takes a scene and a closed lesson, gives a Path; may import explanation and above.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log10

import numpy as np

from diagnose.explanation.prospects import weigh_single_causes
from diagnose.explanation.reasons import decibans
from diagnose.facts.model import Evidence
from diagnose.next_step.choose import NextStep
from diagnose.next_step.outcomes import list_known, list_outcomes
from diagnose.next_step.problem import StepKind
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import Ranking
from diagnose.training.choices import find_choice
from diagnose.training.debrief import Answered, Path, StepDebrief, Worth
from diagnose.training.records import Lesson, Move
from diagnose.training.scene import Scene, gather_evidence

LIKELY = 0.5
# A step this many minutes dearer than the best one is still a sensible choice: estimate, no source.
_NEAR = 5.0
_LEAST = 1e-9
_LEARNING = frozenset(["ask_circumstance", "inspect", "repair"])


def judge_path(scene: Scene, lesson: Lesson, who: str) -> Path:
    """Judge every step of a closed lesson.

    Args:
        scene: The stage.
        lesson: The learner's lesson or the program's run.
        who: `learner` or `program`.

    Returns:
        The path with what each step told and was due to tell.
    """
    steps = tuple(_judge_steps(scene, lesson))
    return Path.model_validate(
        {"who": who, "minutes": lesson.minutes, "steps": steps, "likely_after": find_likely(steps)}
    )


def find_likely(steps: tuple[StepDebrief, ...]) -> int | None:
    """Find the step after which the confirmed cause was more likely than not and stayed so."""
    found = None
    for step in steps:
        if step.probability < LIKELY:
            found = None
        elif found is None:
            found = step.number
    return found


def chance_of_truth(scene: Scene, ranking: Ranking) -> float:
    """Give the probability of the confirmed cause."""
    return min(1.0, ranking.posterior.all_causes[scene.confirmed.cause])


def _judge_steps(scene: Scene, lesson: Lesson) -> Iterator[StepDebrief]:
    at = scene.tutor.knowledge.access.start
    for number, move in enumerate(lesson.moves, start=1):
        before = gather_evidence(scene, lesson.moves[: number - 1])
        after = gather_evidence(scene, lesson.moves[:number])
        yield _judge(scene, number, move, (before, after), at)
        at = move.access[-1] if move.access else at


def _judge(
    scene: Scene, number: int, move: Move, evidence: tuple[Evidence, Evidence], at: str
) -> StepDebrief:
    rank = scene.tutor.reasoner.rank
    before, after = (rank(told) for told in evidence)
    was, now = chance_of_truth(scene, before), chance_of_truth(scene, after)
    step = scene.tutor.choose(evidence[0], at) if move.kind == "inspect" else None
    plan, worth = _weigh_plan(step, move.id) if step else (None, "")
    return StepDebrief(
        number=number,
        kind=move.kind,
        id=move.id,
        says=_say_move(scene, move),
        answers=_say_answers(scene, move),
        minutes=move.spent,
        told=decibans(now) - decibans(was) if move.kind in _LEARNING else None,
        expected=_expect(scene, before, move) if move.kind == "inspect" else None,
        plan=plan,
        best_plan=step.expected if step else None,
        best=(step.says if step.kind is not StepKind.REPAIR else f"repair: {step.says}") if step else "",
        worth=worth,
        probability=now,
    )


def _weigh_plan(step: NextStep, look: str) -> tuple[float | None, Worth]:
    """Compare the expected minutes with a look first to those with the best step first."""
    if step.id == look:
        return step.expected, "best"
    plan = next((c.expected for c in step.runners_up if c.id == look), None)
    return plan, "near" if plan is not None and plan <= step.expected + _NEAR else "dear"


def _expect(scene: Scene, ranking: Ranking, move: Move) -> float:
    """Give the decibans that a look is due to tell if the confirmed cause is there.

    Sum over outcomes of P(outcome | cause) x 10 log10 (P(outcome | cause) / P(outcome | the others)), reckoned
    as if exactly one cause were there (Good, Probability and the Weighing of Evidence, 1950).
    """
    knowledge = scene.tutor.knowledge
    known = list_known(knowledge, ranking.beliefs)
    new = [o for o in knowledge.looks[move.id].reveals if o not in known]
    rows, weights = weigh_single_causes(ranking)
    if not new:
        return 0.0
    chances = dict(zip(ranking.network.observations, ranking.network.tables.shown_alone[rows].T, strict=True))
    told = {item.observation: item.likelihood for item in ranking.counted.items}
    outcomes = list_outcomes(knowledge, new, told, chances).chances
    is_true = np.array([scene.confirmed.cause in ranking.network.alternatives[row].members for row in rows])
    if not weights[is_true].sum() or not weights[~is_true].sum():
        return 0.0
    ours = outcomes[:, is_true] @ weights[is_true] / weights[is_true].sum()
    others = outcomes[:, ~is_true] @ weights[~is_true] / weights[~is_true].sum()
    return float(
        sum(p * 10 * log10(max(p, _LEAST) / max(q, _LEAST)) for p, q in zip(ours, others, strict=True))
    )


def _say_move(scene: Scene, move: Move) -> str:
    knowledge = scene.tutor.knowledge
    if move.kind == "ask_circumstance":
        return f"Ask: {knowledge.circumstances[move.id].question}"
    if move.kind in {"inspect", "out_of_reach", "unsafe"}:
        choice = find_choice(scene, _blank(scene), move.id)
        says = choice.says if choice else move.id
        return {"inspect": "", "out_of_reach": "Not to be had: ", "unsafe": "STOPPED: "}[move.kind] + says
    if move.kind == "repair":
        return move.says[-1]
    if move.kind in {"hint", "leave"}:
        return f"Hint {move.id}" if move.kind == "hint" else "Close the unit up"
    word = "Suspect" if move.kind == "suspect" else "Close with"
    return f"{word} {move.id}: {_say_cause(scene, move.id)} ({(move.confidence or 0) * 100:.0f} %)"


def _blank(scene: Scene) -> Lesson:
    """Stand at the start: how a choice is worded does not depend on the moves before."""
    return Lesson(case=scene.case.case, seed=0, rules_version=scene.tutor.knowledge.version)


def _say_cause(scene: Scene, name: str) -> str:
    cause = name.partition(".")[0]
    return "hand over" if cause == UNLISTED else scene.tutor.knowledge.causes[cause].says


def _say_answers(scene: Scene, move: Move) -> tuple[Answered, ...]:
    """Say what came back; a number that decides several observations once, as drawn if it was for all."""
    drawn: dict[str, bool] = {}
    for one in move.shown:
        drawn[one.says] = drawn.get(one.says, True) and one.drawn
    if move.kind == "ask_circumstance":
        values = scene.tutor.knowledge.circumstances[move.id].values
        drawn = {values[value]: False for value in move.values} or {"Nobody on the site can tell": False}
    if move.kind == "hint":
        drawn = dict.fromkeys(move.says, False)
    return tuple(Answered(says=says, drawn=is_drawn) for says, is_drawn in drawn.items())
