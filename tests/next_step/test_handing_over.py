"""A call is not ended for a difference that estimates cannot show."""

from diagnose.next_step.handing_over import prefer_working
from diagnose.next_step.planner import RankedStep
from diagnose.next_step.problem import StepKind

HAND_OVER = RankedStep(StepKind.HAND_OVER, -1, 510.0)


def test_a_look_that_costs_hardly_more_goes_before_handing_over():
    """Two minutes in five hundred end no call when the look tells something."""
    look, repair = RankedStep(StepKind.INSPECTION, 0, 512.0), RankedStep(StepKind.REPAIR, 0, 560.0)

    assert (look, HAND_OVER, repair) == prefer_working((HAND_OVER, look, repair))


def test_a_look_that_tells_nothing_does_not_go_before_handing_over():
    """A question that saves no minutes against repairing blindly is not asked to put the end off."""
    look, repair = RankedStep(StepKind.INSPECTION, 0, 512.0), RankedStep(StepKind.REPAIR, 0, 513.0)

    assert (HAND_OVER, look, repair) == prefer_working((HAND_OVER, look, repair))


def test_handing_over_stays_first_where_it_is_clearly_cheaper():
    """A plan that costs a fifth more than handing over is not begun."""
    look, repair = RankedStep(StepKind.INSPECTION, 0, 620.0), RankedStep(StepKind.REPAIR, 0, 700.0)

    assert (HAND_OVER, look, repair) == prefer_working((HAND_OVER, look, repair))


def test_work_that_is_first_already_stays_first():
    """Nothing changes where handing over is not the best step."""
    look = RankedStep(StepKind.INSPECTION, 0, 100.0)

    assert (look, HAND_OVER) == prefer_working((look, HAND_OVER))
