"""From facts of several origins to one belief an observation, and from several pieces of evidence to one.

Takes facts and evidence, gives beliefs and evidence; may import facts.model.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import fields
from functools import lru_cache
from itertools import groupby
from math import prod

from diagnose.facts.model import Belief, Evidence, Fact

SAYS_NOTHING = (1.0, 1.0)


def combine_facts(facts: Iterable[Fact]) -> tuple[Belief, ...]:
    """Multiply the word of all origins on each observation.

    Args:
        facts: Facts in any order; those that a repair made stale are already left out.

    Returns:
        One belief an observation, sorted by observation.
    """
    found = sorted(facts)
    return tuple(
        _combine(observation, tuple(group))
        for observation, group in groupby(found, key=lambda fact: fact.observation)
    )


def _combine(observation: str, facts: tuple[Fact, ...]) -> Belief:
    pairs = [fact.likelihood for fact in facts]
    speaks_for = any(present > absent for present, absent in pairs)
    speaks_against = any(present < absent for present, absent in pairs)
    return Belief(observation, multiply_pairs(pairs), facts, speaks_for and speaks_against)


def multiply_pairs(pairs: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Multiply likelihood pairs; an equal yes and no cancel exactly.

    Args:
        pairs: (P(told | present), P(told | absent)) of each origin.

    Returns:
        The product, scaled to add up to 1; (1, 1) where it says nothing, as it does when two
        origins that leave no doubt oppose each other.
    """
    return _multiply(tuple(pairs))


# a backlog has the same few pairs of trust again and again
@lru_cache(maxsize=4_096)
def _multiply(pairs: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    counts = Counter(pairs)
    present = prod(pair[0] for pair in _uncancelled(counts))
    absent = prod(pair[1] for pair in _uncancelled(counts))
    if present == absent or _is_opposed(counts):
        return SAYS_NOTHING
    total = present + absent
    return present / total, absent / total


def _is_opposed(counts: Counter[tuple[float, float]]) -> bool:
    """Tell whether one origin leaves no doubt of presence and another none of absence."""
    return any(present == 0 for present, _ in counts) and any(absent == 0 for _, absent in counts)


def _uncancelled(counts: Counter[tuple[float, float]]) -> list[tuple[float, float]]:
    """List the pairs left after striking each against its mirror image, in a fixed order."""
    left = {pair: n - counts.get((pair[1], pair[0]), 0) for pair, n in counts.items()}
    return [pair for pair in sorted(left) for _ in range(left[pair])]


def merge_evidence(one: Evidence, other: Evidence) -> Evidence:
    """Put two pieces of evidence together, whatever each holds."""
    return Evidence(
        **{part.name: (*getattr(one, part.name), *getattr(other, part.name)) for part in fields(Evidence)}
    )
