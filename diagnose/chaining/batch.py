"""Rules on columns of facts: one column an atom, one place a case, all cases at once.

Takes compiled rules and the atoms of many cases, gives the firings of each, equal to those of
plain.py and engine.py; may import compile.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.chaining.compile import CompiledRule, CompiledRules, Firing

Flags = NDArray[np.bool_]
Places = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class _Stage:
    """Rules that do not depend on each other.

    Attributes:
        atoms: Rows of the atoms of all rules, end to end.
        starts: Where each rule's atoms begin among them.
        adds: Row of the atom that each rule adds; -1 where it adds none.
    """

    firings: tuple[Firing, ...]
    atoms: Places
    starts: Places
    adds: Places


@dataclass(frozen=True, eq=False)
class _Columns:
    """Rules laid out for columns: the row of each atom, and the stages in order."""

    rows: dict[str, int]
    stages: tuple[_Stage, ...]


_laid_out: dict[str, _Columns] = {}


def run_batch(rules: CompiledRules, cases: Sequence[Iterable[str]]) -> list[frozenset[Firing]]:
    """Find every firing of the rules on each of many cases.

    Args:
        rules: The compiled rules.
        cases: What is known of each case; atoms that no rule asks for add nothing.

    Returns:
        For each case, one firing for each rule whose atoms are all known or concluded.
    """
    columns = _lay_out(rules)
    known = _mark_known(columns, cases)
    found: list[list[Firing]] = [[] for _ in cases]
    for stage in columns.stages:
        fired: Flags = np.logical_and.reduceat(known[stage.atoms], stage.starts, axis=0)
        for rule, case in np.argwhere(fired).tolist():
            found[case].append(stage.firings[rule])
        for rule in np.flatnonzero(stage.adds >= 0).tolist():
            known[stage.adds[rule]] |= fired[rule]
    return [frozenset(firings) for firings in found]


def _lay_out(rules: CompiledRules) -> _Columns:
    """Lay the rules out once; their digest stands for them."""
    if rules.digest not in _laid_out:
        atoms = {a for rule in rules.rules for a in (*rule.atoms, rule.conclusion.atom) if a}
        rows = {atom: row for row, atom in enumerate(sorted(atoms))}
        stages = tuple(_lay_out_stage(stage, rows) for stage in rules.stages if stage)
        _laid_out[rules.digest] = _Columns(rows, stages)
    return _laid_out[rules.digest]


def _lay_out_stage(rules: Collection[CompiledRule], rows: dict[str, int]) -> _Stage:
    lengths = [len(rule.atoms) for rule in rules]
    return _Stage(
        firings=tuple(Firing(rule.id, rule.atoms) for rule in rules),
        atoms=np.array([rows[atom] for rule in rules for atom in rule.atoms], dtype=np.int64),
        starts=np.cumsum([0, *lengths[:-1]], dtype=np.int64),
        adds=np.array([rows.get(rule.conclusion.atom, -1) for rule in rules], dtype=np.int64),
    )


def _mark_known(columns: _Columns, cases: Sequence[Iterable[str]]) -> Flags:
    known = np.zeros((len(columns.rows), len(cases)), dtype=np.bool_)
    for place, atoms in enumerate(cases):
        known[[columns.rows[atom] for atom in atoms if atom in columns.rows], place] = True
    return known
