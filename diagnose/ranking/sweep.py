"""Arrays over bit masks, and the step by which one alternative lights bits.

Takes a network and a layout, gives the arrays of the dynamic programme; may import layout.

A mask says which states are on and which counted observations have been lit so far. Every
term is positive: nothing is subtracted, so nothing cancels.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagnose.ranking.layout import Chain, Layout, Slot
from diagnose.ranking.network import Floats, Network, Tables

# Bits handled by one matrix product; 16 x 16 matrices are the fastest, measured at 8 to 16 bits.
CHUNK = 4


@dataclass(frozen=True)
class Step:
    """One matrix product on a chunk of bits.

    Attributes:
        matrix: Weight of the chunk's masks after (rows) from those before (columns).
        after: Number of masks of the less significant bits.
    """

    matrix: Floats
    after: int

    def apply(self, masks: Floats, matrix: Floats) -> Floats:
        """Multiply along the chunk's bits; other bits, and arrays end to end, stay apart."""
        size = len(matrix)
        if self.after == 1:
            return masks.reshape(-1, size) @ matrix.T
        product: Floats = np.matmul(matrix, masks.reshape(-1, size, self.after))
        return product


@dataclass(frozen=True)
class Kernel:
    """For each row (an alternative), the steps by which it lights bits; at least one a row."""

    steps: tuple[tuple[Step, ...], ...]

    def scaled(self, scale: Floats) -> Kernel:
        """Weigh each row besides: the weight goes into the row's first step."""
        pairs = zip(self.steps, scale.tolist(), strict=True)
        return Kernel(tuple((Step(s[0].matrix * weight, s[0].after), *s[1:]) for s, weight in pairs))

    def light(self, masks: Floats, row: int) -> Floats:
        """Move weight from each mask to the masks with what the row lights added.

        Args:
            masks: One or several arrays over masks, laid end to end.
            row: The alternative.

        Returns:
            An array of the same shape.
        """
        out = masks
        for step in self.steps[row]:
            out = step.apply(out, step.matrix)
        return out.reshape(masks.shape)

    def look_ahead(self, masks: Floats, row: int) -> Floats:
        """Give each mask the weighed mean of what comes after the row has lit its bits."""
        out = masks
        for step in self.steps[row]:
            out = step.apply(out, step.matrix.T)
        return out.reshape(masks.shape)


def build_kernel(hit: Floats, miss: Floats, scale: Floats) -> Kernel:
    """Build the kernel of rows that light bits.

    Args:
        hit: Chance of each row (first axis) to light each bit (second axis).
        miss: Chance to leave it dark, given apart so that nothing is subtracted here.
        scale: Weight of each row.

    Returns:
        The kernel; the first bit is the most significant one of a mask.
    """
    rows, bits = hit.shape
    steps: list[list[Step]] = [[] for _ in range(rows)]
    after = 1 << bits
    parts = np.array_split(np.arange(bits), max(1, -(-bits // CHUNK)))
    waiting = np.ones(rows, dtype=bool)  # the scale goes into the first step of each row
    for part in parts:
        after >>= len(part)
        needed = hit[:, part].any(axis=1) | (waiting & (part is parts[-1]))
        matrices = _matrices(hit[:, part], miss[:, part])
        matrices *= np.where(waiting, scale, 1.0)[:, None, None]
        for row in np.flatnonzero(needed).tolist():
            steps[row].append(Step(matrices[row], after))
        waiting &= ~needed
    return Kernel(tuple(map(tuple, steps)))


def _matrices(hit: Floats, miss: Floats) -> Floats:
    rows, bits = hit.shape
    matrices = np.ones((rows, 1, 1))
    for bit in range(bits):
        one = np.zeros((rows, 2, 2))
        one[:, 0, 0] = miss[:, bit]
        one[:, 1, 0] = hit[:, bit]
        one[:, 1, 1] = 1
        size = matrices.shape[1] * 2
        product = matrices[:, :, None, :, None] * one[:, None, :, None, :]
        matrices = product.reshape(rows, size, size)
    return matrices


@dataclass(frozen=True, eq=False)
class Sweep:
    """Everything the passes over the variables need.

    Attributes:
        kernel: How each alternative lights bits.
        start: Weight of each mask from backgrounds alone.
        final: Likelihood of the evidence given each mask at the end.
        scale: Odds of each alternative times its chance to leave absent observations dark.
        touched: Whether each alternative has anything to do with the evidence.
    """

    layout: Layout
    kernel: Kernel
    start: Floats
    final: Floats
    scale: Floats
    touched: NDArray[np.bool_]


# the evidence is swept for the posterior and again to weigh what it rests on
@lru_cache(maxsize=1)
def build_sweep(network: Network, layout: Layout) -> Sweep:
    """Prepare the arrays of one piece of evidence.

    Args:
        network: The network.
        layout: The evidence as laid out.

    Returns:
        The sweep; masks have the states as their most significant bits.
    """
    tables = network.tables
    hit, miss = bit_columns(tables.state_hit, tables.hit, layout)
    dark = leave_dark(tables.hit, layout)
    scale = network.odds * dark
    return Sweep(
        layout=layout,
        kernel=build_kernel(hit, miss, scale),
        start=build_start(tables, layout),
        final=build_final(tables, layout, layout),
        scale=scale,
        touched=(scale > 0) & (hit.any(axis=1) | (dark != 1)),
    )


def build_start(tables: Tables, layout: Layout) -> Floats:
    """Give, by mask, the chance that the backgrounds light exactly these bits."""
    lit, unlit = bit_columns(tables.state_background[None], tables.background[None], layout)
    return _kron([np.array(pair) for pair in zip(unlit[0], lit[0], strict=True)])


def leave_dark(chances: Floats, layout: Layout) -> Floats:
    """Give the chance of each row to leave every absent observation dark."""
    absent: Floats = np.prod(1 - chances[:, list(layout.absent)], axis=1)
    return absent


def bit_columns(of_states: Floats, chances: Floats, layout: Layout) -> tuple[Floats, Floats]:
    """Give the chance of each row to light each bit, and the chance not to.

    Args:
        of_states: Chance of each row to bring each state about.
        chances: Chance of each row to show each observation.
        layout: The bits; states come first.
    """
    states = of_states[:, list(layout.states)]
    hit, miss = _slot_columns(chances, layout.slots)
    return np.column_stack([states, hit]), np.column_stack([1 - states, miss])


def _slot_columns(chances: Floats, slots: tuple[Slot, ...]) -> tuple[Floats, Floats]:
    """Combine the columns of each slot by noisy-OR; a single column is taken as it is."""
    misses = [np.prod(1 - chances[:, list(slot)], axis=1) for slot in slots]
    hits = [
        chances[:, slot[0]] if len(slot) == 1 else 1 - miss for slot, miss in zip(slots, misses, strict=True)
    ]
    none = np.zeros((len(chances), 0))
    return np.column_stack([none, *hits]), np.column_stack([none, *misses])


def build_final(tables: Tables, bits: Layout, told: Layout) -> Floats:
    """Give the likelihood of evidence for each mask of what causes have lit.

    States that are on light their observations here, and must leave absent ones dark.

    Args:
        tables: Tables of the network.
        bits: The layout whose bits the masks have.
        told: The evidence to weigh; its slots are among those of `bits`.

    Returns:
        One likelihood a mask.
    """
    shown = _kron([_chain_weights(chain, told) for chain in bits.chains])
    final: Floats = np.tile(shown, 1 << len(bits.states))
    if bits.states:
        final = _let_states_show(tables, bits, told, final)
    always: float = told.constant * leave_dark(tables.background[None], told)[0]
    return final * always


def _let_states_show(tables: Tables, bits: Layout, told: Layout, final: Floats) -> Floats:
    dark = leave_dark(tables.state_links[list(bits.states)], told)
    kernel = _light_from_states(tables, bits.states, bits.slots).scaled(dark)
    for position in range(len(dark)):
        seen = kernel.look_ahead(final, position).reshape(1 << position, 2, -1)
        final = final.reshape(1 << position, 2, -1).copy()
        final[:, 1] = seen[:, 1]
        final = final.ravel()
    return final


# each observation left out in turn leaves these bits as they are
@lru_cache(maxsize=8)
def _light_from_states(tables: Tables, states: tuple[int, ...], slots: tuple[Slot, ...]) -> Kernel:
    links = tables.state_links[list(states)]
    hit, miss = _slot_columns(links, slots)
    idle = np.zeros((len(links), len(links)))  # a state lights no state
    scale = np.ones(len(links))
    return build_kernel(np.column_stack([idle, hit]), np.column_stack([idle + 1, miss]), scale)


def _chain_weights(chain: Chain, told: Layout) -> Floats:
    """Weigh every combination of a chain's slots, first slot most significant."""
    weights = {s: w for c in told.chains for s, w in zip(c.slots, c.weights, strict=True)}
    dark = [c.otherwise for c in told.chains if set(c.slots) & set(chain.slots)]
    out = np.array(dark or [1.0])
    for slot in reversed(chain.slots):
        lit = np.full(out.size, weights[slot]) if slot in weights else out
        out = np.concatenate([out, lit])
    return out


def _kron(parts: list[Floats]) -> Floats:
    out = np.ones(1)
    for part in parts:
        out = np.multiply.outer(out, part).ravel()
    return out
