"""Forth and back over the acts of one unit: a chain is open only while what touches it is gone through.

Takes axes, rows and acts, gives weights; may import axes and ordering. Every term is positive.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from diagnose.ranking.axes import (
    WORLDS,
    Axes,
    Floats,
    Ints,
    Rows,
    act_along,
    close_axis,
    find_span,
    foresee_closing,
    foresee_opening,
    join_values,
    open_axis,
    take_value,
)
from diagnose.ranking.ordering import CLOSE, OPEN, ROWS, insert_place, remove_place


@njit(cache=True)
def look_forth(
    acts: Ints, axes: Axes, rows: Rows, starts: Ints, states: Rows, idle: float
) -> tuple[Floats, Floats, list[Floats]]:
    """Go through the acts with the weights of "something wrong" and of "nothing wrong so far" side by side.

    Args:
        acts: What is done in turn.
        axes: The axes.
        rows: Alternatives of the variables.
        starts: First row of each variable, and their end.
        states: What the states show.
        idle: Odds that something is wrong that touches nothing.

    Returns:
        Both weights at the end by world, and before each variable those of both together.
    """
    faulty, sound = np.full(WORLDS, idle), np.ones(WORLDS)
    alive = np.empty(len(axes.sizes), dtype=np.int64)
    count = 0
    before = []
    for act in range(len(acts)):
        what, number, place = acts[act]
        if what == OPEN:
            faulty, sound = open_axis(faulty, axes, number), open_axis(sound, axes, number)
            count = insert_place(alive, count, 0, number)
        elif what == ROWS:
            before.append(faulty + sound)
            add_rows(faulty, before[-1], rows, starts[number], starts[number + 1], alive, count, axes.sizes)
        else:
            ahead, behind = find_span(alive, count, axes.sizes, number)
            count = remove_place(alive, count, place)
            if what == CLOSE:
                faulty = close_axis(faulty, ahead, behind, axes, number)
                sound = close_axis(sound, ahead, behind, axes, number)
            else:
                faulty = let_show(faulty, ahead, behind, states, number, alive, count, axes.sizes)
                sound = let_show(sound, ahead, behind, states, number, alive, count, axes.sizes)
    return faulty, sound, before


@njit(cache=True)
def add_rows(
    faulty: Floats, anything: Floats, rows: Rows, first: int, last: int, alive: Ints, count: int, sizes: Ints
) -> None:
    """Add to "something wrong", in place, that a variable is there in any of its ways."""
    lit = np.empty_like(anything)
    for row in range(first, last):
        if rows.scale[row] > 0:
            for entry in range(len(lit)):
                lit[entry] = anything[entry] * rows.scale[row]
            act_along(lit, rows, row, alive, count, sizes, True)
            for entry in range(len(lit)):
                faulty[entry] += lit[entry]


@njit(cache=True)
def let_show(
    array: Floats, ahead: int, behind: int, states: Rows, state: int, alive: Ints, count: int, sizes: Ints
) -> Floats:
    """Sum the axis of a state up, after the state, where it is on, has lit what it shows."""
    on: Floats = take_value(array, ahead, behind, 0)
    for entry in range(len(on)):
        on[entry] *= states.scale[state]
    act_along(on, states, state, alive, count, sizes, True)
    off = take_value(array, ahead, behind, 1)
    for entry in range(len(on)):
        on[entry] += off[entry]
    return on


@njit(cache=True)
def look_back(
    acts: Ints, axes: Axes, rows: Rows, starts: Ints, states: Rows, before: list[Floats], masses: Floats
) -> Floats:
    """Go back through the acts with the likelihood of what follows.

    Args:
        acts: What was done in turn.
        axes: The axes.
        rows: Alternatives of the variables.
        starts: First row of each variable, and their end.
        states: What the states show.
        before: The weights before each variable, from `look_forth`; emptied.
        masses: Filled in: by row and world, the weight of the row with the evidence.

    Returns:
        The likelihood of the evidence at the start, by world.
    """
    after = np.ones(WORLDS)
    alive = np.empty(len(axes.sizes), dtype=np.int64)
    count = 0
    for act in range(len(acts) - 1, -1, -1):
        what, number, place = acts[act]
        if what == OPEN:
            after = foresee_opening(after, axes, number)
            count = remove_place(alive, count, 0)
        elif what == ROWS:
            first, last = starts[number], starts[number + 1]
            after = weigh_rows(after, before.pop(), rows, first, last, alive, count, axes.sizes, masses)
        elif what == CLOSE:
            count = insert_place(alive, count, place, number)
            ahead, behind = find_span(alive, count, axes.sizes, number)
            after = foresee_closing(after, ahead, behind, axes, number)
        else:
            lit = after * states.scale[number]
            act_along(lit, states, number, alive, count, axes.sizes, False)
            count = insert_place(alive, count, place, number)
            ahead, behind = find_span(alive, count, axes.sizes, number)
            after = join_values(lit, after, ahead, behind)
    return after


@njit(cache=True)
def weigh_rows(
    after: Floats, before: Floats, rows: Rows, first: int, last: int, alive: Ints, count: int, sizes: Ints,
    masses: Floats,
) -> Floats:  # fmt: skip
    """Weigh each row of a variable; give the likelihood of what follows before it."""
    earlier = after.copy()
    ahead = np.empty_like(after)
    for row in range(first, last):
        if rows.scale[row] > 0:
            for entry in range(len(ahead)):
                ahead[entry] = after[entry] * rows.scale[row]
            act_along(ahead, rows, row, alive, count, sizes, False)
            for entry in range(0, len(ahead), WORLDS):
                for world in range(WORLDS):
                    masses[row, world] += ahead[entry + world] * before[entry + world]
            for entry in range(len(ahead)):
                earlier[entry] += ahead[entry]
    return earlier
