"""The choice between looking, repairing and handing over."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from planner_optimum import build_tree, floor, optimum, value_policy
from planner_problems import Setting, draw_problem, planner_policy

from diagnose.next_step.planner import RankedStep, chance_still_there, rank_steps
from diagnose.next_step.problem import Effort, InspectionOption, Problem, RepairOption, StepKind

Make = Callable[..., Problem]


def first(problem: Problem) -> RankedStep:
    """Give the best first step."""
    return rank_steps(problem, Effort())[0]


def look(minutes: float, outcomes: list[list[float]], **more: object) -> InspectionOption:
    """Make a look in the only access state."""
    return InspectionOption("look", minutes, 0, np.array(outcomes), **more)


def repairs_at(*minutes: float, success: float = 1.0) -> list[RepairOption]:
    """Make one repair an element."""
    return [RepairOption(f"r{e}", (e,), m, 0, success) for e, m in enumerate(minutes)]


def test_equal_cost_prefers_the_repair(make_problem: Make):
    """Looking that saves exactly what it costs is not proposed: 10 + 5 either way."""
    told_apart = [[1.0, 0.0], [0.0, 1.0]]
    indifferent = make_problem({(0,): 0.5, (1,): 0.5}, repairs_at(10, 10), [look(5, told_apart)])
    cheaper = make_problem({(0,): 0.5, (1,): 0.5}, repairs_at(10, 10), [look(4.9, told_apart)])

    assert StepKind.REPAIR is first(indifferent).kind
    assert StepKind.INSPECTION is first(cheaper).kind
    assert 15.0 == pytest.approx(first(indifferent).minutes)
    assert 14.9 == pytest.approx(first(cheaper).minutes)


def test_look_that_tells_nothing_is_never_first(make_problem: Make):
    """A free look with the same outcome under every set gives way to the repair."""
    problem = make_problem({(0,): 0.6, (1,): 0.4}, repairs_at(10, 10), [look(0, [[0.3, 0.3], [0.7, 0.7]])])

    assert StepKind.REPAIR is first(problem).kind


def test_repair_that_works_alone_goes_before_the_likelier_one(make_problem: Make):
    """Ranked by P(alone makes it work), not by P(there): the second only ever comes with others."""
    problem = make_problem({(0,): 0.4, (1, 2): 0.35, (1, 3): 0.25}, repairs_at(10, 10, 10, 10))

    assert chance_still_there(problem, (1,)) > chance_still_there(problem, (0,))
    assert (StepKind.REPAIR, 0) == (first(problem).kind, first(problem).index)


def test_two_faults_only_are_repaired_both(make_problem: Make):
    """Where only a pair of faults is possible the plan repairs both: 10 + 20."""
    problem = make_problem({(0, 1): 1.0}, repairs_at(10, 20), hand_over=500)

    assert 30.0 == pytest.approx(first(problem).minutes)


def test_root_goes_before_its_consequence(make_problem: Make):
    """The cheap remedy of a state is not named while its root is likely there."""
    root, state = repairs_at(60, 2)
    state = replace(state, roots=(0,), root_probability=0.5, rank=1)
    problem = make_problem({(0, 1): 0.9, (1,): 0.1}, [root, state])

    assert (StepKind.REPAIR, 0) == (first(problem).kind, first(problem).index)


def test_state_alone_is_put_right(make_problem: Make):
    """Where the root is unlikely the remedy of the state is named."""
    root, state = repairs_at(60, 2)
    state = replace(state, roots=(0,), root_probability=0.5, rank=1)
    problem = make_problem({(0, 1): 0.1, (1,): 0.9}, [root, state])

    assert (StepKind.REPAIR, 1) == (first(problem).kind, first(problem).index)


def test_repair_not_allowed_waits_for_the_look_that_frees_it(make_problem: Make):
    """The only repair is not allowed: the look that frees it comes first."""
    repair = replace(repairs_at(10)[0], allowed=False, minutes_to_allow=30.0)
    freeing = look(3, [[0.9], [0.1]], frees=((0, 0), (1, 0)))
    problem = make_problem({(0,): 1.0}, [repair], [freeing])
    steps = rank_steps(problem, Effort())

    assert StepKind.INSPECTION is steps[0].kind
    assert 13.0 == pytest.approx(steps[0].minutes)
    assert StepKind.REPAIR not in {step.kind for step in steps}


def test_grave_repair_needs_its_probability(make_problem: Make):
    """A grave repair under its probability is not named although it would be best."""
    grave, other = replace(repairs_at(10)[0], needs_probability=0.5), RepairOption("r1", (1,), 100, 0, 1.0)
    unlikely = make_problem({(0,): 0.45, (1,): 0.55}, [grave, other])
    likely = make_problem({(0,): 0.55, (1,): 0.45}, [grave, other])

    assert 0 not in {step.index for step in rank_steps(unlikely, Effort()) if step.kind is StepKind.REPAIR}
    assert (StepKind.REPAIR, 0) == (first(likely).kind, first(likely).index)


def test_nothing_curable_is_handed_over(make_problem: Make):
    """Without a repair for the only set the unit is handed over at its fixed cost."""
    problem = make_problem({(1,): 1.0}, repairs_at(10), hand_over=240)

    assert (StepKind.HAND_OVER, 240.0) == (first(problem).kind, first(problem).minutes)


def test_known_fault_is_repaired_however_long_it_takes(make_problem: Make):
    """Handing over leaves the repair to be made, so a long repair of a known fault is no reason."""
    problem = replace(make_problem({(0,): 1.0}, repairs_at(300), hand_over=240), burdens=(300.0,))

    assert StepKind.REPAIR is first(problem).kind


def test_closing_up_is_paid(make_problem: Make):
    """Opening at 20 and closing at 7 are part of the plan: 20 + 10 + 7."""
    repair = RepairOption("r0", (0,), 10, 1, 1.0)
    problem = make_problem({(0,): 1.0}, [repair], moves=((0.0, 20.0), (7.0, 0.0)))

    assert 37.0 == pytest.approx(first(problem).minutes)


def test_repair_behind_no_way_is_not_planned(make_problem: Make):
    """A repair in a state without a way to it is not even reckoned with."""
    repair = RepairOption("r0", (0,), 10, 1, 1.0)
    problem = make_problem({(0,): 1.0}, [repair], moves=((0.0, np.inf), (7.0, 0.0)), hand_over=50)

    assert [(StepKind.HAND_OVER, 50.0)] == [(s.kind, s.minutes) for s in rank_steps(problem, Effort())]


@pytest.mark.parametrize("seed", range(25))
def test_shuffled_options_change_nothing(seed: int):
    """The order in which looks and repairs are listed does not change the minutes."""
    problem, _ = draw_problem(Setting(0.15, steep=False), seed)
    turned = replace(problem, inspections=problem.inspections[::-1], repairs=problem.repairs[::-1])

    assert pytest.approx(first(problem).minutes, rel=1e-6) == first(turned).minutes


def test_near_the_exact_optimum():
    """On ten fixed problems of all settings the plan costs at most 1 % more than the optimum on average."""
    settings = [Setting(scale, steep) for scale in (0.05, 0.15, 1.0) for steep in (False, True)]
    ratios = []
    for seed in range(10):
        problem, _ = draw_problem(settings[seed % len(settings)], seed)
        tree = build_tree(problem)
        ratios.append(value_policy(tree, planner_policy(problem)) / optimum(tree))

        assert floor(problem) < optimum(tree)

    assert min(ratios) >= 1 - 1e-9
    assert np.mean(ratios) <= 1.01
    assert max(ratios) <= 1.05
