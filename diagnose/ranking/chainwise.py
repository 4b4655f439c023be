"""The exact posterior chain by chain: the evidence of one unit laid out for the passes, and both runs added up.

Takes a network's tables, prior odds and a layout as flat arrays, gives weights of rows; may import passes.

The equal of posterior.py, many times faster where much was told; what touches every chain, as `unlisted` does,
is weighed by a second run with what it lights in the background.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from diagnose.ranking.axes import WORLDS, Axes, Floats, Ints, Rows
from diagnose.ranking.ordering import OPEN, order_acts
from diagnose.ranking.passes import look_back, look_forth


class Links(NamedTuple):
    """The tables of a network; backgrounds are tables of one row.

    Attributes:
        of_states: Chance of each row to bring each state about.
        chances: Chance of each row to show each observation; the last row is `unlisted`.
        shown: Chance of each state to show each observation.
        state_background: Chance of each state with none of its causes.
        background: Chance of each observation with none of its causes.
        starts: First row of each variable, and the number of rows.
    """

    of_states: Floats
    chances: Floats
    shown: Floats
    state_background: Floats
    background: Floats
    starts: Ints


class Told(NamedTuple):
    """A layout of evidence.

    Attributes:
        states: States with an axis.
        chains: Where each chain's slots begin, and their end.
        slots: Where each slot's observations begin among `members`, and their end.
        members: Observations of all slots.
        weights: P(what was told | this slot is the first one lit), by slot.
        otherwise: P(what was told | no slot of the chain is lit), by chain.
        absent: Observations known absent.
        constant: Factor that is the same whatever is present.
    """

    states: Ints
    chains: Ints
    slots: Ints
    members: Ints
    weights: Floats
    otherwise: Floats
    absent: Ints
    constant: float


@njit(cache=True)
def leave_dark(chances: Floats, absent: Ints) -> Floats:
    """Give the chance of each row to leave every absent observation dark."""
    dark = np.ones(len(chances))
    for row in range(len(chances)):
        for place in range(len(absent)):
            dark[row] *= 1 - chances[row, absent[place]]
    return dark


@njit(cache=True)
def fill_states(of_states: Floats, states: Ints, light: Floats, keep: Floats) -> None:
    """Fill in what rows do along the axes of states, whose first value is "on"."""
    for row in range(len(of_states)):
        for axis in range(len(states)):
            light[row, axis, 0] = of_states[row, states[axis]]
            keep[row, axis, 1] = 1 - of_states[row, states[axis]]


@njit(cache=True)
def fill_chains(chances: Floats, told: Told, light: Floats, keep: Floats) -> None:
    """Fill in what rows do along the axes of chains, which stand behind those of the states."""
    for chain in range(len(told.chains) - 1):
        axis, first = len(told.states) + chain, told.chains[chain]
        for row in range(len(chances)):
            dark = 1.0
            for slot in range(first, told.chains[chain + 1]):
                miss = 1.0
                for place in range(told.slots[slot], told.slots[slot + 1]):
                    miss *= 1 - chances[row, told.members[place]]
                is_alone = told.slots[slot + 1] == told.slots[slot] + 1
                hit = chances[row, told.members[told.slots[slot]]] if is_alone else 1 - miss
                light[row, axis, slot - first] = dark * hit
                dark *= miss
                keep[row, axis, slot - first + 1] = dark


@njit(cache=True)
def lay_rows(of_states: Floats, chances: Floats, told: Told, scale: Floats) -> Rows:
    """Lay out what rows do along the axes of states and chains."""
    states, chains = len(told.states), len(told.chains) - 1
    longest = 2
    for chain in range(chains):
        longest = max(longest, told.chains[chain + 1] - told.chains[chain] + 1)
    light = np.zeros((len(chances), states + chains, longest))
    keep = np.ones((len(chances), states + chains, longest))
    fill_states(of_states, told.states, light, keep)
    fill_chains(chances, told, light, keep)
    touches = np.zeros(len(chances), dtype=np.int64)
    for row in range(len(chances)):
        for axis in range(states + chains):
            for value in range(longest):
                if light[row, axis, value] != 0:
                    touches[row] |= 1 << axis
    return Rows(light, keep, touches, scale)


@njit(cache=True)
def lay_axes(links: Links, told: Told, rows: Rows) -> Axes:
    """Lay out how each axis opens and closes; with `unlisted`, the last row, each opens lit by it too."""
    states, chains = len(told.states), len(told.chains) - 1
    base = lay_rows(links.state_background, links.background, told, np.ones(1))
    sizes = np.full(states + chains, 2)
    for chain in range(chains):
        sizes[states + chain] = told.chains[chain + 1] - told.chains[chain] + 1
    opening = np.zeros((*base.light.shape[1:], WORLDS))
    closing = np.ones(base.light.shape[1:])
    last = len(rows.scale) - 1
    for axis in range(states + chains):
        size = sizes[axis]
        opening[axis, : size - 1, 0] = base.light[0, axis, : size - 1]
        opening[axis, size - 1, 0] = base.keep[0, axis, size - 1]
        for value in range(size):
            later = opening[axis, value + 1 : size, 0].sum()
            opening[axis, value, 1] = (
                opening[axis, value, 0] * rows.keep[last, axis, value] + later * rows.light[last, axis, value]
            )
    for chain in range(chains):
        first, end = told.chains[chain], told.chains[chain + 1]
        closing[states + chain, : end - first] = told.weights[first:end]
        closing[states + chain, end - first] = told.otherwise[chain]
    return Axes(sizes, opening, closing)


@njit(cache=True)
def weigh_idle(scale: Floats, starts: Ints, touches: Ints, shares: Floats) -> float:
    """Fill in the share of each row of the variables that touch nothing; give the odds that one of them is there."""
    idle = 0.0
    for variable in range(len(touches)):
        if not touches[variable]:
            first, last = starts[variable], starts[variable + 1]
            total = scale[first:last].sum()
            idle += np.log1p(total)
            shares[first:last] = scale[first:last] / (1 + total)
    return float(np.expm1(idle))


@njit(cache=True)
def close_unopened(axes: Axes, acts: Ints) -> Floats:
    """Give, by world, the likelihood of what was told of the axes that no act opens."""
    factor = np.ones(WORLDS)
    for axis in range(len(axes.sizes)):
        is_opened = False
        for act in range(len(acts)):
            is_opened |= acts[act, 0] == OPEN and acts[act, 1] == axis
        if not is_opened:
            for world in range(WORLDS):
                factor[world] *= (axes.opening[axis, :, world] * axes.closing[axis]).sum()
    return factor


@njit(cache=True)
def list_touches(rows: Rows, starts: Ints) -> Ints:
    """Give what each variable touches, the last one, `unlisted`, left out."""
    touches = np.zeros(len(starts) - 2, dtype=np.int64)
    for variable in range(len(touches)):
        for row in range(starts[variable], starts[variable + 1]):
            if rows.scale[row] > 0:
                touches[variable] |= rows.touches[row]
    return touches


@njit(cache=True)
def weigh_unit(links: Links, odds: Floats, told: Told) -> tuple[Floats, float, float, float]:
    """Weigh the evidence of one unit.

    Args:
        links: The tables of the network.
        odds: Prior odds of the rows.
        told: The evidence.

    Returns:
        In the odds form, where "nothing wrong" without evidence weighs 1, the weights with the evidence of each row,
        of "something wrong", of "nothing wrong", and of "nothing wrong but what is not listed".
    """
    rows = lay_rows(links.of_states, links.chances, told, odds * leave_dark(links.chances, told.absent))
    shown = links.shown[told.states]
    none = np.zeros((len(shown), links.of_states.shape[1]))
    states = lay_rows(none, shown, told, leave_dark(shown, told.absent))
    axes = lay_axes(links, told, rows)
    touches = list_touches(rows, links.starts)
    shows = states.touches.copy()
    for state in range(len(shows)):
        shows[state] |= 1 << state
    acts = order_acts(touches, shows, axes.sizes)
    shares = np.zeros(len(odds))
    idle = weigh_idle(rows.scale, links.starts, touches, shares)
    wrong, sound, before = look_forth(acts, axes, rows, links.starts, states, idle)
    masses = np.zeros((len(odds), WORLDS))
    likelihood = look_back(acts, axes, rows, links.starts, states, before, masses)
    worlds = close_unopened(axes, acts) * (told.constant * leave_dark(links.background, told.absent)[0])
    worlds[1] *= rows.scale[-1]
    weights = (masses[:, 0] + shares * (likelihood[0] * (1 + idle))) * worlds[0]
    weights += (masses[:, 1] + shares * (likelihood[1] * (1 + idle))) * worlds[1]
    weights[-1] = (wrong[1] + sound[1]) * worlds[1]
    return weights, wrong[0] * worlds[0] + weights[-1], sound[0] * worlds[0], sound[1] * worlds[1]
