"""What circumstances do to priors."""

import pytest
from ranking_networks import draw_network, make_chained

from diagnose.ranking.network import list_factors, total_shift


@pytest.mark.parametrize(
    ("shifts", "expected"),
    [
        ([], 0.0),
        ([("r1", 6.0, "duty"), ("r2", -3.0, "duty")], 6.0),
        ([("r1", 3.0, "duty"), ("r2", -6.0, "duty")], -6.0),
        ([("r1", 6.0, "duty"), ("r2", -3.0, "age")], 3.0),
        ([("r1", 15.0, "duty"), ("r2", 15.0, "age")], 20.0),
        ([("r1", -15.0, "duty"), ("r2", -15.0, "age")], -20.0),
        ([("r1", 5.0, "duty"), ("r2", -5.0, "duty")], 5.0),
    ],
)
def test_largest_of_each_group_within_the_cap(shifts: list[tuple[str, float, str]], expected: float) -> None:
    """Of one group only the largest shift counts; groups add up, within 20 dB either way."""
    assert expected == total_shift(shifts, 20.0)
    assert expected == total_shift(shifts[::-1], 20.0)


def test_nothing_said_changes_nothing() -> None:
    """Without shifts and exclusions the network stays the very same object."""
    network = draw_network(0)

    assert network is network.with_odds(list_factors(network, make_chained()))


def test_shift_multiplies_odds() -> None:
    """Ten decibans multiply the prior odds by ten, in every alternative that has the cause."""
    network = draw_network(0)
    factors = list_factors(network, make_chained(shifts={"c0_a": (("r", 10.0, "g"),)}))
    actual = network.with_odds(factors)

    for before, after in zip(network.alternatives, actual.alternatives, strict=True):
        assert before.odds * (10 if "c0_a" in before.members else 1) == pytest.approx(after.odds, rel=1e-15)


def test_ruled_out_has_no_odds_left() -> None:
    """A ruled-out cause has odds exactly 0, whatever else shifts it."""
    chained = make_chained(shifts={"c0_a": (("r", 10.0, "g"),)}, ruled_out={"c0_a": ("x",)})
    network = draw_network(0)
    actual = network.with_odds(list_factors(network, chained))

    assert {0.0} == {a.odds for a in actual.alternatives if "c0_a" in a.members}
