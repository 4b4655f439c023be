"""The meaning of a rule, short and slow: fire every rule whose atoms are all known, until none is new.

Takes compiled rules and atoms, gives firings; may import compile. It knows nothing of stages,
so its agreement with an evaluator that runs stage by stage proves the stages as well.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.chaining.compile import CompiledRules, Firing


def run_plain(rules: CompiledRules, atoms: Iterable[str]) -> frozenset[Firing]:
    """Find every firing of the rules on the atoms.

    Args:
        rules: The compiled rules.
        atoms: What is known.

    Returns:
        One firing for each rule whose atoms are all known or concluded.
    """
    known = set(atoms)
    fired: set[Firing] = set()
    while True:
        holding = [rule for rule in rules.rules if known.issuperset(rule.atoms)]
        found = {Firing(rule.id, rule.atoms) for rule in holding}
        if found == fired:
            return frozenset(fired)
        fired = found
        known.update(rule.conclusion.atom for rule in holding if rule.conclusion.atom)
