"""Which observations need a bit, which are plain factors: evidence laid out for the sweep.

Takes a network and likelihood pairs, gives a Layout; may import network.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import prod

import numpy as np

from diagnose.ranking.network import Network, Tables

Pair = tuple[float, float]
Slot = tuple[int, ...]


@dataclass(frozen=True)
class Chain:
    """One variable of the evidence: the first slot that is lit decides the weight.

    Attributes:
        slots: Observations, in order; a slot is lit when any of its observations is.
        weights: P(what was told | this slot is the first one lit).
        otherwise: P(what was told | no slot is lit).
    """

    slots: tuple[Slot, ...]
    weights: tuple[float, ...]
    otherwise: float


@dataclass(frozen=True)
class Layout:
    """Evidence as bits, factors and one constant.

    Attributes:
        chains: What needs bits: present or soft observations; one bit a slot, in order.
        absent: Indices of observations known absent: a factor for each alternative.
        states: Indices of states that touch a counted observation: one bit each.
        constant: Factor that is the same whatever is present.
    """

    chains: tuple[Chain, ...]
    absent: tuple[int, ...]
    states: tuple[int, ...]
    constant: float

    @property
    def slots(self) -> tuple[Slot, ...]:
        """List the slots of all chains: the observation bits in order."""
        return tuple(slot for chain in self.chains for slot in chain.slots)

    @property
    def bits(self) -> int:
        """Count the bits, states included: the arrays have two to this power entries."""
        return len(self.states) + len(self.slots)


def build_layout(network: Network, pairs: dict[str, Pair]) -> Layout:
    """Lay evidence out as bits and factors.

    Observations of one group are one variable whose value is the first member that shows:
    a member told present makes the earlier ones absent and leaves the later ones out. A
    member told absent alone is exact too: the value is not that member.

    Args:
        network: The network.
        pairs: (P(told | present), P(told | absent)) by observation.

    Returns:
        The layout.
    """
    return _build(network, tuple(sorted(pairs.items())))


# what counts is laid out to see that it is not too much, and again to be weighed
@lru_cache(maxsize=64)
def _build(network: Network, pairs: tuple[tuple[str, Pair], ...]) -> Layout:
    told = {network.index[o]: pair for o, pair in pairs}
    grouped = [group for group in network.groups if any(m in told for m in group)]
    in_groups = {member for group in grouped for member in group}
    orders = [*grouped, *((o,) for o in told if o not in in_groups)]
    return _collect(network.tables, [_chain(order, told) for order in orders])


def _chain(order: tuple[int, ...], told: dict[int, Pair]) -> Chain:
    """Give each member its weight and join neighbours of equal weight to one slot."""
    members = [m for m in order if m in told]
    otherwise = prod(told[m][1] for m in members)
    weight = {m: prod(told[x][0 if x == m else 1] for x in members) for m in members}
    runs = [
        (tuple(run), value) for value, run in groupby(order, key=lambda member: weight.get(member, otherwise))
    ]
    if runs[-1][1] == otherwise:
        runs.pop()
    return Chain(tuple(slot for slot, _ in runs), tuple(value for _, value in runs), otherwise)


def _collect(tables: Tables, chains: Iterable[Chain]) -> Layout:
    """Turn leading impossible slots into absent factors and unlinked chains into a constant."""
    kept: list[Chain] = []
    absent: list[int] = []
    constant = 1.0
    for chain in chains:
        lead = next((i for i, w in enumerate(chain.weights) if w > 0), len(chain.weights))
        absent += [o for slot in chain.slots[:lead] for o in slot]
        rest = Chain(chain.slots[lead:], chain.weights[lead:], chain.otherwise)
        if any(tables.linked[o] for slot in rest.slots for o in slot):
            kept.append(rest)
        else:
            constant *= _constant(tables, rest)
    states = _relevant_states(tables, kept, absent)
    return Layout(tuple(kept), tuple(absent), states, constant)


def _constant(tables: Tables, chain: Chain) -> float:
    """Weigh a chain that only background rates can light."""
    value, dark = 0.0, 1.0
    for slot, weight in zip(chain.slots, chain.weights, strict=True):
        stays = float(np.prod(1 - tables.background[list(slot)]))
        value += dark * (1 - stays) * weight
        dark *= stays
    return value + dark * chain.otherwise


def _relevant_states(tables: Tables, chains: list[Chain], absent: list[int]) -> tuple[int, ...]:
    counted = [*absent, *(o for chain in chains for slot in chain.slots for o in slot)]
    touching = tables.state_links[:, counted].any(axis=1)
    return tuple(int(state) for state in np.flatnonzero(touching))
