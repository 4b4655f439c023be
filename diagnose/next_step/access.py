"""Access as a state machine: minutes and ways between the states that can be had today.

Takes the access records, gives an AccessMap; may import knowledge and ranking's conditions.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Condition
from diagnose.next_step.problem import Floats, Ints
from diagnose.ranking.sight import holds

REACH = "reach"
UNKNOWN = "unknown"


@dataclass(frozen=True, eq=False)
class AccessMap:
    """The access states and the shortest ways between those that can be had.

    Attributes:
        states: Ids in the order of rows and columns.
        minutes: Shortest minutes from row to column; infinite where there is no way today.
        following: Next state on that way; -1 where there is none.
        home: Place of the state the unit is left in.
    """

    states: tuple[str, ...]
    minutes: Floats
    following: Ints
    home: int

    def index(self, state: str) -> int:
        """Give the place of a state."""
        return self.states.index(state)

    def path(self, start: str, end: str) -> tuple[str, ...]:
        """List the states passed through, both ends included; nothing where there is no way."""
        here, goal = self.index(start), self.index(end)
        if not np.isfinite(self.minutes[here, goal]):
            return ()
        passed = [here]
        while passed[-1] != goal:
            passed.append(int(self.following[passed[-1], goal]))
        return tuple(self.states[place] for place in passed)


def add_unknowns(knowledge: Knowledge, atoms: Collection[str]) -> frozenset[str]:
    """Add "nobody knows" for each circumstance that has such a value and was not told.

    What is excluded where nobody knows stays excluded until somebody says otherwise.

    Args:
        knowledge: Names the values; one that starts with "unknown" means nobody knows.
        atoms: Known atoms.

    Returns:
        The atoms that exclusions are judged on.
    """
    told = {atom.partition("=")[0] for atom in atoms}
    silent = {
        f"{name}={value}"
        for name, circumstance in knowledge.circumstances.items()
        if name not in told
        for value in circumstance.values
        if value.startswith(UNKNOWN)
    }
    return frozenset(atoms) | silent


def is_excluded(conditions: Collection[Condition], atoms: Collection[str]) -> bool:
    """Tell whether any of the conditions holds."""
    return bool(conditions) and any(holds(condition, atoms) for condition in conditions)


def list_available(knowledge: Knowledge, atoms: Collection[str]) -> frozenset[str]:
    """List the access states to be had today.

    Args:
        knowledge: The access states, what `reach` leaves, and what excludes a state.
        atoms: Known atoms, the unknowns added.

    Returns:
        Ids; with several values of `reach` only what all of them leave.
    """
    access = knowledge.access
    available = set(access.states)
    for value, states in access.reach.items():
        if f"{REACH}={value}" in atoms:
            available &= set(states)
    return frozenset(s for s in available if not is_excluded(access.states[s].excluded_when, atoms))


def compile_access(knowledge: Knowledge, available: Collection[str]) -> AccessMap:
    """Find the shortest ways between the available states, each change paid both ways.

    Args:
        knowledge: The access states and changes.
        available: States that may be entered.

    Returns:
        The map; the start state may always be entered, for the unit is closed up to it.
    """
    states = tuple(knowledge.access.states)
    open_to = [s in available or s == knowledge.access.start for s in states]
    minutes = np.full((len(states), len(states)), np.inf)
    following = np.full(minutes.shape, -1)
    np.fill_diagonal(minutes, 0.0)
    for change in knowledge.access.changes:
        start, end = states.index(change.start), states.index(change.end)
        if open_to[end] and change.minutes < minutes[start, end]:
            minutes[start, end], following[start, end] = change.minutes, end
    for middle in range(len(states)):
        detour = minutes[:, middle, None] + minutes[middle]
        shorter = detour < minutes
        minutes = np.where(shorter, detour, minutes)
        following = np.where(shorter, following[:, middle, None], following)
    return AccessMap(states, minutes, following, states.index(knowledge.access.start))
