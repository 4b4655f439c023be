"""Derived observations that fired: which of them count, and in place of what.

Takes beliefs and the supports of derived observations, gives patterns with disjoint supports;
may import network, chaining.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diagnose.chaining.atoms import name_of
from diagnose.chaining.trace import Chained
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
    knowledge: Knowledge, network: Network, told: Mapping[str, Belief], chained: Chained
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
        chained: What the rules concluded.

    Returns:
        The patterns that count, with disjoint supports.
    """
    derived = sorted(chained.derived.items())
    linked = network.tables.linked
    found = [_pattern(name, atoms, told) for name, atoms in derived if linked[network.index[name]]]
    waiting = sorted((p for p in found if p.facts), key=lambda p: (-len(p.support), p.observation))
    orders = list_orders(knowledge) if len(waiting) > 1 else frozenset()
    chosen: list[Pattern] = []
    while waiting:
        unbeaten = (p for p in waiting if not _is_beaten(p, waiting, orders))
        pattern = next(unbeaten, waiting[0])
        chosen.append(pattern)
        waiting = [p for p in waiting if not p.support & pattern.support]
    return chosen


def _pattern(name: str, atoms: Iterable[str], told: Mapping[str, Belief]) -> Pattern:
    names = {name_of(atom) for atom in atoms} | {name}
    beliefs = [told[n] for n in sorted(names) if n in told]
    pairs = [(max(b.likelihood), min(b.likelihood)) for b in beliefs]
    weakest = max(pairs, key=lambda pair: pair[1] / pair[0], default=(1.0, 1.0))
    return Pattern(
        name,
        frozenset(b.observation for b in beliefs),
        weakest,
        tuple(fact for b in beliefs for fact in b.facts),
    )


def list_orders(knowledge: Knowledge) -> frozenset[tuple[str, str]]:
    """List the (winner, loser) pairs of derived observations that rules put in order.

    Args:
        knowledge: The rule base; `over` names rules or the observations they conclude.

    Returns:
        The pairs.
    """
    return frozenset(
        (winner, loser)
        for rule in knowledge.rules.values()
        if (winner := rule.concludes.observation)
        for other in rule.over
        if (loser := _concluded_by(knowledge, other))
    )


def _concluded_by(knowledge: Knowledge, name: str) -> str | None:
    rule = knowledge.rules.get(name)
    return rule.concludes.observation if rule else name


def _is_beaten(pattern: Pattern, others: Iterable[Pattern], orders: Collection[tuple[str, str]]) -> bool:
    """Tell whether another pattern stands over this one though neither holds the other."""
    return any(
        other.support & pattern.support
        and not pattern.support >= other.support
        and (other.observation, pattern.observation) in orders
        for other in others
    )
