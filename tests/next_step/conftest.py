"""Hand-made planning problems and evidence for the tests of the next step."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NOTHING_DONE, NextStep, Progress, choose_next
from diagnose.next_step.problem import Hypotheses, InspectionOption, Problem, RepairOption
from diagnose.ranking.rank import Prepared, prepare_ranking, rank_evidence

ANSWER = Origin(OriginKind.ANSWER)


@pytest.fixture(scope="session")
def make_problem() -> Callable[..., Problem]:
    """Make a planning problem from sets with weights, looks and repair minutes in short form."""

    def make(
        sets: dict[tuple[int, ...], float],
        repairs: Sequence[RepairOption],
        looks: Sequence[InspectionOption] = (),
        *,
        moves: Sequence[Sequence[float]] = ((0.0,),),
        hand_over: float = 1000.0,
        tried: frozenset[int] = frozenset(),
    ) -> Problem:
        count = 1 + max((e for members in sets for e in members), default=0)
        members = np.array([[e in s for e in range(count)] for s in sets])
        weights = np.array(list(sets.values()))
        hypotheses = Hypotheses(tuple(f"c{e}" for e in range(count)), members, weights / weights.sum())
        return Problem(
            hypotheses, tuple(looks), tuple(repairs), np.array(moves), 0, 0, hand_over, tried=tried
        )

    return make


def make_evidence(circumstances: dict[str, str] | None = None, /, **states: bool) -> Evidence:
    """Make evidence from answers: True for present, False for absent."""
    facts = [
        Fact(o, State.PRESENT if there else State.ABSENT, ANSWER, (1.0, 0.0) if there else (0.0, 1.0))
        for o, there in states.items()
    ]
    told = [CircumstanceFact(name, value, True, ANSWER) for name, value in (circumstances or {}).items()]
    return Evidence(tuple(facts), tuple(told))


@pytest.fixture(scope="session")
def prepared_base(small_base: Knowledge) -> Prepared:
    """Compile the small rule base."""
    return prepare_ranking(small_base)


@pytest.fixture(scope="session")
def choose() -> Callable[..., NextStep]:
    """Rank evidence and choose the next step."""

    def run(prepared: Prepared, evidence: Evidence, progress: Progress = NOTHING_DONE) -> NextStep:
        return choose_next(prepared.knowledge, rank_evidence(prepared, evidence), progress)

    return run


@pytest.fixture(scope="session")
def evidence_of() -> Callable[..., Evidence]:
    """Make evidence from answers: circumstances first, then observations as keywords."""
    return make_evidence
