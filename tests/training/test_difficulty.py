"""Difficulty: computed from the case, the same each time, higher where more looks alike, misleads or is needed."""

import pytest

from diagnose.facts.case_file import Case, evidence_of_case, load_case
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.difficulty import measure_difficulty, name_difficulty
from diagnose.training.program import run_program
from diagnose.training.scene import Tutor, build_scene

PLAIN, MISLEADING = "limits/open_cam_early-01", "card/card_fuse_blown-02"


@pytest.fixture
def case_of(tutor: Tutor):
    """Load shipped cases by id."""

    def load(name: str) -> Case:
        return load_case(cases_directory() / f"{name}.yaml", tutor.knowledge)

    return load


def test_the_parts_are_those_of_the_ranking_and_of_the_programs_run(tutor, case_of):
    """Look-alikes are within 10 dB of the confirmed cause; the steps are those of the program's run."""
    case = case_of(MISLEADING)
    found = measure_difficulty(tutor, case)
    chances = tutor.reasoner.rank(evidence_of_case(case, tutor.knowledge)).posterior.all_causes
    alike = {
        c
        for c, p in chances.items()
        if c not in {"card_fuse_blown", "unlisted"} and p * 10 > chances["card_fuse_blown"]
    }
    kinds = [move.kind for move in run_program(build_scene(tutor, case, 1), 1).moves]

    assert alike == set(found.look_alikes)
    assert found.steps == len(kinds) - kinds.count("close") - kinds.count("leave")


def test_a_misleading_case_is_more_difficult_than_a_plain_one(tutor, case_of):
    """A denied fuse costs decibans; a plain call costs next to none, and the grade follows."""
    plain, misleading = (measure_difficulty(tutor, case_of(name)) for name in (PLAIN, MISLEADING))

    assert plain.misleading < 1 < misleading.misleading
    assert plain.score < misleading.score
    assert plain.grade <= misleading.grade


def test_the_same_case_always_has_one_difficulty(tutor, case_of):
    """Measured again it is equal, and its name changes with the case."""
    case = case_of(PLAIN)
    other = case.model_copy(update={"title": "Another title"})

    assert measure_difficulty(tutor, case) == measure_difficulty(tutor, case)
    assert name_difficulty(tutor, case) == name_difficulty(tutor, case_of(PLAIN))
    assert name_difficulty(tutor, case) != name_difficulty(tutor, other)
