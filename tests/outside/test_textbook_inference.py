"""Worked numbers from the literature on noisy-OR, QuickScore and weight of evidence.

Pearl, Probabilistic Reasoning in Intelligent Systems (1988); Heckerman, UAI 1989; Good,
Probability and the Weighing of Evidence (1950). Numbers worked by hand in the engineering
handbook, sections 13.1, 13.2 and 13.5.
"""

from math import log10

import pytest
from two_layer import make_two_layer, odds_of

from diagnose.ranking.building import join_links
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.posterior import compute_posterior
from diagnose.ranking.weights import weigh_observations

YES, NO = (1.0, 0.0), (0.0, 1.0)


def test_noisy_or_of_two_causes() -> None:
    """Net links 0.8 and 0.5 over a leak of 0.02 show with probability 0.902 when both are there."""
    sure = 1e12  # odds of a cause that is there for all practical purposes
    network = make_two_layer([[(sure, {0: 0.8})], [(sure, {0: 0.5})]], [0.02])

    assert 0.902 == pytest.approx(
        compute_posterior(network, [CountedObservation("o0", YES)]).evidence, rel=1e-9
    )
    assert 0.9 == pytest.approx(join_links({0: 0.8}, {0: 0.5})[0], rel=1e-15)


def test_quickscore_example() -> None:
    """Three causes, f1 and f2 present, f3 absent: P(e) 0.05142171 and the three posteriors."""
    links = [{0: 0.8, 1: 0.7}, {1: 0.5, 2: 0.9}, {0: 0.6, 2: 0.3}]
    priors = [0.10, 0.05, 0.02]
    network = make_two_layer(
        [[(odds_of(p), q)] for p, q in zip(priors, links, strict=True)], [0.02, 0.01, 0.05]
    )
    items = [CountedObservation(o, pair) for o, pair in (("o0", YES), ("o1", YES), ("o2", NO))]
    posterior = compute_posterior(network, items)
    total = posterior.evidence + posterior.evidence_none

    assert 0.05142171 == pytest.approx(total, abs=5e-9)
    for cause, expected in (("c0", 0.99437922), ("c1", 0.00747919), ("c2", 0.01772279)):
        assert expected == pytest.approx(posterior.causes[cause] * posterior.evidence / total, abs=5e-9)


def test_weight_of_one_observation() -> None:
    """Likelihoods 0.8 and 0.1 weigh 9.031 dB and turn a prior of 0.1 into 8/17.

    The rival is the other one of two causes that exclude each other, so that together they
    are certain and D changes nothing.
    """
    big = 1e15
    network = make_two_layer([[(0.1 * big, {0: 0.8}), (0.9 * big, {0: 0.1})]], [0.0])
    items = [CountedObservation("o0", YES)]

    assert 8 / 17 == pytest.approx(compute_posterior(network, items).causes["c0"], rel=1e-12)
    weight = weigh_observations(network, items, ("c0",)).weights["c0"]["o0"]
    assert 10 * log10(8) == pytest.approx(weight, abs=1e-9)
    assert 9.031 == pytest.approx(weight, abs=5e-4)


@pytest.mark.parametrize(("scale", "expected"), [(1.0, 0.41), (0.5, 0.22), (0.2, 0.09), (0.1, 0.05)])
def test_scale_sets_the_part_of_double_faults(scale: float, expected: float) -> None:
    """P(two or more given any) follows the prior scale: .41, .22, .09, .05 for 54 even causes.

    The table of the reasoning page, computed apart from this program.
    """
    priors = [scale / 54] * 54
    network = make_two_layer([[(odds_of(p), {})] for p in priors], [0.01])
    posterior = compute_posterior(network, ())
    exactly_one = sum(odds_of(p) for p in priors) * posterior.evidence_none

    assert expected == pytest.approx(1 - exactly_one / posterior.evidence, abs=0.015)
