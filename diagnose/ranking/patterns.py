"""Derived observations that fired: which of them count, and in place of what.

Takes beliefs and the supports of derived observations, gives patterns with disjoint supports;
may import network.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diagnose.facts.model import Belief, Fact
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.network import Network


@dataclass(frozen=True)
class Pattern:
    """A derived observation that counts in place of everything it rests on.

    Attributes:
        support: The observations told that it replaces.
        likelihood: That of the least trusted belief in its support.
        facts: The entered facts behind it.
    """

    observation: str
    support: frozenset[str]
    likelihood: tuple[float, float]
    facts: tuple[Fact, ...]


def choose_patterns(
    knowledge: Knowledge,
    network: Network,
    told: Mapping[str, Belief],
    derived: Mapping[str, Iterable[str]],
) -> list[Pattern]:
    """Choose the derived observations that count, so that no two rest on one fact.

    Of nested supports the larger wins; of supports that overlap otherwise the one whose rule
    is `over` the other; an order that the rule base leaves open is settled by size, then id.
    A derived observation that no cause shows, or that rests on circumstances alone, replaces
    nothing.

    Args:
        knowledge: The rule base.
        network: Its network.
        told: What was told, by observation.
        derived: Entered atoms behind each derived observation that fired.

    Returns:
        The patterns that count, with disjoint supports.
    """
    linked = dict(zip(network.observations, network.tables.linked.tolist(), strict=True))
    found = [_pattern(name, atoms, told) for name, atoms in sorted(derived.items()) if linked[name]]
    waiting = sorted((p for p in found if p.facts), key=lambda p: (-len(p.support), p.observation))
    over = _orders(knowledge)
    chosen: list[Pattern] = []
    while waiting:
        pattern = next((p for p in waiting if not _is_beaten(p, waiting, over)), waiting[0])
        chosen.append(pattern)
        waiting = [p for p in waiting if not p.support & pattern.support]
    return chosen


def _pattern(name: str, atoms: Iterable[str], told: Mapping[str, Belief]) -> Pattern:
    names = {atom.partition("=")[0] for atom in atoms} | {name}
    beliefs = [told[n] for n in sorted(names) if n in told]
    pairs = [sorted(b.likelihood, reverse=True) for b in beliefs]
    weakest = min(pairs, key=lambda pair: pair[0] / pair[1] if pair[1] else float("inf"), default=[1.0, 1.0])
    return Pattern(
        name,
        frozenset(b.observation for b in beliefs),
        (weakest[0], weakest[1]),
        tuple(fact for b in beliefs for fact in b.facts),
    )


def _orders(knowledge: Knowledge) -> set[tuple[str, str]]:
    """List (winner, loser) pairs of derived observations that rules put in order."""
    orders = set()
    for rule in knowledge.rules.values():
        for other in rule.over:
            loser = knowledge.rules[other].concludes.observation if other in knowledge.rules else other
            if rule.concludes.observation and loser:
                orders.add((rule.concludes.observation, loser))
    return orders


def _is_beaten(pattern: Pattern, others: Collection[Pattern], over: Collection[tuple[str, str]]) -> bool:
    """Tell whether another pattern stands over this one though neither holds the other."""
    return any(
        other.support & pattern.support
        and not pattern.support >= other.support
        and (other.observation, pattern.observation) in over
        for other in others
    )
