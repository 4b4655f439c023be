"""Scenes of shipped cases, for tests outside the layer of training."""

from learners import make_tutor

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import load_case
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.scene import Scene, build_scene

CASE = "limits/open_cam_early-01"


def make_shipped_scene(reasoner: Reasoner, case: str, seed: int = 1) -> Scene:
    """Set the stage of a shipped case."""
    tutor = make_tutor(reasoner)
    return build_scene(tutor, load_case(cases_directory() / f"{case}.yaml", tutor.knowledge), seed)
