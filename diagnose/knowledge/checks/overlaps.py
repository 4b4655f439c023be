"""Check `overlap`: patterns that rest on a common fact are nested, or a rule says which one stands.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations, product
from typing import NamedTuple

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Rule
from diagnose.knowledge.supports import can_hold, expand_rule, list_inputs, name_of


class _Way(NamedTuple):
    """One branch of a rule: its atoms, and all observations behind it."""

    atoms: frozenset[str]
    observations: frozenset[str]


def check_overlaps(base: Located) -> Iterator[Fault]:
    """Find pairs of rules that can fire on a common observation with neither said to stand over the other."""
    concluding = [rule for rule in base.knowledge.rules.values() if rule.concludes.observation]
    inputs = list_inputs(base.knowledge)
    ways = {rule.id: _list_ways(base.knowledge, rule, inputs) for rule in concluding}
    behind = {name: frozenset().union(*(way.observations for way in of)) for name, of in ways.items()}
    for one, other in combinations(concluding, 2):
        if behind[one.id].isdisjoint(behind[other.id]) or one.concludes == other.concludes:
            continue
        if _is_ordered(one, other) or _is_ordered(other, one):
            continue
        pairs = product(ways[one.id], ways[other.id])
        common = next((c for a, b in pairs if (c := _clash(base.knowledge, a, b))), "")
        if common:
            wrong = (
                f"'{one.id}' and '{other.id}' can both fire on '{common}' and neither stands over the other"
            )
            yield base.fault(("rules", other.id), "overlap", wrong, "order them by `over`")


def _is_ordered(rule: Rule, other: Rule) -> bool:
    return other.id in rule.over or other.concludes.observation in rule.over


def _list_ways(knowledge: Knowledge, rule: Rule, inputs: Mapping[str, frozenset[str]]) -> tuple[_Way, ...]:
    ways = []
    for branch in expand_rule(rule):
        direct = {name_of(atom) for atom in branch}
        names = direct.union(*(inputs.get(name, ()) for name in direct))
        ways.append(_Way(branch, frozenset(names & knowledge.observations.keys())))
    return tuple(ways)


def _clash(knowledge: Knowledge, one: _Way, other: _Way) -> str:
    """Name an observation that both rest on, where neither support holds the other and both can be."""
    common = one.observations & other.observations
    if not common or one.observations < other.observations or other.observations < one.observations:
        return ""
    return min(common) if can_hold(knowledge, one.atoms | other.atoms) else ""
