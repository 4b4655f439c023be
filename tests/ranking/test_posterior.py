"""The dynamic programme against plain enumeration on small random networks."""

import pytest
from ranking_networks import draw_network, draw_pairs, enumerate_network, make_items

from diagnose.ranking.posterior import compute_posterior

GROUPS = ((0, 1, 2), (4, 6))


@pytest.mark.parametrize("seed", range(40))
def test_equals_enumeration(seed: int) -> None:
    """Every figure equals the sum over all worlds, with states, sets, pairs, groups and doubt."""
    network = draw_network(seed, variables=4, groups=GROUPS)
    pairs = draw_pairs(seed, 7)
    if {"o0", "o1", "o2"} & {o for o, p in pairs.items() if p == (1.0, 0.0)}:
        pairs = {o: p for o, p in pairs.items() if o not in {"o0", "o2"}}
    if {"o4", "o6"} & {o for o, p in pairs.items() if p == (1.0, 0.0)}:
        pairs.pop("o6", None)
    expected = enumerate_network(network, pairs)

    actual = compute_posterior(network, make_items(pairs))

    assert expected.evidence == pytest.approx(actual.evidence, rel=1e-12)
    assert expected.none == pytest.approx(actual.evidence_none, rel=1e-12)
    assert expected.causes == pytest.approx(actual.all_causes, rel=1e-12)
    assert expected.none_listed == pytest.approx(actual.none_listed, rel=1e-12)
    assert {s: expected.states[s] for s in actual.states} == pytest.approx(actual.states, rel=1e-12)


def test_no_evidence_leaves_the_prior() -> None:
    """Without evidence each cause keeps its prior, divided by P(something is wrong)."""
    network = draw_network(3)
    expected = enumerate_network(network, {})

    actual = compute_posterior(network, ())

    assert expected.causes == pytest.approx(actual.all_causes, rel=1e-12)
    assert {} == actual.states


def test_ruled_out_cause_is_exactly_zero() -> None:
    """A cause with odds 0 has probability exactly 0 whatever was seen."""
    network = draw_network(5).with_odds({"c0_a": 0.0})

    actual = compute_posterior(network, make_items({"o0": (1.0, 0.0), "o3": (0.95, 0.05)}))

    assert 0.0 == actual.causes["c0_a"]
    assert actual.causes["c1_a"] > 0


@pytest.mark.parametrize("seed", range(10))
def test_outcomes_of_a_group_add_up(seed: int) -> None:
    """Each member seen, and none of them seen, together have the probability of no evidence."""
    network = draw_network(seed, groups=GROUPS)
    outcomes = [{f"o{m}": (1.0, 0.0)} for m in GROUPS[0]]
    outcomes.append({f"o{m}": (0.0, 1.0) for m in GROUPS[0]})
    total = sum(compute_posterior(network, make_items(pairs)).evidence for pairs in outcomes)

    assert compute_posterior(network, ()).evidence == pytest.approx(total, rel=1e-12)


@pytest.mark.parametrize("member", ["o0", "o1", "o2"])
def test_yes_and_no_on_a_group_member_add_up(member: str) -> None:
    """A member told absent alone is the exact opposite of the member told present."""
    network = draw_network(11, groups=GROUPS)
    yes, no = (
        compute_posterior(network, make_items({member: pair})).evidence for pair in ((1.0, 0.0), (0.0, 1.0))
    )

    assert compute_posterior(network, ()).evidence == pytest.approx(yes + no, rel=1e-12)


def test_exclusive_causes_are_never_both_there() -> None:
    """Probabilities of the alternatives of one variable never add up to more than 1."""
    network = draw_network(2, density=0.9)
    items = make_items({f"o{i}": (1.0, 0.0) for i in range(5)})
    actual = compute_posterior(network, items)
    pairs = [v for v in network.variables if sorted(len(a.members) for a in v.alternatives) == [1, 1]]

    assert pairs
    for variable in pairs:
        assert sum(actual.causes[a.members[0]] for a in variable.alternatives) <= 1 + 1e-12


def test_order_of_evidence_is_irrelevant() -> None:
    """The posterior is the same to the last bit in whatever order the evidence comes."""
    network = draw_network(4, groups=GROUPS)
    items = make_items({"o3": (0.95, 0.05), "o0": (0.0, 1.0), "o5": (1.0, 0.0), "o6": (0.3, 0.7)})

    assert compute_posterior(network, items) == compute_posterior(network, items[::-1])
