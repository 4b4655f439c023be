"""Do the facts fit together: Jensen's conflict measure in decibans.

Takes a network and the observations that count, gives Conflict; may import alone, weights.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, log10

from diagnose.ranking.alone import leave_dark_faulty, weigh_alone
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.network import UNLISTED, Network
from diagnose.ranking.weights import weigh_observations


@dataclass(frozen=True)
class Conflict:
    """How badly the facts fit together.

    Attributes:
        decibans: 10 log10(product of P(fact | D) / P(all facts | D)); above 0 they are less
            likely together than apart (Jensen's conflict measure, from memory).
        worst: The observation whose removal lowers it most; only above the limit.
    """

    decibans: float
    worst: str | None = None


def measure_conflict(
    network: Network, items: tuple[CountedObservation, ...], evidence: float, limit: float
) -> Conflict:
    """Measure how badly the observations fit together.

    Args:
        network: The network of this unit.
        items: The observations that count.
        evidence: P(all observations, D).
        limit: Decibans above which the worst observation is named.

    Returns:
        The conflict; exactly 0 for fewer than two observations.
    """
    if len(items) < 2:
        return Conflict(0.0)
    faulty = leave_dark_faulty(network, ())
    alone = {item.observation: 10 * log10(weigh_alone(network, item) / faulty) for item in items}
    decibans = fsum(alone.values()) - 10 * log10(evidence / faulty)
    if decibans <= limit:
        return Conflict(decibans)
    without = weigh_observations(network, items, (UNLISTED,)).evidence
    # Leaving a fact out lowers the measure by 10 log10 of P(fact | D) P(others | D) / P(all | D).
    drop = {o: alone[o] + 10 * log10(without[o]) for o in sorted(without)}
    return Conflict(decibans, max(drop, key=lambda o: drop[o]))
