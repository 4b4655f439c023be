"""Check `correlated`: observations that the same causes show belong to one group, pattern or state.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.supports import list_inputs

FEWEST_CAUSES = 4
LEAST_STRENGTH = 0.7


def check_correlated(base: Located) -> Iterator[Fault]:
    """Find pairs often shown by the same causes and not joined, and accepted ones that are not such."""
    accepted = {frozenset(a.observations): n for n, a in enumerate(base.knowledge.accepted.correlated)}
    found = dict(find_correlated(base.knowledge))
    for pair, causes in found.items():
        if pair not in accepted:
            one, other = sorted(pair)
            wrong = f"'{one}' and '{other}' are both often shown by {', '.join(causes[:6])}"
            cure = "join them in a group, pattern or state, or accept it with the reason"
            yield base.fault(("observations", one), "correlated", wrong, cure)
    for pair, number in accepted.items():
        if pair not in found:
            wrong = f"{' and '.join(sorted(pair))} are no longer correlated or are joined"
            at = ("correlated", number)
            yield base.fault(("whole", "accepted.yaml", *at), "stale", wrong, "remove the entry")


def find_correlated(knowledge: Knowledge) -> Iterator[tuple[frozenset[str], list[str]]]:
    """Walk the pairs of observations with at least four causes that often show both, joined nowhere."""
    causes: dict[tuple[str, str], list[str]] = {}
    for cause in knowledge.causes:
        for pair in _list_often_together(knowledge, cause):
            causes.setdefault(pair, []).append(cause)
    joined = _list_joined(knowledge)
    for pair, common in sorted(causes.items()):
        if len(common) >= FEWEST_CAUSES and not any(set(pair) <= together for together in joined):
            yield frozenset(pair), common


def _list_often_together(knowledge: Knowledge, cause: str) -> set[tuple[str, str]]:
    """List the pairs that a cause often shows in one of its faces; what only another face shows is apart."""
    pairs: set[tuple[str, str]] = set()
    links = tuple(knowledge.all_links(cause))
    for face in (None, *knowledge.causes[cause].modes):
        strong = {
            link.to
            for mode, link in links
            if mode in (None, face) and knowledge.strength(link) >= LEAST_STRENGTH
        }
        pairs.update(combinations(sorted(strong), 2))
    return pairs


def _list_joined(knowledge: Knowledge) -> list[frozenset[str]]:
    """List the sets of observations that a group, a pattern with its inputs, or a state joins."""
    groups = [frozenset(group.members) for group in knowledge.groups.values()]
    patterns = [behind | {pattern} for pattern, behind in list_inputs(knowledge).items()]
    states = [frozenset(link.to for link in state.links) for state in knowledge.consequences.values()]
    return groups + patterns + states
