"""What is still faulty after repairs."""

import numpy as np
import pytest

from diagnose.next_step.problem import Hypotheses, RepairOption
from diagnose.next_step.remaining import compile_remaining, spread_mass, strike_working, try_repairs


def random_case(seed: int) -> tuple[Hypotheses, tuple[RepairOption, ...], np.random.Generator]:
    """Draw sets of six elements, the last of which nothing cures, and repairs that may overlap."""
    rng = np.random.default_rng(seed)
    members = rng.random((12, 6)) < 0.4
    members[:, 0] |= ~members.any(axis=1)
    weights = rng.dirichlet(np.ones(12))
    repairs = tuple(
        RepairOption(f"r{k}", tuple({k, int(rng.integers(5))}), 5.0, 0, float(rng.uniform(0.5, 1.0)))
        for k in range(5)
    )
    return Hypotheses(tuple("abcdef"), members, weights), repairs, rng


def still_faulty(hypotheses: Hypotheses, repairs: tuple[RepairOption, ...], tried: list[int]) -> float:
    """Give the mass of sets not cured, from the definition."""
    stays = np.ones(6)
    for r in tried:
        stays[list(repairs[r].cures)] *= 1 - repairs[r].success
    cured = np.where(hypotheses.members, 1 - stays, 1.0).prod(axis=1)
    return float(hypotheses.weights @ (1 - cured))


@pytest.mark.parametrize("seed", range(40))
def test_remaining_mass_is_that_of_sets_not_empty(seed: int):
    """After every repair the remaining mass is never negative and equals the sets not cured."""
    hypotheses, repairs, rng = random_case(seed)
    remaining = compile_remaining(hypotheses, repairs)
    mass = spread_mass(remaining, hypotheses.weights[None])
    tried: list[int] = []

    for repair in rng.permutation(5):
        mass = strike_working(try_repairs(remaining, mass, np.array([repair])))
        tried.append(int(repair))

        assert (mass >= 0).all()
        assert still_faulty(hypotheses, repairs, tried) == pytest.approx(mass.sum(), abs=1e-12)


def test_failed_repair_weighs_instead_of_striking():
    """A sole cause repaired in vain keeps the part of its weight that the repair may fail."""
    hypotheses = Hypotheses(("a", "b"), np.array([[True, False], [False, True]]), np.array([0.8, 0.2]))
    repairs = (RepairOption("ra", (0,), 5.0, 0, 0.95), RepairOption("rb", (1,), 5.0, 0, 0.95))
    remaining = compile_remaining(hypotheses, repairs)
    mass = try_repairs(remaining, spread_mass(remaining, hypotheses.weights[None]), np.array([0]))

    assert pytest.approx([0.76, 0.04, 0.2, 0.0]) == mass[0]
