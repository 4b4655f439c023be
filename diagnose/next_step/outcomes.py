"""What an inspection may show, and how probable that is under each weighed set.

Takes observations and their chances, gives outcomes as evidence with probabilities; may import
knowledge and problem. Predicts plain observations only, never derived ones.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from diagnose.facts.model import Belief, State
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.problem import Floats

Evidence = tuple[tuple[str, State], ...]
MOST_OUTCOMES = 12
NEVER = 1e-300


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What an inspection may show.

    Attributes:
        evidence: Observations with the state each outcome gives them.
        chances: P(outcome | set); outcomes x sets.
    """

    evidence: tuple[Evidence, ...]
    chances: Floats


def list_known(knowledge: Knowledge, beliefs: Iterable[Belief]) -> frozenset[str]:
    """List the observations not worth asking: beyond doubt, implied by their group, or asked in vain."""
    told = tuple(beliefs)
    hard = {b.observation: b.state for b in told if b.is_hard}
    in_vain = {b.observation for b in told if b.state is State.UNKNOWN and not b.contradicted}
    implied = {
        member
        for group in knowledge.groups.values()
        if any(hard.get(m) is State.PRESENT for m in group.members)
        for member in group.members
    }
    return frozenset(hard) | implied | in_vain


def list_outcomes(
    knowledge: Knowledge,
    revealed: Collection[str],
    told: Mapping[str, tuple[float, float]],
    shown: Mapping[str, Floats],
) -> Outcomes:
    """List what looking at some observations may show.

    Members of one ordered group are one variable: the first that shows, or none of those looked
    at. What was told without certainty is weighed in.

    Args:
        knowledge: The groups.
        revealed: Observations looked at, none of them known.
        told: (P(told | present), P(told | absent)) of the observations that count.
        shown: P(present | set) of the observations looked at and of their groups.

    Returns:
        At most twelve outcomes; variables that would make more are left out, last ones first.
    """
    found, *others = _list_variables(knowledge, revealed, told, shown)
    for variable in others:
        if len(found.evidence) * len(variable.evidence) <= MOST_OUTCOMES:
            found = _cross(found, variable)
    return found


def _cross(one: Outcomes, other: Outcomes) -> Outcomes:
    """Combine two variables that are independent given the set."""
    pairs = product(one.evidence, other.evidence)
    chances = one.chances[:, None, :] * other.chances[None]
    return Outcomes(tuple(a + b for a, b in pairs), chances.reshape(-1, chances.shape[2]))


def _list_variables(
    knowledge: Knowledge,
    revealed: Collection[str],
    told: Mapping[str, tuple[float, float]],
    shown: Mapping[str, Floats],
) -> Iterable[Outcomes]:
    """Give the variables looked at, in the order of the observations."""
    done: set[str] = set()
    for name in revealed:
        if name in done:
            continue
        order = knowledge.group_of(name) or (name,)
        if len(order) == 1:
            yield _look_for_one(name, told.get(name), shown[name])
            continue
        looked_at = [member for member in order if member in revealed]
        done.update(looked_at)
        chances = _first_chances(
            np.array([shown[m] for m in order]), [told.get(m, (1.0, 1.0)) for m in order]
        )
        lit = chances[[order.index(m) for m in looked_at]]
        none = np.maximum(1.0 - lit.sum(axis=0), 0.0)
        evidence = [*(((m, State.PRESENT),) for m in looked_at), tuple((m, State.ABSENT) for m in looked_at)]
        yield Outcomes(tuple(evidence), np.vstack((lit, none)))


def _look_for_one(name: str, told: tuple[float, float] | None, shown: Floats) -> Outcomes:
    """Give the two outcomes of an observation that is in no group."""
    lit = shown if told is None else _first_chances(shown[None], [told])[0]
    evidence = (((name, State.PRESENT),), ((name, State.ABSENT),))
    return Outcomes(evidence, np.stack((lit, 1.0 - lit)))


def _first_chances(shown: Floats, told: list[tuple[float, float]]) -> Floats:
    """Give P(member is the first that shows | set, what was told), without "none".

    Args:
        shown: P(present) of the members in order; members x sets.
        told: Likelihood pair of each member.
    """
    present, absent = np.array(told).T[:, :, None]
    dark = np.vstack((np.ones(shown.shape[1]), np.cumprod((1.0 - shown) * absent, axis=0)))
    later = np.vstack((np.cumprod(absent[:0:-1], axis=0)[::-1], [[1.0]]))
    values = dark[:-1] * shown * present * later
    return np.asarray(values / np.maximum(values.sum(axis=0) + dark[-1], NEVER))
