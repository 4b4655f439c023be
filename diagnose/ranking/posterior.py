"""The exact posterior of every cause by one dynamic programme with positive terms only.

Takes a network and the observations that count, gives a Posterior; may import sweep.

Forward and backward arrays over masks (see sweep) give P(cause, evidence) for every cause at
once. D is "at least one cause, listed or not, is there": the forward array carries D, and the
weight of "none so far" is the start array alone, so P(evidence, D) needs no subtraction.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from math import exp, expm1, fsum

import numpy as np
from numpy.typing import NDArray

from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import build_layout
from diagnose.ranking.network import UNLISTED, Floats, Network
from diagnose.ranking.sweep import Sweep, build_sweep


@dataclass(frozen=True)
class Posterior:
    """What the evidence says, given that something is wrong (D).

    Attributes:
        evidence: P(evidence, D).
        evidence_none: P(evidence, nothing is wrong).
        causes: P(cause present | evidence, D) of each listed cause; they need not add up to 1.
        modes: The same for each mode of the causes that have modes.
        states: P(state on | evidence, D) of the states that touch a counted observation.
        unlisted: P(something not listed is wrong | evidence, D).
        none_listed: P(no listed cause is present | evidence, D).
    """

    evidence: float
    evidence_none: float
    causes: dict[str, float]
    modes: dict[tuple[str, str], float]
    states: dict[str, float]
    unlisted: float
    none_listed: float

    @cached_property
    def all_causes(self) -> dict[str, float]:
        """Give the probabilities of the listed causes and of `unlisted`."""
        return {**self.causes, UNLISTED: self.unlisted}


@dataclass(frozen=True, eq=False)
class Passes:
    """A sweep with the variables that the evidence touches and the mass of the others.

    Attributes:
        touched: Numbers of the variables that have anything to do with the evidence.
        is_untouched: Whether a variable is one of the others.
        idle: Odds that at least one untouched variable is there.
    """

    sweep: Sweep
    touched: tuple[int, ...]
    is_untouched: NDArray[np.bool_]
    idle: float


def build_passes(network: Network, sweep: Sweep, apart: Collection[int] = ()) -> Passes:
    """Split the variables by whether the evidence touches them.

    Args:
        network: The network.
        sweep: Arrays of the evidence.
        apart: Variables to keep out of the mass of the untouched ones whatever the evidence.

    Returns:
        What both passes need.
    """
    is_touched = np.logical_or.reduceat(sweep.touched, network.starts)
    is_touched[list(apart)] = True
    idle = expm1(fsum(network.log_none[~is_touched].tolist()))
    return Passes(sweep, tuple(np.flatnonzero(is_touched).tolist()), ~is_touched, idle)


def _look_back(network: Network, passes: Passes) -> list[Floats]:
    """Give, before each touched variable, the likelihood of the evidence from there on."""
    kernel = passes.sweep.kernel
    arrays = [passes.sweep.final]
    for variable in reversed(passes.touched):
        after = arrays[-1]
        before = after.copy()
        for row in network.rows[variable]:
            before += kernel.look_ahead(after, row)
        arrays.append(before)
    return arrays[::-1]


def compute_posterior(network: Network, items: Iterable[CountedObservation]) -> Posterior:
    """Compute the exact posterior of every cause, mode and relevant state.

    Args:
        network: The network of this unit.
        items: Observations that count, each at most once.

    Returns:
        The posterior given the evidence and D.
    """
    layout = build_layout(network, {item.observation: item.likelihood for item in items})
    passes = build_passes(network, build_sweep(network, layout))
    backward = _look_back(network, passes)
    masses = np.zeros(len(network.alternatives))
    start, kernel = passes.sweep.start, passes.sweep.kernel
    faulty = start * passes.idle
    for variable, after in zip(passes.touched, backward[1:], strict=True):
        anything = faulty + start
        for row in network.rows[variable]:
            lit = kernel.light(anything, row)
            masses[row] = lit @ after
            faulty += lit
    _weigh_untouched(network, passes, float(start @ backward[0]), masses)
    return _collect(network, passes, masses, faulty)


def _weigh_untouched(network: Network, passes: Passes, total: float, masses: Floats) -> None:
    """Fill in P(alternative, evidence) where the evidence says nothing of the alternative."""
    rows = passes.is_untouched[network.variable_of]
    none = np.exp(-network.log_none)[network.variable_of[rows]]
    masses[rows] = network.odds[rows] * none * (total * (1 + passes.idle))


def _collect(network: Network, passes: Passes, masses: Floats, faulty: Floats) -> Posterior:
    start, final = passes.sweep.start, passes.sweep.final
    mass = float(faulty @ final)
    normal = exp(-fsum(network.log_none.tolist()))
    causes: dict[str, float] = {}
    modes: dict[tuple[str, str], float] = {}
    for alternative, part in zip(network.alternatives, (masses / mass).tolist(), strict=True):
        for cause, mode in zip(alternative.members, alternative.modes, strict=True):
            causes[cause] = causes.get(cause, 0.0) + part
            if mode:
                modes[cause, mode] = modes.get((cause, mode), 0.0) + part
    last = len(masses) - 1
    alone = passes.sweep.kernel.light(start, last) @ final
    return Posterior(
        evidence=mass * normal,
        evidence_none=float(start @ final) * normal,
        unlisted=causes.pop(UNLISTED),
        causes=dict(sorted(causes.items())),
        modes=modes,
        states=_weigh_states(network, passes.sweep, faulty * final / mass),
        none_listed=float(alone / mass),
    )


def _weigh_states(network: Network, sweep: Sweep, weights: Floats) -> dict[str, float]:
    found = {}
    for position, state in enumerate(sweep.layout.states):
        halves = weights.reshape(1 << position, 2, -1)
        found[network.states[state]] = float(halves[:, 1].sum())
    return found
