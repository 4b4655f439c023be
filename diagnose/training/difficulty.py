"""How difficult a case is, computed: look-alikes, misleading evidence, steps the program needs.

Takes a tutor and a case, gives a Difficulty; may import the other modules of this layer. Nothing is guessed.
"""

from __future__ import annotations

import hashlib
from math import log10
from typing import Annotated

from pydantic import Field

from diagnose.facts.case_file import Case, evidence_of_case
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import Ranking
from diagnose.ranking.weights import weigh_observations
from diagnose.training.program import run_program
from diagnose.training.records import Record, Score
from diagnose.training.scene import Tutor, build_scene

# What the case leaves out is drawn with this seed, so that a case always has one difficulty.
SEED = 1
# A cause within a factor of ten of the confirmed one, or above it, looks like it.
_ALIKE_DECIBANS = 10.0
# At these figures a part counts in full; one shipped case in ten to one in five gets there: our choice, no source.
_MANY_ALIKE, _MUCH_MISLEADING, _MANY_STEPS = 2.0, 6.0, 24.0
FORMULA = (
    "grade = 1 + whole part of 5 x mean of (look-alikes / 2, decibans against / 6, steps / 24), "
    "each not above 1, the grade not above 5"
)
_LEAST = 1e-12


class Difficulty(Record):
    """The difficulty of one case, with the figures it comes from.

    Attributes:
        look_alikes: Causes as likely as the confirmed one within 10 dB, or likelier, on all the case states.
        misleading: Decibans that facts of the case speak against the confirmed cause, each left out in turn and added up.
        steps: Questions, looks and repairs of the program until it closes.
        score: Mean of the parts, 0 to 1.
    """

    format: Annotated[int, Field(ge=1, le=1)] = 1
    case: str
    grade: Annotated[int, Field(ge=1, le=5)]
    look_alikes: tuple[str, ...]
    misleading: float
    steps: int
    score: Score


def measure_difficulty(tutor: Tutor, case: Case) -> Difficulty:
    """Measure how difficult a case is.

    Args:
        tutor: The rule base made ready.
        case: A case with a confirmed cause.

    Returns:
        The grade with its parts; the same case and rules always give the same.

    Raises:
        InputFaulty: Nobody confirmed a cause.
    """
    scene = build_scene(tutor, case, SEED)
    cause = scene.confirmed.cause
    ranking = tutor.reasoner.rank(evidence_of_case(case, tutor.knowledge))
    alike = _list_look_alikes(ranking, cause)
    misleading = _measure_misleading(ranking, cause)
    run = run_program(scene, SEED)
    steps = sum(move.kind in {"ask_circumstance", "inspect", "out_of_reach", "repair"} for move in run.moves)
    parts = (len(alike) / _MANY_ALIKE, misleading / _MUCH_MISLEADING, steps / _MANY_STEPS)
    score = sum(min(1.0, part) for part in parts) / len(parts)
    return Difficulty(
        case=case.case,
        grade=min(5, 1 + int(5 * score)),
        look_alikes=alike,
        misleading=misleading,
        steps=steps,
        score=score,
    )


def _list_look_alikes(ranking: Ranking, cause: str) -> tuple[str, ...]:
    """List the other causes that all the case states leaves about as likely, likeliest first."""
    chances = ranking.posterior.all_causes
    least = max(chances[cause], _LEAST)
    near = [
        other
        for other, chance in chances.items()
        if other not in {cause, UNLISTED} and 10 * log10(max(chance, _LEAST) / least) > -_ALIKE_DECIBANS
    ]
    return tuple(sorted(near, key=lambda other: (-chances[other], other)))


def _measure_misleading(ranking: Ranking, cause: str) -> float:
    """Add up the weights of the facts that speak against the confirmed cause, each left out in turn."""
    told = [item.observation for item in ranking.counted.items if item.basis]
    if not told:
        return 0.0
    weights = weigh_observations(ranking.network, ranking.counted.items, [cause], told).weights.get(cause, {})
    return sum(max(0.0, -weights[name]) for name in told if name in weights)


def render_difficulty(difficulty: Difficulty) -> str:
    """Say a difficulty in one line, with the figures it comes from."""
    alike = ", ".join(difficulty.look_alikes) or "none"
    return (
        f"difficulty {difficulty.grade} of 5; look-alikes: {alike}; {difficulty.misleading:.0f} dB misleading; "
        f"{difficulty.steps} steps of the program"
    )


def name_difficulty(tutor: Tutor, case: Case) -> str:
    """Name the difficulty of a case under these rules, so that it need be measured once only."""
    text = f"{tutor.knowledge.version}\n{FORMULA}\n{case.model_dump_json()}"
    return hashlib.sha256(text.encode()).hexdigest()
