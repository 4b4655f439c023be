"""What the tests of the lessons share: a tutor on the shipped rules, and scenes of shipped cases."""

from collections.abc import Callable
from pathlib import Path

import pytest
from learners import make_tutor

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import load_case
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.scene import Scene, Tutor, build_scene

MakeScene = Callable[..., Scene]


@pytest.fixture(scope="session")
def tutor(reasoner: Reasoner) -> Tutor:
    """Make the shipped rule base ready to teach."""
    return make_tutor(reasoner)


@pytest.fixture(scope="session")
def make_scene(tutor: Tutor) -> MakeScene:
    """Set the stage of a shipped case."""

    def make(case: str, seed: int = 1) -> Scene:
        path: Path = cases_directory() / f"{case}.yaml"
        return build_scene(tutor, load_case(path, tutor.knowledge), seed)

    return make
