"""Forty evidence cases of a two-layer noisy-OR network, solved by full enumeration.

The figures of noisy_or_two_layer.json were computed apart from this program by enumerating all
states of 8 causes; they know neither D nor an unlisted cause, which are taken out by arithmetic:
P(e) = P(e, D) + P(e, none).
"""

import json
from pathlib import Path

import pytest
from two_layer import make_two_layer, odds_of

from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.posterior import compute_posterior

DATA = json.loads(Path(__file__).with_name("noisy_or_two_layer.json").read_text(encoding="utf-8"))
SETS = [
    [(odds_of(prior), {o: row[cause] for o, row in enumerate(DATA["link"]) if row[cause] > 0})]
    for cause, prior in enumerate(DATA["prior"])
]


@pytest.mark.parametrize("case", DATA["cases"])
def test_equals_enumerated_case(case: dict) -> None:
    """P(evidence) and all eight posteriors equal the enumerated ones."""
    network = make_two_layer(SETS, DATA["leak"])
    items = [
        CountedObservation(f"o{o}", (1.0, 0.0) if seen else (0.0, 1.0))
        for o, seen in case["evidence"].items()
    ]

    posterior = compute_posterior(network, items)

    total = posterior.evidence + posterior.evidence_none
    unconditioned = [posterior.causes[f"c{i}"] * posterior.evidence / total for i in range(8)]
    assert case["p_evidence"] == pytest.approx(total, rel=1e-12)
    assert case["marginal"] == pytest.approx(unconditioned, abs=1e-9)
    assert case["marginal"] == pytest.approx(unconditioned, rel=1e-11)
