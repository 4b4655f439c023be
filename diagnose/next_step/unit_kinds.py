"""The kinds of unit that differ in which causes they can have and which looks can be made on them.

Takes knowledge, gives truth tables; may import sight.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np

from diagnose.knowledge.acting import Inspection
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Condition
from diagnose.next_step.problem import Bools
from diagnose.ranking.sight import holds

# Every combination of structural values is looked at; more are not, and the last circumstances are left out.
MOST_COMBINATIONS = 20_000


@dataclass(frozen=True, eq=False)
class UnitKinds:
    """Which looks can be made together with which pairs of causes being possible.

    Attributes:
        looks: Whether a look can be made; kinds x looks, no row twice.
        pairs: Whether some unit of the kind can have either of two causes; kinds x causes x causes.
    """

    looks: Bools
    pairs: Bools


def list_unit_kinds(
    knowledge: Knowledge, causes: Iterable[str], looks: Mapping[str, Inspection]
) -> UnitKinds:
    """List the kinds of unit by structure: duty, motor, command and so on.

    Args:
        knowledge: The circumstances and what they rule out.
        causes: Causes in the order wanted; one may stand twice.
        looks: Looks by id.
    """
    out = _list_exclusions(knowledge)
    of_causes = [out.get(cause, ()) for cause in causes]
    of_looks = [look.excluded_when for look in looks.values()]
    units = list(_list_units(knowledge, [*of_causes, *of_looks]))
    possible, makeable = (
        np.array([[not any(holds(c, unit) for c in conditions) for conditions in rows] for unit in units])
        for rows in (of_causes, of_looks)
    )
    kinds, kind = np.unique(makeable, axis=0, return_inverse=True)
    pairs = []
    for number in range(len(kinds)):
        there = possible[kind.ravel() == number].astype(np.int64)
        pairs.append(there.T @ there > 0)
    return UnitKinds(kinds, np.array(pairs))


def _list_exclusions(knowledge: Knowledge) -> dict[str, tuple[Condition, ...]]:
    found = {name: tuple(out.when for out in cause.ruled_out) for name, cause in knowledge.causes.items()}
    for rule in knowledge.rules.values():
        if rule.concludes.ruled_out:
            found[rule.concludes.ruled_out] += (rule.when,)
    return found


def _list_units(
    knowledge: Knowledge, exclusions: Iterable[tuple[Condition, ...]]
) -> Iterator[frozenset[str]]:
    """Walk the combinations of the structural values that any exclusion asks for, as sets of atoms."""
    asked = {atom.name for conditions in exclusions for c in conditions for atom in c.atoms()}
    values = [
        [f"{name}={value}" for value in record.values]
        for name, record in knowledge.circumstances.items()
        if record.structural and name in asked
    ]
    while prod(map(len, values)) > MOST_COMBINATIONS:
        values.pop()
    yield from map(frozenset, product(*values))
