"""Whether "not seen" means anything: absence counts only where presence could have been seen.

Takes beliefs and atoms, gives the absent beliefs that cannot count and the observations that facts prove
absent; may import knowledge, facts and network.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from diagnose.facts.model import Belief, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.seeing import SightCondition
from diagnose.knowledge.words import Condition
from diagnose.ranking.network import Network


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


def find_denied(
    knowledge: Knowledge, network: Network, told: Mapping[str, Belief], atoms: Collection[str]
) -> dict[str, tuple[float, float]]:
    """Find the observations that facts prove absent, with the likelihood pair of the surest such fact.

    Args:
        knowledge: The rule base.
        network: Its network; what nothing shows needs no denial.
        told: What was told, by observation; what was told present stays told.
        atoms: All atoms known of the unit.

    Returns:
        (P(told | present), P(told | absent)) by observation; a member of a group of which another
        member was told is left to its group.
    """
    denials = {
        name: min(pairs, key=_doubt)
        for name, condition in knowledge.conditions.items()
        if condition.denies and (pairs := [_deny(part, told) for part in _list_holding(condition, atoms)])
    }
    denied = {}
    for name, record in knowledge.observations.items() if denials else ():
        if denials.keys().isdisjoint(record.seen_only_if):
            continue
        pairs = [denials[n] for n in record.seen_only_if if n in denials]
        if network.tables.linked[network.index[name]] and not _is_told(knowledge, name, told):
            denied[name] = min(pairs, key=_doubt)
    return denied


def _list_holding(condition: SightCondition, atoms: Collection[str]) -> list[Condition]:
    """List the parts that hold, looking at those alone that name something known."""
    known = condition.parts_by_atom.keys() & atoms
    return [part for atom in sorted(known) for part in condition.parts_by_atom[atom] if holds(part, atoms)]


def _doubt(pair: tuple[float, float]) -> float:
    return pair[0] / pair[1]


def _is_told(knowledge: Knowledge, name: str, told: Mapping[str, Belief]) -> bool:
    members = knowledge.group_of(name) or (name,)
    return any(member in told and told[member].state is State.PRESENT for member in members)


def _deny(part: Condition, told: Mapping[str, Belief]) -> tuple[float, float]:
    """Give the pair of an absence that rests on the least trusted of a condition's facts."""
    pairs = [told[atom.name].likelihood for atom in part.atoms() if atom.name in told]
    least = max((min(pair) / max(pair) for pair in pairs), default=0.0)
    return least / (1 + least), 1 / (1 + least)


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
    if condition.mentions.isdisjoint(atoms):
        return False
    if condition.atom is not None:
        return True
    if condition.at_least is not None:
        return sum(holds(part, atoms) for part in condition.of) >= condition.at_least
    every = all(holds(part, atoms) for part in condition.all)
    return every and (not condition.any or any(holds(part, atoms) for part in condition.any))
