"""Atoms: the strings `name=value` that every rule evaluator sees.

Takes beliefs and circumstances, gives sets of atoms; may import facts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from diagnose.facts.model import Belief, CircumstanceFact, State

CERTAIN = ".certain"


def spell_atom(name: str, value: str, *, certain: bool = False) -> str:
    """Spell one atom.

    Args:
        name: Observation or circumstance.
        value: State of the observation, or value of the circumstance.
        certain: True for the atom of a circumstance that is beyond doubt.
    """
    return f"{name}={value}{CERTAIN if certain else ''}"


def name_of(atom: str) -> str:
    """Give the observation or circumstance that an atom speaks of."""
    return atom.partition("=")[0]


def list_atoms(beliefs: Iterable[Belief], circumstances: Collection[CircumstanceFact]) -> frozenset[str]:
    """List the atoms of everything known; an unknown observation gives none.

    Args:
        beliefs: All origins' word on each observation.
        circumstances: Values of circumstances; two values of one circumstance give two atoms.

    Returns:
        `observation=present` or `observation=absent`, `circumstance=value`, and beside it
        `circumstance=value.certain` where the value is certain.
    """
    seen = {spell_atom(b.observation, b.state) for b in beliefs if b.state is not State.UNKNOWN}
    said = {spell_atom(c.circumstance, c.value) for c in circumstances}
    certain = {spell_atom(c.circumstance, c.value, certain=True) for c in circumstances if c.certain}
    return frozenset(seen | said | certain)
