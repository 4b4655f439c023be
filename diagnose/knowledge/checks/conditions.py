"""Checks `too-many-branches` and `too-many-facts`: conditions that no evaluator takes.

Takes Located, gives faults; may import branches.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.branches import MAX_ATOMS, MAX_BRANCHES, TooManyBranchesError, expand_condition
from diagnose.knowledge.located import Located
from diagnose.knowledge.words import Condition
from diagnose.knowledge.yaml_nodes import Key


def check_conditions(base: Located) -> Iterator[Fault]:
    """Find conditions that hold in too many ways or ask for too many facts at once."""
    for spot, condition in _list_conditions(base):
        try:
            branches = expand_condition(condition)
        except TooManyBranchesError:
            wrong = f"the condition holds in more than {MAX_BRANCHES} ways"
            cure = "split it into a derived observation and a rule that uses it"
            yield base.fault(spot, "too-many-branches", wrong, cure)
            continue
        if max(map(len, branches)) > MAX_ATOMS:
            wrong, cure = f"more than {MAX_ATOMS} facts at once", "join some of them in a derived observation"
            yield base.fault(spot, "too-many-facts", wrong, cure)


def _list_conditions(base: Located) -> Iterator[tuple[Key, Condition]]:
    for name, rule in base.knowledge.rules.items():
        yield ("rules", name, "when"), rule.when
    for name, cause in base.knowledge.causes.items():
        for number, shift in enumerate(cause.circumstances):
            yield ("causes", name, "circumstances", number, "when"), shift.when
        for number, exclusion in enumerate(cause.ruled_out):
            yield ("causes", name, "ruled_out", number, "when"), exclusion.when
