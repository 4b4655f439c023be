"""Conditions as branches: the sets of atoms each of which makes the condition hold.

Takes a condition, gives its minimal disjunctive normal form; may import words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import reduce
from itertools import combinations

from diagnose.knowledge.words import Atom, Condition

Branches = frozenset[frozenset[str]]

MAX_BRANCHES = 32
# The rule engine holds at most this many facts for one match.
MAX_ATOMS = 16


class TooManyBranchesError(ValueError):
    """A condition, or a part of it, holds in more than 32 ways."""


def expand_condition(condition: Condition, spell: Callable[[Atom], str] = str) -> Branches:
    """Expand a condition into its branches.

    `at_least n of` becomes every choice of n members, since no engine counts. A branch that
    holds only where a smaller one holds as well is dropped: it would add facts to the support
    of a conclusion that does not need them.

    Args:
        condition: What a rule asks for.
        spell: Spells an atom as the evaluators see it.

    Raises:
        TooManyBranchesError: More than 32 branches.
    """
    if condition.atom is not None:
        return frozenset({frozenset({spell(condition.atom)})})
    if condition.at_least is not None:
        members = [expand_condition(part, spell) for part in condition.of]
        return _either(_every(chosen) for chosen in combinations(members, condition.at_least))
    needed = [expand_condition(part, spell) for part in condition.all]
    if condition.any:
        needed.append(_either(expand_condition(part, spell) for part in condition.any))
    return _every(needed)


def _either(parts: Iterable[Branches]) -> Branches:
    return _keep_minimal(branch for part in parts for branch in part)


def _every(parts: Iterable[Branches]) -> Branches:
    return reduce(lambda left, right: _keep_minimal(a | b for a in left for b in right), parts)


def _keep_minimal(branches: Iterable[frozenset[str]]) -> Branches:
    kept: list[frozenset[str]] = []
    for branch in sorted(set(branches), key=len):
        if not any(smaller <= branch for smaller in kept):
            kept.append(branch)
    if len(kept) > MAX_BRANCHES:
        raise TooManyBranchesError
    return frozenset(kept)
