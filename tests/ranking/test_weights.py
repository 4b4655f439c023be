"""Leave-one-out weights against two posteriors each."""

from math import log10

import pytest
from ranking_networks import draw_network, draw_pairs, make_items

from diagnose.ranking.alone import weigh_alone
from diagnose.ranking.building import compile_network
from diagnose.ranking.conflict import measure_conflict
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.posterior import compute_posterior
from diagnose.ranking.weights import weigh_observations

from ranking_builder import make_cause, make_knowledge, make_observation  # isort: skip

GROUPS = ((0, 1, 2), (4, 6))


def decibans(p: float) -> float:
    """Give the odds of a probability in decibans."""
    return 10 * log10(p / (1 - p))


@pytest.mark.parametrize("seed", range(25))
def test_equals_two_posteriors(seed: int) -> None:
    """Each weight is the odds with the observation over the odds without it, groups and states included."""
    network = draw_network(seed, groups=GROUPS)
    pairs = {o: p for o, p in draw_pairs(seed, 7).items() if o not in {"o0", "o4"} or p != (1.0, 0.0)}
    pairs |= {"o3": (1.0, 0.0)}
    causes = ("c0_a", "c1_a", "c4_a", UNLISTED)
    if pairs.get("o1") == pairs.get("o2") == (1.0, 0.0):
        pairs.pop("o2")
    whole = compute_posterior(network, make_items(pairs))

    actual = weigh_observations(network, make_items(pairs), causes)

    for left in pairs:
        rest = compute_posterior(network, make_items({o: p for o, p in pairs.items() if o != left}))
        for cause in causes:
            expected = decibans(whole.all_causes[cause]) - decibans(rest.all_causes[cause])
            assert expected == pytest.approx(actual.weights[cause][left], abs=1e-9)
        assert rest.evidence / whole.evidence == pytest.approx(actual.evidence[left], rel=1e-12)


def test_ruled_out_cause_has_no_weights() -> None:
    """A cause that cannot be has no odds to weigh."""
    network = draw_network(1).with_odds({"c0_a": 0.0})

    assert {"c1_a"} == set(
        weigh_observations(network, make_items({"o0": (1.0, 0.0)}), ("c0_a", "c1_a")).weights
    )


def test_explaining_away_turns_a_link_against_its_cause() -> None:
    """A present, linked observation can speak against a cause when it speaks far more for a rival.

    Both causes show the hum; only the rival also shows the light. Seeing the light brings the
    rival in, the rival explains the hum, and the light's weight for the first cause is negative
    although the first cause may show the light as well, rarely.
    """
    knowledge = make_knowledge(
        [
            make_cause("first", 0.3, {"hum": "usually", "light": "rarely"}),
            make_cause("rival", 0.3, {"hum": "usually", "light": "usually"}),
        ],
        {"hum": make_observation(), "light": make_observation()},
    )
    items = make_items({"hum": (1.0, 0.0), "light": (1.0, 0.0)})

    weights = weigh_observations(compile_network(knowledge), items, ("first", "rival")).weights

    assert weights["first"]["light"] < -3
    assert weights["rival"]["light"] > 3


def test_conflict_names_the_fact_that_does_not_fit() -> None:
    """Two facts that one cause shows and the missing third: the missing one is named."""
    knowledge = make_knowledge(
        [
            make_cause("a", 0.3, {"hum": "always", "smell": "always", "light": "always"}),
            make_cause("b", 0.3, {"cold": "always"}),
        ],
        {name: make_observation(background="remote") for name in ("hum", "smell", "light", "cold")},
    )
    network = compile_network(knowledge).with_odds({UNLISTED: 0.0})
    fitting = make_items({"hum": (1.0, 0.0), "smell": (1.0, 0.0)})
    odd = make_items({"hum": (1.0, 0.0), "smell": (1.0, 0.0), "light": (0.0, 1.0), "cold": (1.0, 0.0)})

    def conflict(items, limit: float = 3.0):
        return measure_conflict(network, items, compute_posterior(network, items).evidence, limit)

    assert conflict(fitting).decibans < 0
    assert conflict(fitting).worst is None
    assert conflict(odd).decibans > 3
    assert "light" == conflict(odd).worst


def test_one_fact_never_conflicts() -> None:
    """A single fact, or none, is no conflict."""
    network = draw_network(1)

    assert 0.0 == measure_conflict(network, (), 1.0, 10.0).decibans
    assert 0.0 == measure_conflict(network, make_items({"o1": (1.0, 0.0)}), 0.3, 10.0).decibans


@pytest.mark.parametrize("pair", [(1.0, 0.0), (0.0, 1.0), (0.95, 0.05), (0.3, 0.7)])
def test_one_fact_alone_weighs_as_its_posterior_says(pair: tuple[float, float]) -> None:
    """The closed form of P(one fact, D) is the evidence of a posterior on that fact, in groups and by states."""
    network = draw_network(3, states=3, groups=((1, 4, 2),))

    for item in (make_items({name: pair})[0] for name in network.observations):
        assert compute_posterior(network, (item,)).evidence == pytest.approx(
            weigh_alone(network, item), rel=1e-12
        )
