"""The posterior against QuickScore in 400-bit integers, up to 14 present observations.

QuickScore: Heckerman, "A tractable inference algorithm for diagnosing multiple diseases",
UAI 1989. In double precision its alternating sum loses the digits this test needs.
"""

import numpy as np
import pytest
from two_layer import make_two_layer, odds_of, quick_score

from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.network import Network
from diagnose.ranking.posterior import compute_posterior


def draw(seed: int, density: float) -> Network:
    """Draw 54 causes, eight of them in sets of two, and 24 observations."""
    rng = np.random.default_rng(seed)

    def cause() -> tuple[float, dict[int, float]]:
        links = {o: float(rng.uniform(0.01, 0.98)) for o in range(24) if rng.random() < density}
        return odds_of(float(rng.uniform(0.0003, 0.02))), links

    sets = [[cause(), cause()] for _ in range(4)] + [[cause()] for _ in range(46)]
    return make_two_layer(sets, rng.uniform(0.001, 0.15, 24).tolist(), unlisted=0.0075)


@pytest.mark.parametrize(("present", "density"), [(6, 0.3), (6, 0.7), (10, 0.4), (12, 0.3), (14, 0.4)])
def test_equals_integer_quickscore(present: int, density: float) -> None:
    """P(evidence) and the largest and smallest posteriors agree to 1e-12 of themselves."""
    network = draw(present, density)
    seen, unseen = list(range(present)), list(range(present, present + 8))
    items = [CountedObservation(f"o{o}", (1.0, 0.0)) for o in seen]
    items += [CountedObservation(f"o{o}", (0.0, 1.0)) for o in unseen]
    posterior = compute_posterior(network, items)
    order = sorted(posterior.causes, key=lambda c: posterior.causes[c])
    chosen = [order[0], order[-1], "c0", "c7"]

    evidence, *masses = quick_score(network, seen, unseen, chosen)

    assert float(evidence) == pytest.approx(posterior.evidence, rel=1e-12)
    for cause, mass in zip(chosen, masses, strict=True):
        assert float(mass / evidence) == pytest.approx(posterior.causes[cause], rel=1e-12, abs=0)
        assert float(mass / evidence) == pytest.approx(posterior.causes[cause], abs=1e-9, rel=0)
