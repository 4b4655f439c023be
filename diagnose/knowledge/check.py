"""All checks of a rule base that need nothing but the rule base.

Takes Located, gives faults; may import the checks and the graph.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice

from diagnose.errors import Fault
from diagnose.knowledge import graph
from diagnose.knowledge.checks.computed import check_computed
from diagnose.knowledge.checks.conditions import check_conditions
from diagnose.knowledge.checks.confirmation import check_confirmations
from diagnose.knowledge.checks.correlation import check_correlated
from diagnose.knowledge.checks.direct_links import check_direct_links
from diagnose.knowledge.checks.double_counting import check_absorbed_links, check_shifted_links
from diagnose.knowledge.checks.overlaps import check_overlaps
from diagnose.knowledge.checks.subsumption import check_subsumed
from diagnose.knowledge.checks.writing import check_lengths, check_placeholders, check_shares
from diagnose.knowledge.located import Located

CHECKS: tuple[Callable[[Located], Iterator[Fault]], ...] = (
    graph.check_orphans,
    graph.check_cycles,
    graph.check_reachable,
    check_conditions,
    check_computed,
    check_confirmations,
    check_subsumed,
    check_absorbed_links,
    check_shifted_links,
    check_overlaps,
    check_direct_links,
    check_correlated,
    check_lengths,
    check_placeholders,
    check_shares,
)
# Findings that a rule base may be used with; all others are faults.
WARNINGS = frozenset({"shares"})
# Two thousand faults of one kind are one mistake, and looking for them all takes time.
MOST_OF_A_CHECK = 200


def check_knowledge(base: Located) -> Iterator[Fault]:
    """Run all checks, each to its first two hundred findings.

    Args:
        base: A rule base that loaded without fault.

    Returns:
        The findings, check by check.
    """
    for check in CHECKS:
        yield from first_of(check(base))


def first_of(findings: Iterable[Fault]) -> list[Fault]:
    """Take the first two hundred findings of one check; the rest is not even looked for."""
    return list(islice(findings, MOST_OF_A_CHECK))
