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
from typing import NamedTuple

import numpy as np

from diagnose.knowledge.settings import Look
from diagnose.next_step.problem import Bools, Floats, Ints
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import Layout, build_layout
from diagnose.ranking.network import UNLISTED, Alternative, Network, Tables
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
        part = _weigh(network, layout, rows, _list_sets(network, rows, size), [*touched, *others])
        weights = part.weights * np.exp(normal)
        kept = find_heaviest(weights, look.sets)
        parts.append((part.sets[part.pick[kept]], part.on[kept], weights[kept]))
        held += float(weights.sum())
        if size >= ALWAYS_WEIGHED and (held >= look.mass or weights.sum() < LITTLE * held):
            break
    sets, on, weights = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    kept = find_heaviest(weights, look.sets)
    kept = kept[weights[kept] > 0]
    return WeighedSets(rows, sets[kept], on[kept], weights[kept], max(0.0, 1.0 - float(weights[kept].sum())))


def find_heaviest(weights: Floats, count: int) -> Ints:
    """Name the heaviest places, heaviest first, equal ones in their order; sorts only what is kept."""
    least = np.partition(weights, -count)[-count] if len(weights) > count else -np.inf
    places = np.flatnonzero(weights >= least)
    return np.asarray(places[np.argsort(-weights[places], kind="stable")][:count])


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


@dataclass(frozen=True, eq=False)
class _Part:
    """Sets of one size, each with every assignment of states that is worth following.

    Attributes:
        pick: Set of each assignment.
        on: Which state is on; assignments x states of the network.
        weights: Weight of each assignment.
    """

    sets: Bools
    pick: Ints
    on: Bools
    weights: Floats


def _weigh(
    network: Network, layout: Layout, rows: Ints, sets: Bools, states: Iterable[tuple[int, float]]
) -> _Part:
    """Weigh sets with every relevant assignment of states, up to the network's normalisation."""
    there, tables, misses = sets.astype(np.float64), network.tables, _log_misses(network.tables)
    brought = 1.0 - (1.0 - tables.state_background) * np.exp(there @ misses.state_hit[rows])
    told = (layout.absent, *layout.slots)
    dark = np.exp(there @ _join(misses.hit[rows], told) + _join(misses.background, told))
    miss = np.exp(_join(misses.state_links, told))
    pick, on = np.arange(len(sets)), np.zeros((len(sets), len(network.states)), dtype=bool)
    weights = np.exp(there @ np.log(network.odds[rows]))
    for state, worth in states:
        chance = brought[pick, state]
        also = np.flatnonzero(chance >= worth)
        pick = np.concatenate((pick, pick[also]))
        on = np.concatenate((on, on[also]))
        on[len(weights) :, state] = True
        dark = np.concatenate((dark, dark[also] * miss[state]))
        weights = np.concatenate((weights * (1.0 - chance), weights[also] * chance[also]))
    return _Part(sets, pick, on, weights * _likelihood(layout, dark))


class _LogMisses(NamedTuple):
    """Logarithms of the chances not to show, as in the tables of the network."""

    hit: Floats
    state_hit: Floats
    state_links: Floats
    background: Floats


@lru_cache(maxsize=8)
def _log_misses(tables: Tables) -> _LogMisses:
    """Take the logarithms once: no unit and no answer moves them."""
    chances = (tables.hit, tables.state_hit, tables.state_links, tables.background[None])
    return _LogMisses(*(np.log(np.maximum(1.0 - part, NEVER)) for part in chances))


def _join(logs: Floats, parts: Iterable[Iterable[int]]) -> Floats:
    """Add up the columns of each part: the logarithm of "none of these observations shows"."""
    return np.stack([logs[:, list(columns)].sum(axis=1) for columns in parts], axis=1)


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
    misses = _log_misses(network.tables)
    dark = sets @ misses.hit[rows][:, columns]
    dark += on @ misses.state_links[:, columns]
    return np.asarray(1.0 - (1.0 - network.tables.background[columns]) * np.exp(dark))


def _likelihood(layout: Layout, dark: Floats) -> Floats:
    """Give P(what was told | set, states) from P(none of some observations shows).

    Args:
        layout: The evidence.
        dark: For all absent observations, then for each slot; sets x these.
    """
    value = layout.constant * dark[:, 0]
    stays = iter(dark.T[1:])
    for chain in layout.chains:
        told, left = np.zeros(len(dark)), np.ones(len(dark))
        for weight in chain.weights:
            stay = next(stays)
            told += left * (1.0 - stay) * weight
            left *= stay
        value *= told + left * chain.otherwise
    return value
