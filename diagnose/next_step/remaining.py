"""What is still faulty after some repairs: exact masses over sets of remaining elements.

Takes hypotheses and repairs, gives tables that move mass as repairs are tried; may import problem.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.next_step.problem import Bools, Floats, Hypotheses, Ints, RepairOption


@dataclass(frozen=True, eq=False)
class Remaining:
    """Every set of elements that may remain, and where a cure of one element leads.

    The first column of a mass is the empty set (the unit works), the last is always 0: it
    stands for sets that cannot occur. "Still faulty after this repair" needs no rule of its
    own, because the mass of the first column is what still-faulty strikes.

    Attributes:
        start: Column of each hypothesis.
        holds: 1 where the set of a column holds the element; elements x columns. The last
            row is an element that no set holds.
        cured_from: Column whose mass a cure of the element brings into this column.
        cures: Elements each repair puts right, filled up with the last row of `holds`.
        success: Chance of one try of each repair.
    """

    start: Ints
    holds: Floats
    cured_from: Ints
    cures: Ints
    success: Floats

    @property
    def columns(self) -> int:
        """Count the columns of a mass."""
        return int(self.holds.shape[1])


def compile_remaining(hypotheses: Hypotheses, repairs: tuple[RepairOption, ...]) -> Remaining:
    """List the sets that may remain and the moves between them.

    A set with an element that no repair cures can only be handed over, so all such sets
    are one column.

    Args:
        hypotheses: The sets of faulty elements.
        repairs: The repairs that can be used at all.

    Returns:
        The tables that `spread_mass` and `try_repairs` work on.
    """
    count = len(hypotheses.elements)
    curable = np.zeros(count, dtype=bool)
    for repair in repairs:
        curable[list(repair.cures)] = True
    bits = _encode_sets(hypotheses.members, curable)
    sets = _close_downwards(bits, np.flatnonzero(curable))
    holds, cured_from = _tabulate_cures(sets, count)
    return Remaining(
        start=np.searchsorted(sets, bits),
        holds=holds,
        cured_from=cured_from,
        cures=_pad_cures(repairs, count),
        success=np.array([r.success for r in repairs], dtype=float),
    )


def _encode_sets(members: Bools, curable: Bools) -> Ints:
    """Encode each set as bits; a set that cannot be cured is the one bit above all elements."""
    count = members.shape[1]
    bits = members.astype(np.int64) @ (np.int64(1) << np.arange(count, dtype=np.int64))
    hopeless = (members & ~curable).any(axis=1)
    return np.where(hopeless, np.int64(1) << count, bits)


def _close_downwards(bits: Ints, elements: Ints) -> Ints:
    """Add every set that cures can lead to, the empty one included."""
    sets = np.unique(bits)
    for element in elements:
        sets = np.unique(np.concatenate((sets, sets & ~(np.int64(1) << element))))
    return np.unique(np.concatenate((np.zeros(1, dtype=np.int64), sets)))


def _tabulate_cures(sets: Ints, count: int) -> tuple[Floats, Ints]:
    """Tell for each element which sets hold it and which set a cure would bring here."""
    none = len(sets)
    holds = np.zeros((count + 1, none + 1))
    cured_from = np.full((count + 1, none + 1), none)
    masks = np.int64(1) << np.arange(count, dtype=np.int64)
    held = (sets & masks[:, None]) != 0
    holds[:count, :none] = held
    fuller = sets | masks[:, None]
    place = np.minimum(np.searchsorted(sets, fuller), none - 1)
    known = ~held & (sets[place] == fuller)
    cured_from[:count, :none] = np.where(known, place, none)
    return holds, cured_from


def _pad_cures(repairs: tuple[RepairOption, ...], count: int) -> Ints:
    """Line the cured elements up in columns, filled up with the element nothing holds."""
    width = max((len(r.cures) for r in repairs), default=1)
    rows = [[*r.cures, *[count] * (width - len(r.cures))] for r in repairs]
    return np.array(rows, dtype=np.int64).reshape(len(repairs), width)


def spread_mass(remaining: Remaining, weights: Floats) -> Floats:
    """Turn weights of hypotheses into masses of the sets that remain before any repair.

    Args:
        remaining: The tables.
        weights: Scenarios x hypotheses.

    Returns:
        Scenarios x columns, each row adding up to the row of `weights`.
    """
    places = np.zeros((len(remaining.start), remaining.columns))
    places[np.arange(len(remaining.start)), remaining.start] = 1.0
    return np.asarray(weights @ places)


def try_repairs(remaining: Remaining, mass: Floats, chosen: Ints) -> Floats:
    """Give the masses after one try of a repair in each scenario.

    Each faulty element that the repair cures is put right with the repair's chance of
    success, independently of the others.

    Args:
        remaining: The tables.
        mass: Scenarios x columns.
        chosen: Repair tried in each scenario.

    Returns:
        The new masses; the first column is what works now.
    """
    success, cures = remaining.success[chosen][:, None], remaining.cures[chosen].T
    mass = _cure(remaining, mass, cures[0], success)
    for element in cures[1:]:
        rows = np.flatnonzero(element < len(remaining.holds) - 1)  # the others are filled up
        mass[rows] = _cure(remaining, mass[rows], element[rows], success[rows])
    return mass


def _cure(remaining: Remaining, mass: Floats, element: Ints, success: Floats) -> Floats:
    """Move the mass of sets with the element to the sets without it, by the chance of success."""
    offsets = np.arange(len(mass))[:, None] * remaining.columns
    moved = np.take(mass, remaining.cured_from[element] + offsets)
    return np.asarray(mass * (1.0 - success * remaining.holds[element]) + success * moved)


def strike_working(mass: Floats) -> Floats:
    """Condition on "still faulty" by dropping what would work, without scaling."""
    struck = mass.copy()
    struck[:, 0] = 0.0
    return struck
