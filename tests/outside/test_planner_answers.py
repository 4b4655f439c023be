"""The planner and the exact optimum against answers published elsewhere.

Sources are named at each test; problems of one fault, where a repair shows at once whether it
helped.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from planner_optimum import best_first_steps, build_tree, optimum, value_policy
from planner_problems import fixed_order, planner_policy

from diagnose.next_step.planner import rank_steps
from diagnose.next_step.problem import Effort, Hypotheses, InspectionOption, Problem, RepairOption, StepKind

DEAR = 1e6


def one_fault(
    chances: list[float],
    repairs: list[RepairOption],
    looks: tuple[InspectionOption, ...] = (),
    hand_over: float = DEAR,
) -> Problem:
    """Make a problem of exactly one fault and no access to pay."""
    count = len(chances)
    hypotheses = Hypotheses(
        tuple(f"c{c}" for c in range(count)), np.eye(count, dtype=bool), np.array(chances)
    )
    return Problem(hypotheses, looks, tuple(repairs), np.zeros((1, 1)), at=0, home=0, hand_over=hand_over)


def perfect(minutes: list[float]) -> list[RepairOption]:
    """Make one repair a cause that always works."""
    return [RepairOption(f"r{c}", (c,), m, 0, 1.0) for c, m in enumerate(minutes)]


def planned_value(problem: Problem) -> float:
    """Value the planner exactly."""
    return value_policy(build_tree(problem), planner_policy(problem))


@pytest.fixture
def four_causes() -> Problem:
    """Four causes of chance .4 .3 .2 .1 at 10 5 1 2 minutes (Heckerman, Breese, Rommelse 1995)."""
    return one_fault([0.4, 0.3, 0.2, 0.1], perfect([10, 5, 1, 2]))


def test_order_by_probability_over_cost(four_causes: Problem):
    """The planner needs the 10.0 of the order 3 2 4 1; by probability alone it is 13.5."""
    tree = build_tree(four_causes)

    assert math.isclose(10.0, planned_value(four_causes))
    assert math.isclose(10.0, optimum(tree))
    assert math.isclose(10.0, value_policy(tree, fixed_order((2, 1, 3, 0))))
    assert math.isclose(13.5, value_policy(tree, fixed_order((0, 1, 2, 3))))
    assert math.isclose(10.0, rank_steps(four_causes, Effort())[0].minutes)


def test_call_out_at_fixed_cost(four_causes: Problem):
    """With a call-out at 7 the best plan tries the third cause and calls: 6.6 (same source)."""
    problem = replace(four_causes, hand_over=7.0)

    assert math.isclose(6.6, rank_steps(problem, Effort())[0].minutes)
    assert math.isclose(6.6, planned_value(problem))
    assert math.isclose(6.6, optimum(build_tree(problem)))


@pytest.fixture
def covered() -> Problem:
    """Three causes under a cover that costs 20 to open and stays open (Langseth and Jensen 2001).

    What lies outside can be put right with the cover shut or open, so it has two repairs.
    """
    inside = [RepairOption(n, (c,), m, 1, 1.0) for n, c, m in (("a", 0, 5), ("b", 1, 5), ("c", 2, 10))]
    outside = [
        RepairOption(f"{n}{a}", (c,), m, a, 1.0) for n, c, m in (("x", 3, 10), ("y", 4, 15)) for a in (0, 1)
    ]
    problem = one_fault([0.30, 0.25, 0.05, 0.25, 0.15], inside + outside)
    return replace(problem, moves=np.array([[0.0, 20.0], [0.0, 0.0]]))


def test_cost_cluster(covered: Problem):
    """The planner reaches the 34.5 of x, (open) a, b, y, c; ignoring the cover costs 36.5."""
    tree = build_tree(covered)
    a, b, c, x_shut, x_open, _, y_open = range(7)

    assert math.isclose(34.5, planned_value(covered))
    assert math.isclose(34.5, optimum(tree))
    assert math.isclose(34.5, value_policy(tree, fixed_order((x_shut, a, b, y_open, c))))
    assert math.isclose(36.5, value_policy(tree, fixed_order((a, b, x_open, y_open, c))))


@pytest.fixture
def program_or_virus() -> Problem:
    """Overlapping repairs of unequal success (an exercise in Jensen and Nielsen, solved exactly)."""
    actions = [
        RepairOption("restart", (0,), 1, 0, 1.0),
        RepairOption("virus_tool", (1,), 2, 0, 0.95),
        RepairOption("reinstall", (0, 1), 25, 0, 0.99),
        RepairOption("new_machine", (0, 1, 2), 500, 0, 1.0),
    ]
    return one_fault([0.80, 0.15, 0.05], actions)


@pytest.mark.parametrize(
    ("order", "expected"), [((0, 1, 2, 3), 27.875), ((1, 0, 2, 3), 29.3325), ((0, 1, 3), 30.15)]
)
def test_overlapping_repairs_in_fixed_orders(
    program_or_virus: Problem, order: tuple[int, ...], expected: float
):
    """A repair that failed weighs its cause by the chance of failing; each order has its value."""
    assert math.isclose(expected, value_policy(build_tree(program_or_virus), fixed_order(order)))


def test_overlapping_repairs_planned(program_or_virus: Problem):
    """The planner goes 1 2 3 4 at 27.875, the optimum."""
    choose = planner_policy(program_or_virus)
    order = [choose(((), 2**k - 1, 0)) for k in range(4)]

    assert [("repair", k) for k in range(4)] == order
    assert math.isclose(27.875, rank_steps(program_or_virus, Effort())[0].minutes)
    assert math.isclose(27.875, optimum(build_tree(program_or_virus)))


@pytest.fixture
def sequencing() -> Problem:
    """Six states and five tests of unit cost (Pattipati and Alexandridis 1990, table from memory).

    A wrong repair costs 1,000, so a plan first finds out which state it is.
    """
    signatures = ["00000", "01001", "00110", "10011", "11000", "11110"]
    shows = np.array([[float(s[t]) for s in signatures] for t in range(5)])
    looks = tuple(
        InspectionOption(f"t{t + 1}", 1.0, 0, np.array([row, 1 - row])) for t, row in enumerate(shows)
    )
    return one_fault([0.70, 0.01, 0.02, 0.10, 0.05, 0.12], perfect([1000.0] * 6), looks)


def test_sequencing_optimum(sequencing: Problem):
    """The exact optimum needs 2.18 tests and may begin with t2 (t4 first needs as many)."""
    tree = build_tree(sequencing)

    assert math.isclose(1002.18, optimum(tree))
    assert {("inspection", 1), ("inspection", 3)} == best_first_steps(tree)


def test_sequencing_planned(sequencing: Problem):
    """The planner begins with t2 too and reaches the optimum (greedy information gain: 2.86)."""
    first = rank_steps(sequencing, Effort())[0]

    assert (StepKind.INSPECTION, 1) == (first.kind, first.index)
    assert math.isclose(1002.18, planned_value(sequencing))
