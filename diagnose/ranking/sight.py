"""Whether "not seen" means anything: absence counts only where presence could have been seen.

Takes beliefs and atoms, gives the absent beliefs that cannot count; may import knowledge, facts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from diagnose.facts.model import Belief, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Condition


def find_unseen(knowledge: Knowledge, beliefs: Iterable[Belief], atoms: Collection[str]) -> dict[str, str]:
    """Find the absent beliefs whose presence could not have been seen.

    Args:
        knowledge: The rule base.
        beliefs: What was told.
        atoms: All atoms known of the unit.

    Returns:
        The sight condition that fails, by observation.
    """
    unseen = {}
    for belief in beliefs:
        if belief.state is State.ABSENT:
            needs = knowledge.observations[belief.observation].seen_only_if
            failing = [n for n in needs if _fails(knowledge, n, atoms)]
            if failing:
                unseen[belief.observation] = failing[0]
    return unseen


def _fails(knowledge: Knowledge, condition: str, atoms: Collection[str]) -> bool:
    return any(holds(part, atoms) for part in knowledge.conditions[condition].fails_when)


def holds(condition: Condition, atoms: Collection[str]) -> bool:
    """Tell whether a condition holds on what is known.

    Args:
        condition: Any condition on atoms.
        atoms: Known atoms, as `name=value`.

    Returns:
        True when it holds; what is unknown makes no atom hold.
    """
    if condition.atom is not None:
        return str(condition.atom) in atoms
    if condition.at_least is not None:
        return sum(holds(part, atoms) for part in condition.of) >= condition.at_least
    every = all(holds(part, atoms) for part in condition.all)
    return every and (not condition.any or any(holds(part, atoms) for part in condition.any))
