"""Arrays with one axis a chain of the evidence, and what causes do along one axis, compiled to machine code.

Takes flat arrays with the sizes of their axes, gives or changes such arrays; imports nothing of ours.

A value of an axis is the first slot of its chain that is lit, the last value "none is lit": what lies behind the
first lit slot never counts. The innermost axis of every array is the two worlds, without and with `unlisted`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WORLDS = 2


class Rows(NamedTuple):
    """What rows of a table do: alternatives of variables, or states that are on.

    Attributes:
        light: By row, axis and value: the chance that this slot is the first one lit.
        keep: By row, axis and value: the chance that no slot before it is lit.
        touches: Axes that each row lights anything of, as the bits of a number.
        scale: Weight of each row.
    """

    light: Floats
    keep: Floats
    touches: Ints
    scale: Floats


class Axes(NamedTuple):
    """The axes: states first, then chains.

    Attributes:
        sizes: Number of values.
        opening: By axis, value and world, the chance that what is there from the start gives it.
        closing: By axis and value, the likelihood of what was told.
    """

    sizes: Ints
    opening: Floats
    closing: Floats


@njit(cache=True)
def light_axis(array: Floats, after: int, rows: Rows, row: int, axis: int, size: int) -> None:
    """Let a row light slots of one chain, in place: weight moves to earlier values of the axis."""
    for block in range(0, len(array), size * after):
        for value in range(size):
            here, keep = block + value * after, rows.keep[row, axis, value]
            if keep != 1.0:
                for low in range(here, here + after):
                    array[low] *= keep
            for later in range(value + 1, size):
                there, light = (later - value) * after, rows.light[row, axis, value]
                for low in range(here, here + after):
                    array[low] += array[low + there] * light


@njit(cache=True)
def foresee_axis(array: Floats, after: int, rows: Rows, row: int, axis: int, size: int) -> None:
    """Give each value of an axis the mean of what follows once a row has lit its slots, in place."""
    for block in range(0, len(array), size * after):
        for value in range(size - 1, 0, -1):
            here, keep = block + value * after, rows.keep[row, axis, value]
            for low in range(here, here + after):
                array[low] *= keep
            for earlier in range(value):
                there, light = (value - earlier) * after, rows.light[row, axis, earlier]
                for low in range(here, here + after):
                    array[low] += array[low - there] * light


@njit(cache=True)
def act_along(
    array: Floats, rows: Rows, row: int, alive: Ints, count: int, sizes: Ints, is_forth: bool
) -> None:
    """Let a row light what it touches of the open axes, or foresee it, in place."""
    after = WORLDS
    for place in range(count - 1, -1, -1):
        axis = alive[place]
        if rows.touches[row] >> axis & 1:
            if is_forth:
                light_axis(array, after, rows, row, axis, sizes[axis])
            else:
                foresee_axis(array, after, rows, row, axis, sizes[axis])
        after *= sizes[axis]


@njit(cache=True)
def find_span(alive: Ints, count: int, sizes: Ints, axis: int) -> tuple[int, int]:
    """Give the number of entries over the axes before one axis, and over those after it, worlds included."""
    before, after = 1, WORLDS
    is_behind = False
    for place in range(count):
        if alive[place] == axis:
            is_behind = True
        elif is_behind:
            after *= sizes[alive[place]]
        else:
            before *= sizes[alive[place]]
    return before, after


@njit(cache=True)
def open_axis(array: Floats, axes: Axes, axis: int) -> Floats:
    """Put an axis before all others."""
    size = axes.sizes[axis]
    out = np.empty(size * len(array))
    for value in range(size):
        for low in range(0, len(array), WORLDS):
            for world in range(WORLDS):
                out[value * len(array) + low + world] = array[low + world] * axes.opening[axis, value, world]
    return out


@njit(cache=True)
def foresee_opening(array: Floats, axes: Axes, axis: int) -> Floats:
    """Take the foremost axis away: each of the other entries gets the mean over its values."""
    out = np.zeros(len(array) // axes.sizes[axis])
    for value in range(axes.sizes[axis]):
        for low in range(0, len(out), WORLDS):
            for world in range(WORLDS):
                out[low + world] += array[value * len(out) + low + world] * axes.opening[axis, value, world]
    return out


@njit(cache=True)
def close_axis(array: Floats, before: int, after: int, axes: Axes, axis: int) -> Floats:
    """Sum an axis up, each value with the likelihood of what was told."""
    size = axes.sizes[axis]
    out = np.zeros(before * after)
    for block in range(before):
        for value in range(size):
            source, weight = (block * size + value) * after, axes.closing[axis, value]
            for low in range(after):
                out[block * after + low] += array[source + low] * weight
    return out


@njit(cache=True)
def foresee_closing(array: Floats, before: int, after: int, axes: Axes, axis: int) -> Floats:
    """Put an axis back that is to be closed, each value with the likelihood of what was told."""
    size = axes.sizes[axis]
    out = np.empty(before * size * after)
    for block in range(before):
        for value in range(size):
            target, weight = (block * size + value) * after, axes.closing[axis, value]
            for low in range(after):
                out[target + low] = array[block * after + low] * weight
    return out


@njit(cache=True)
def take_value(array: Floats, before: int, after: int, value: int) -> Floats:
    """Take the entries with one value of an axis of two."""
    out = np.empty(before * after)
    for block in range(before):
        for low in range(after):
            out[block * after + low] = array[(2 * block + value) * after + low]
    return out


@njit(cache=True)
def join_values(on: Floats, off: Floats, before: int, after: int) -> Floats:
    """Join the entries of both values of an axis of two."""
    out = np.empty(2 * before * after)
    for block in range(before):
        for low in range(after):
            out[2 * block * after + low] = on[block * after + low]
            out[(2 * block + 1) * after + low] = off[block * after + low]
    return out
