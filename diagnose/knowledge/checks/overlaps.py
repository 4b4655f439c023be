"""Check `overlap`: patterns that rest on a common fact are nested, or a rule says which one stands.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Rule
from diagnose.knowledge.supports import can_hold, expand_rule, list_inputs, name_of


def check_overlaps(base: Located) -> Iterator[Fault]:
    """Find pairs of rules that can fire on a common observation with neither said to stand over the other."""
    knowledge = base.knowledge
    concluding = [rule for rule in knowledge.rules.values() if rule.concludes.observation]
    ways = {rule.id: _list_ways(knowledge, rule) for rule in concluding}
    ordered = {
        frozenset((rule.id, other.id))
        for rule in concluding
        for other in concluding
        if {other.id, other.concludes.observation} & set(rule.over)
    }
    for one, other in combinations(concluding, 2):
        pair = frozenset((one.id, other.id))
        if one.concludes == other.concludes or pair in ordered:
            continue
        common = next((c for a in ways[one.id] for b in ways[other.id] if (c := _clash(knowledge, a, b))), "")
        if common:
            wrong = (
                f"'{one.id}' and '{other.id}' can both fire on '{common}' and neither stands over the other"
            )
            yield base.fault(("rules", other.id), "overlap", wrong, "order them by `over`")


def _list_ways(knowledge: Knowledge, rule: Rule) -> tuple[frozenset[str], ...]:
    """Give the observations behind each branch, with what stands behind derived ones."""
    inputs = list_inputs(knowledge)
    return tuple(
        branch | {f"{name}=" for atom in branch for name in inputs.get(name_of(atom), ())}
        for branch in expand_rule(rule)
    )


def _clash(knowledge: Knowledge, one: frozenset[str], other: frozenset[str]) -> str:
    """Name an observation that both rest on, where neither support holds the other and both can be."""
    first, second = ({name_of(a) for a in way} & set(knowledge.observations) for way in (one, other))
    common = first & second
    if not common or first < second or second < first:
        return ""
    known = [atom for atom in one | other if not atom.endswith("=")]
    return min(common) if can_hold(knowledge, known) else ""
