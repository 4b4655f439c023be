"""Which sets of causes and states may be there, weighed exactly on the network.

Takes a network and the evidence that counts, gives weighed sets; may import ranking and problem.
Sets of one and two alternatives are always weighed, larger ones until enough of P(evidence, D)
is held or a size adds little; of all that were weighed the heaviest are kept.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from diagnose.knowledge.settings import Look
from diagnose.next_step.problem import Bools, Floats, Ints
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import Layout, build_layout
from diagnose.ranking.network import UNLISTED, Alternative, Network
from diagnose.ranking.posterior import Posterior

# A state that the evidence does not touch is reckoned on only where the set makes it this probable.
STATE_WORTH = 0.02
NEVER = 1e-300
ALWAYS_WEIGHED = 2
# A size that adds less than this part of what is held is the last one weighed.
LITTLE = 0.02


@dataclass(frozen=True, eq=False)
class WeighedSets:
    """Sets of alternatives with the states that are on.

    Attributes:
        rows: Table rows of the network that the columns of `sets` stand for.
        sets: Which alternative is there; sets x rows.
        states: Which state is on; sets x states of the network.
        weights: P(set, states | evidence, D).
        lost_mass: 1 less the sum of the weights.
    """

    rows: Ints
    sets: Bools
    states: Bools
    weights: Floats
    lost_mass: float


def weigh_sets(
    network: Network,
    items: Iterable[CountedObservation],
    posterior: Posterior,
    look: Look,
    states: Collection[str] = (),
) -> WeighedSets:
    """Weigh the likeliest sets exactly.

    Args:
        network: The network of this unit.
        items: The observations that count.
        posterior: The exact posterior, for the likeliest alternatives and P(evidence, D).
        look: How many alternatives, how large sets, how many sets, how much mass.
        states: States that matter even where the evidence does not touch them.

    Returns:
        At most `look.sets` sets, heaviest first.
    """
    layout = build_layout(network, {item.observation: item.likelihood for item in items})
    rows = _likeliest_rows(network, posterior, look.causes)
    touched = [(s, 0.0) for s in layout.states]
    others = [
        (s, STATE_WORTH) for s, name in enumerate(network.states) if name in states and s not in layout.states
    ]
    normal = -network.log_none.sum() - np.log(posterior.evidence)
    parts: list[tuple[Bools, Bools, Floats]] = []
    held = 0.0
    for size in range(1, look.set_size + 1):
        sets, on, weights = _weigh(
            network, layout, rows, _list_sets(network, rows, size), [*touched, *others]
        )
        weights *= np.exp(normal)
        parts.append((sets, on, weights))
        held += float(weights.sum())
        if size >= ALWAYS_WEIGHED and (held >= look.mass or weights.sum() < LITTLE * held):
            break
    sets, on, weights = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    kept = np.argsort(-weights, kind="stable")[: look.sets]
    kept = kept[weights[kept] > 0]
    return WeighedSets(rows, sets[kept], on[kept], weights[kept], max(0.0, 1.0 - float(weights[kept].sum())))


def chance_of(alternative: Alternative, posterior: Posterior) -> float:
    """Bound the posterior of an alternative: that of its least probable member."""
    chances = [
        posterior.modes[cause, mode] if mode else posterior.all_causes[cause]
        for cause, mode in zip(alternative.members, alternative.modes, strict=True)
    ]
    return min(chances)


def _likeliest_rows(network: Network, posterior: Posterior, count: int) -> Ints:
    """Name the likeliest alternatives, `unlisted` always among them."""
    alternatives = network.alternatives
    chances = np.array([chance_of(a, posterior) if a.odds > 0 else -1.0 for a in alternatives])
    chances[[a.members == (UNLISTED,) for a in alternatives]] += 1.0
    order = np.argsort(-chances, kind="stable")[:count]
    return np.sort(order[chances[order] > 0])


@lru_cache(maxsize=64)
def _combine(count: int, size: int) -> Ints:
    """List all combinations of `size` out of `count` as rows of indices."""
    return np.array(list(combinations(range(count), size)), dtype=np.int64).reshape(-1, size)


def _list_sets(network: Network, rows: Ints, size: int) -> Bools:
    """List the sets of a size in which no two alternatives exclude each other."""
    variable = np.empty(len(network.alternatives), dtype=np.int64)
    for number, members in enumerate(network.rows):
        variable[list(members)] = number
    chosen = _combine(len(rows), size)
    of_variables = np.sort(variable[rows][chosen], axis=1)
    chosen = chosen[(np.diff(of_variables, axis=1) != 0).all(axis=1)]
    sets = np.zeros((len(chosen), len(rows)), dtype=bool)
    sets[np.arange(len(chosen))[:, None], chosen] = True
    return sets


def _weigh(
    network: Network, layout: Layout, rows: Ints, sets: Bools, states: Iterable[tuple[int, float]]
) -> tuple[Bools, Bools, Floats]:
    """Weigh sets with every relevant assignment of states, up to the network's normalisation."""
    prior = np.where(sets, network.odds[rows], 1.0).prod(axis=1)
    on = np.zeros((len(sets), len(network.states)), dtype=bool)
    for state, worth in states:
        sets, on, prior = _split_state(network, rows, (sets, on, prior), state, worth)
    counted = sorted({*layout.absent, *(o for slot in layout.slots for o in slot)})
    shown = np.zeros((len(sets), len(network.observations)))
    shown[:, counted] = show_chances(network, rows, sets, on, counted)
    return sets, on, prior * _likelihood(layout, shown)


def _split_state(
    network: Network, rows: Ints, part: tuple[Bools, Bools, Floats], state: int, worth: float
) -> tuple[Bools, Bools, Floats]:
    """Follow a state both on and off, on only where it is worth it."""
    sets, on, prior = part
    misses = np.where(sets, 1.0 - network.tables.state_hit[rows, state], 1.0).prod(axis=1)
    chance = 1.0 - (1.0 - network.tables.state_background[state]) * misses
    also = chance >= worth
    lit = on[also].copy()
    lit[:, state] = True
    return (
        np.concatenate((sets, sets[also])),
        np.concatenate((on, lit)),
        np.concatenate((prior * (1.0 - chance), prior[also] * chance[also])),
    )


def show_chances(network: Network, rows: Ints, sets: Bools, on: Bools, columns: list[int]) -> Floats:
    """Give P(observation present | set, states) by noisy-OR.

    Args:
        network: The network.
        rows: Table rows that the columns of `sets` stand for.
        sets: Which alternative is there; sets x rows.
        on: Which state is on; sets x states.
        columns: Observations wanted.

    Returns:
        Sets x wanted observations.
    """
    tables = network.tables
    dark = sets @ np.log(np.maximum(1.0 - tables.hit[rows][:, columns], NEVER))
    dark += on @ np.log(np.maximum(1.0 - tables.state_links[:, columns], NEVER))
    return np.asarray(1.0 - (1.0 - tables.background[columns]) * np.exp(dark))


def _likelihood(layout: Layout, shown: Floats) -> Floats:
    """Give P(what was told | set, states) from the chances of the observations."""
    value = np.full(len(shown), layout.constant)
    value *= (1.0 - shown[:, list(layout.absent)]).prod(axis=1)
    for chain in layout.chains:
        told, dark = np.zeros(len(shown)), np.ones(len(shown))
        for slot, weight in zip(chain.slots, chain.weights, strict=True):
            stays = (1.0 - shown[:, list(slot)]).prod(axis=1)
            told += dark * (1.0 - stays) * weight
            dark *= stays
        value *= told + dark * chain.otherwise
    return value
