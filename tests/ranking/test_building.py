"""From the hand-made rule base to the network: priors, modes, sets, pairs, the unlisted cause."""

import pytest
from ranking_builder import make_cause, make_knowledge, make_observation

from diagnose.knowledge.base import Knowledge
from diagnose.ranking.building import compile_network
from diagnose.ranking.network import UNLISTED, Alternative, Network
from diagnose.ranking.posterior import compute_posterior


@pytest.fixture(scope="module")
def network(small: Knowledge) -> Network:
    """Compile the hand-made rule base."""
    return compile_network(small)


def find(network: Network, *members: str, mode: str | None = None) -> Alternative:
    """Find the one alternative with exactly these members."""
    (found,) = [a for a in network.alternatives if a.members == members and (mode is None or mode in a.modes)]
    return found


def named(network: Network, alternative: Alternative) -> dict[str, float]:
    """Name the observations an alternative shows."""
    return {network.observations[o]: q for o, q in alternative.links.items()}


def test_prior_is_share_times_scale(small: Knowledge, network: Network) -> None:
    """Prior = 0.15 x share / sum of shares, `unlisted` included; the odds follow."""
    shares = sum(c.share for c in small.causes.values()) + 0.05
    prior = 0.15 * 0.3 / shares

    assert prior / (1 - prior) == pytest.approx(find(network, "supply_off").odds, rel=1e-15)


def test_modes_split_the_prior_and_exclude_each_other(network: Network) -> None:
    """Modes share one variable; their odds add up to the odds of the cause by portion."""
    supply, signal = (find(network, "wire_loose", mode=m) for m in ("supply", "signal"))
    (variable,) = [v for v in network.variables if supply in v.alternatives]

    assert (supply, signal) == variable.alternatives
    assert 0.6 == pytest.approx(supply.odds / (supply.odds + signal.odds))


def test_mode_link_replaces_the_link_of_its_cause(network: Network) -> None:
    """A mode has the links of its cause, but its own where both name one observation."""
    supply, signal = (find(network, "wire_loose", mode=m) for m in ("supply", "signal"))

    assert {"comes_and_goes": 0.7, "slow": 0.35, "dead": 0.35} == named(network, supply)
    assert {"comes_and_goes": 0.7, "slow": 0.1, "hunting": 0.7} == named(network, signal)


def test_sets_weighed_together_have_every_combination(network: Network) -> None:
    """Two sets of two make eight alternatives of one variable: each alone and each pair."""
    (variable,) = [v for v in network.variables if find(network, "stop_in") in v.alternatives]
    pair = find(network, "stop_in", "cam_early")

    assert 8 == len(variable.alternatives)
    assert find(network, "stop_in").odds * find(network, "cam_early").odds == pair.odds
    assert 1 - 0.02 * 0.1 == pytest.approx(named(network, pair)["short_of_end"], rel=1e-15)


def test_pair_link_shows_only_for_the_pair(network: Network) -> None:
    """What two causes show together neither shows alone."""
    assert 0.98 == named(network, find(network, "stop_out", "cam_late"))["passes_end"]
    assert "passes_end" not in named(network, find(network, "stop_out"))
    assert "passes_end" not in named(network, find(network, "stop_in", "cam_late"))


def test_never_is_no_link(network: Network) -> None:
    """The word `never` leaves no link behind."""
    assert {} == find(network, "stop_out").links


def test_unlisted_shows_what_a_cause_picked_by_share_shows() -> None:
    """The unlisted cause's link is the mean of the listed links by share, by way of states too."""
    knowledge = make_knowledge(
        [make_cause("a", 0.3, {"hum": "often"}), make_cause("b", 0.1, states={"stalled": "usually"})],
        {"hum": make_observation()},
        consequences={"stalled": ("remote", {"hum": "sometimes"})},
    )
    unlisted = compile_network(knowledge).alternatives[-1]

    assert (UNLISTED,) == unlisted.members
    assert 0.75 * 0.7 + 0.25 * 0.9 * 0.35 == pytest.approx(unlisted.links[0], rel=1e-15)
    assert {} == unlisted.state_links


def test_cause_probability_adds_its_modes(network: Network) -> None:
    """The probability of a cause is the sum over its modes."""
    posterior = compute_posterior(network, ())

    assert posterior.causes["wire_loose"] == pytest.approx(
        posterior.modes["wire_loose", "supply"] + posterior.modes["wire_loose", "signal"], rel=1e-15
    )
