"""In which order variables and states are gone through so that few chains are open at a time.

Takes what each variable and state touches, gives a list of acts; imports nothing of ours.

A chain is opened when the first variable that touches it comes and closed after the last one. Next closed is always
the chain that can be closed with the smallest array. A state shows when all that can bring it about is through.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Ints = NDArray[np.int64]

# Acts: open an axis, go through the rows of a variable, let a state show, close an axis.
OPEN, ROWS, SHOW, CLOSE = 0, 1, 2, 3


@njit(cache=True)
def order_acts(touches: Ints, shows: Ints, sizes: Ints) -> Ints:
    """Order the acts.

    Args:
        touches: For each variable, the axes it touches as the bits of a number; 0 leaves it out.
        shows: The same for each state; the axis of a state has its number, and is among those it touches.
        sizes: Number of values of each axis.

    Returns:
        Acts in rows: what, number of the variable, state or axis, place of its axis among those open.
    """
    acts = np.empty((2 * len(sizes) + len(touches) + len(shows), 3), dtype=np.int64)
    left, hidden = touches.copy(), shows.copy()
    alive = np.empty(len(sizes), dtype=np.int64)
    count = open_count = 0
    goal = choose_axis(left, hidden, sizes, alive[:0])
    while goal >= 0:
        asked = list_asked(goal, hidden)
        for variable in range(len(left)):
            if left[variable] & asked:
                count, open_count = open_axes(left[variable], alive, open_count, acts, count)
                acts[count] = ROWS, variable, 0
                left[variable] = 0
                count, open_count = close_axes(left, hidden, alive, open_count, acts, count + 1)
        for state in range(len(hidden)):
            if hidden[state] >> goal & 1:
                count, open_count = open_axes(hidden[state], alive, open_count, acts, count)
                place = find_place(alive, open_count, state)
                acts[count] = SHOW, state, place
                hidden[state] = 0
                open_count = remove_place(alive, open_count, place)
                count, open_count = close_axes(left, hidden, alive, open_count, acts, count + 1)
        goal = choose_axis(left, hidden, sizes, alive[:open_count])
    return acts[:count]


@njit(cache=True)
def list_asked(goal: int, hidden: Ints) -> int:
    """Give the axes whose variables must be through before one axis can be closed: its own, and its states'."""
    asked = 1 << goal
    for state in range(len(hidden)):
        if hidden[state] >> goal & 1:
            asked |= 1 << state
    return asked


@njit(cache=True)
def choose_axis(left: Ints, hidden: Ints, sizes: Ints, alive: Ints) -> int:
    """Choose the axis that can be closed with the smallest array; -1 when nothing is left."""
    already = 0
    for axis in alive:
        already |= 1 << axis
    every = 0
    for touched in left:
        every |= touched
    for touched in hidden:
        every |= touched
    best, smallest = -1, np.inf
    for axis in range(len(sizes)):
        if every >> axis & 1:
            entries = count_entries(already | find_needed(axis, left, hidden), sizes)
            if entries < smallest:
                best, smallest = axis, entries
    return best


@njit(cache=True)
def find_needed(goal: int, left: Ints, hidden: Ints) -> int:
    """Give all axes that are open at some time before one axis is closed."""
    asked = list_asked(goal, hidden)
    needed = asked
    for touched in left:
        if touched & asked:
            needed |= touched
    for touched in hidden:
        if touched >> goal & 1:
            needed |= touched
    return needed


@njit(cache=True)
def count_entries(axes: int, sizes: Ints) -> float:
    """Count the entries of an array with some axes."""
    entries = 1.0
    for axis in range(len(sizes)):
        if axes >> axis & 1:
            entries *= sizes[axis]
    return entries


@njit(cache=True)
def find_place(alive: Ints, open_count: int, axis: int) -> int:
    """Find the place of an axis among those open; -1 where it is not."""
    for place in range(open_count):
        if alive[place] == axis:
            return place
    return -1


@njit(cache=True)
def insert_place(alive: Ints, open_count: int, place: int, axis: int) -> int:
    """Put an axis among the open ones; give how many there are."""
    for later in range(open_count, place, -1):
        alive[later] = alive[later - 1]
    alive[place] = axis
    return open_count + 1


@njit(cache=True)
def remove_place(alive: Ints, open_count: int, place: int) -> int:
    """Take one of the open axes out; give how many are left."""
    for later in range(place, open_count - 1):
        alive[later] = alive[later + 1]
    return open_count - 1


@njit(cache=True)
def open_axes(touched: int, alive: Ints, open_count: int, acts: Ints, count: int) -> tuple[int, int]:
    """Open, before all others, the axes that are touched and not open yet; give the counts of acts and axes."""
    for axis in range(len(alive)):
        if touched >> axis & 1 and find_place(alive, open_count, axis) < 0:
            open_count = insert_place(alive, open_count, 0, axis)
            acts[count] = OPEN, axis, 0
            count += 1
    return count, open_count


@njit(cache=True)
def close_axes(
    left: Ints, hidden: Ints, alive: Ints, open_count: int, acts: Ints, count: int
) -> tuple[int, int]:
    """Close the open axes that nothing touches any more; give the counts of acts and axes."""
    still = 0
    for touched in left:
        still |= touched
    for touched in hidden:
        still |= touched
    for place in range(open_count - 1, -1, -1):
        axis = alive[place]
        if not still >> axis & 1:
            acts[count] = CLOSE, axis, place
            count += 1
            open_count = remove_place(alive, open_count, place)
    return count, open_count
