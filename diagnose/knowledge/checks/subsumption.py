"""Check `subsumed`: no rule fires only where another with the same conclusion fires anyway.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from diagnose.errors import Fault
from diagnose.knowledge.branches import Branches
from diagnose.knowledge.located import Located
from diagnose.knowledge.supports import expand_rule


def check_subsumed(base: Located) -> Iterator[Fault]:
    """Find rules that another makes needless, and accepted ones that are no longer."""
    accepted = {(a.rule, a.by): n for n, a in enumerate(base.knowledge.accepted.subsumed)}
    found = set()
    for narrow, wide in _find_pairs(base):
        found.add((narrow, wide))
        if (narrow, wide) not in accepted:
            wrong = f"'{narrow}' fires only where '{wide}' fires too, and concludes the same"
            yield base.fault(("rules", narrow), "subsumed", wrong, "drop it, or accept it with the reason")
    for pair, number in accepted.items():
        if pair not in found:
            wrong = f"'{pair[1]}' does not subsume '{pair[0]}'"
            at = ("subsumed", number)
            yield base.fault(("whole", "accepted.yaml", *at), "stale", wrong, "remove the entry")


def _find_pairs(base: Located) -> Iterator[tuple[str, str]]:
    by_end: dict[str, list[tuple[str, Branches]]] = {}
    for name, rule in base.knowledge.rules.items():
        branches = expand_rule(rule)
        if branches:
            by_end.setdefault(str(rule.concludes), []).append((name, branches))
    for rules in by_end.values():
        for (narrow, ways), (wide, other) in permutations(rules, 2):
            # of two that hold alike the later one is needless
            if _implies(ways, other) and (narrow > wide or not _implies(other, ways)):
                yield narrow, wide


def _implies(ways: Branches, other: Branches) -> bool:
    return all(any(weaker <= way for weaker in other) for way in ways)
