"""Random networks with everything in them, and the same answers by plain enumeration."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np

from diagnose.chaining.trace import Chained, PriorShift
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.network import UNLISTED, Alternative, Network, Variable, build_tables


def make_chained(
    *,
    derived: dict[str, tuple[str, ...]] | None = None,
    atoms: Iterable[str] = (),
    ruled_out: dict[str, tuple[str, ...]] | None = None,
    shifts: dict[str, tuple[tuple[str, float, str], ...]] | None = None,
) -> Chained:
    """Make what the rules would have concluded, without running any."""
    return Chained(
        firings=(),
        entered=frozenset(atoms),
        atoms=frozenset(atoms),
        derived=derived or {},
        ruled_out=ruled_out or {},
        shifts={cause: tuple(PriorShift(*s) for s in found) for cause, found in (shifts or {}).items()},
        cautions={},
    )


Pairs = dict[str, tuple[float, float]]


def draw_network(
    seed: int,
    *,
    variables: int = 5,
    observations: int = 7,
    states: int = 2,
    density: float = 0.5,
    groups: tuple[tuple[int, ...], ...] = (),
) -> Network:
    """Draw a network: variables of one to three alternatives, one of which may be a pair."""
    rng = np.random.default_rng(seed)

    def links(size: int, chance: float = density) -> dict[int, float]:
        return {i: float(rng.uniform(0.01, 0.98)) for i in range(size) if rng.random() < chance}

    def alternative(*members: str) -> Alternative:
        modes = tuple("" for _ in members)
        return Alternative(members, modes, float(rng.uniform(0.002, 0.3)), links(observations), links(states))

    drawn = []
    for number in range(variables):
        names = [f"c{number}_{letter}" for letter in "ab"[: int(rng.integers(1, 3))]]
        alternatives = [alternative(name) for name in names]
        if len(names) == 2 and rng.random() < 0.5:
            alternatives.append(alternative(*names))
        drawn.append(Variable(tuple(alternatives)))
    drawn.append(Variable((Alternative((UNLISTED,), ("",), 0.01, links(observations, 1), {}),)))
    backgrounds = tuple(rng.uniform(0.001, 0.2, observations).tolist())
    of_states = tuple(rng.uniform(0.001, 0.1, states).tolist())
    state_links = tuple(links(observations) for _ in range(states))
    tables = build_tables(backgrounds, of_states, state_links, tuple(drawn))
    return Network(
        observations=tuple(f"o{i}" for i in range(observations)),
        states=tuple(f"s{i}" for i in range(states)),
        groups=groups,
        variables=tuple(drawn),
        shift_cap=20.0,
        tables=tables,
    )


def draw_pairs(seed: int, observations: int) -> Pairs:
    """Draw evidence on some observations: certain or not, present or absent."""
    rng = np.random.default_rng(seed)
    kinds = [None, (1.0, 0.0), (0.0, 1.0), (0.95, 0.05), (0.3, 0.7)]
    drawn = {f"o{i}": kinds[int(rng.integers(0, 5))] for i in range(observations)}
    return {name: pair for name, pair in drawn.items() if pair is not None}


def make_items(pairs: Pairs) -> tuple[CountedObservation, ...]:
    """Turn likelihood pairs into counted observations."""
    return tuple(CountedObservation(o, pair) for o, pair in pairs.items())


@dataclass
class Enumerated:
    """What plain enumeration says: P(evidence, D), P(evidence, none), posteriors given D."""

    evidence: float
    none: float
    causes: dict[str, float]
    states: dict[str, float]
    none_listed: float


def enumerate_network(network: Network, pairs: Pairs) -> Enumerated:
    """Sum over every combination of alternatives and states, observation by observation."""
    told = {network.observations.index(o): pair for o, pair in pairs.items()}
    in_groups = {m for group in network.groups for m in group}
    orders = [*network.groups, *((o,) for o in told if o not in in_groups)]
    out = Enumerated(0.0, 0.0, {}, {}, 0.0)
    for there, weight in _worlds(network):
        for on, chance in _state_worlds(network, there):
            shown = [_chance_shown(network, there, on, o) for o in range(len(network.observations))]
            mass = weight * chance * prod(_weigh_order(order, shown, told) for order in orders)
            if not there:
                out.none += mass
                continue
            out.evidence += mass
            members = {m for a in there for m in a.members}
            out.none_listed += mass * (members == {UNLISTED})
            for key in members:
                out.causes[key] = out.causes.get(key, 0.0) + mass
            for number in on:
                state = network.states[number]
                out.states[state] = out.states.get(state, 0.0) + mass
    out.causes = {c: mass / out.evidence for c, mass in out.causes.items()}
    out.states = {s: mass / out.evidence for s, mass in out.states.items()}
    out.none_listed /= out.evidence
    return out


def _worlds(network: Network) -> Iterator[tuple[list[Alternative], float]]:
    for chosen in product(*((None, *v.alternatives) for v in network.variables)):
        odds = prod(a.odds for a in chosen if a)
        yield (
            [a for a in chosen if a],
            odds / prod(1 + sum(a.odds for a in v.alternatives) for v in network.variables),
        )


def _state_worlds(network: Network, there: list[Alternative]) -> Iterator[tuple[tuple[int, ...], float]]:
    off = [
        (1 - background) * prod(1 - a.state_links.get(s, 0.0) for a in there)
        for s, background in enumerate(network.tables.state_background)
    ]
    for values in product((0, 1), repeat=len(off)):
        chance = prod(1 - p if on else p for on, p in zip(values, off, strict=True))
        yield tuple(s for s, on in enumerate(values) if on), chance


def _chance_shown(network: Network, there: list[Alternative], on: tuple[int, ...], o: int) -> float:
    dark = (1 - network.tables.background[o]) * prod(1 - a.links.get(o, 0.0) for a in there)
    return float(1 - dark * prod(1 - network.tables.state_links[s, o] for s in on))


def _weigh_order(order: tuple[int, ...], shown: list[float], told: dict[int, tuple[float, float]]) -> float:
    """Weigh one group: its value is the first member that shows, or none."""
    members = [m for m in order if m in told]
    value, dark = 0.0, 1.0
    for m in order:
        value += dark * shown[m] * prod(told[x][0 if x == m else 1] for x in members)
        dark *= 1 - shown[m]
    return value + dark * prod(told[m][1] for m in members)
