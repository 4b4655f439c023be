"""The probability of one fact by itself, in closed form: no arrays over masks.

Takes a network and one observation that counts, gives a probability; may import layout.

That some observations all stay dark is a sum of positive terms: a state that would light one of
them with chance q either happens to light none (weight 1 - q) or has to be off (weight q).
"""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from math import expm1, prod

import numpy as np

from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import build_layout
from diagnose.ranking.network import Network


def weigh_alone(network: Network, item: CountedObservation) -> float:
    """Give P(what was told of one observation, D).

    Args:
        network: The network of this unit.
        item: The observation.

    Returns:
        The probability, equal to the evidence of a posterior of this observation alone.
    """
    layout = build_layout(network, {item.observation: item.likelihood})
    dark, left, told = layout.absent, leave_dark_faulty(network, layout.absent), 0.0
    for chain in layout.chains:
        for slot, weight in zip(chain.slots, chain.weights, strict=True):
            dark = (*dark, *slot)
            darker = leave_dark_faulty(network, dark)
            told += (left - darker) * weight
            left = darker
        left *= chain.otherwise
    return layout.constant * (told + left)


# every fact is weighed against the same start, none of it told
@lru_cache(maxsize=16)
def leave_dark_faulty(network: Network, observations: tuple[int, ...]) -> float:
    """Give P(some observations are all absent, D).

    Args:
        network: The network of this unit.
        observations: Indices of the observations; with none of them this is P(D).
    """
    tables, columns = network.tables, list(observations)
    direct = network.odds * np.prod(1 - tables.hit[:, columns], axis=1)
    spare = np.prod(1 - tables.state_links[:, columns], axis=1)
    touching = np.flatnonzero(spare < 1).tolist()
    total = 0.0
    for has_to_be_off in product((False, True), repeat=len(touching)):
        off = [s for s, is_off in zip(touching, has_to_be_off, strict=True) if is_off]
        weight = prod(1 - spare[s] if s in off else spare[s] for s in touching)
        rows = direct * np.prod(1 - tables.state_hit[:, off], axis=1)
        anything = expm1(np.log1p(np.add.reduceat(rows, network.starts)).sum())
        total += weight * float(np.prod(1 - tables.state_background[off])) * anything
    always = float(np.prod(1 - tables.background[columns]))
    return total * always * float(np.exp(-network.log_none.sum()))
