"""Scripted learners on a few cases: the grades order them as they should; all cases are in the benchmark."""

import pytest
from learners import LEARNERS

from diagnose.training.grading import grade_lesson
from diagnose.training.program import run_program

CASES = (
    "limits/open_cam_early-01",
    "motor/motor_capacitor_failed-02",
    "drive/lubricant_stiff_or_lost-01",
    "stops/close_stop_too_far_in-01",
)


@pytest.mark.parametrize("case", CASES)
def test_grades_order_the_learners(make_scene, case):
    """Whoever follows the program stands above cheapest first, and that above choosing at random."""
    scene = make_scene(case)
    program = run_program(scene, 1)
    totals = {
        name: grade_lesson(scene, learn(scene, 1), program).grade.total for name, learn in LEARNERS.items()
    }

    assert totals["program"] > totals["cheapest"] > totals["random"]
    assert totals["program"] > totals["in_a_hurry"]
