"""Which observations count as evidence, with what likelihood, and why the others do not.

Takes beliefs and what the rules concluded, gives Counted; may import layout and chaining.

No entered fact stands behind two counted observations: a derived observation that fired
replaces everything it rests on, and a group of observations is one variable.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from diagnose.chaining.trace import Chained
from diagnose.facts.model import Belief, Fact, State
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.layout import Pair, build_layout
from diagnose.ranking.network import Network
from diagnose.ranking.patterns import Pattern, choose_patterns
from diagnose.ranking.sight import find_denied, find_unseen


class NoCount(StrEnum):
    """Why something told does not count."""

    SAYS_NOTHING = "says_nothing"
    CONTRADICTED = "contradicted"
    UNSEEN = "could_not_be_seen"
    ABSORBED = "part_of_a_pattern"
    IMPLIED = "follows_from_its_group"
    GROUP_CONFLICT = "excluded_by_its_group"
    SET_ASIDE = "set_aside"


@dataclass(frozen=True)
class CountedObservation:
    """One observation that counts.

    Attributes:
        likelihood: (P(told | present), P(told | absent)).
        basis: The entered facts behind it; no other counted observation rests on any of them.
            Empty for an observation that other facts prove absent.
    """

    observation: str
    likelihood: Pair
    basis: tuple[Fact, ...] = ()

    @property
    def state(self) -> State:
        """Tell which state the evidence favours."""
        present, absent = self.likelihood
        return State.PRESENT if present > absent else State.ABSENT


@dataclass(frozen=True, order=True)
class NotCounted:
    """One observation that was told and does not count.

    Attributes:
        by: The pattern, group member or sight condition behind it; empty where there is none.
    """

    observation: str
    reason: NoCount
    by: str = ""


@dataclass(frozen=True)
class Counted:
    """The evidence, and what was told besides.

    Attributes:
        items: What counts, sorted by observation.
        not_counted: What does not, with the reason, sorted by observation.
    """

    items: tuple[CountedObservation, ...]
    not_counted: tuple[NotCounted, ...]

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Name the observations left out only because there were too many."""
        return tuple(n.observation for n in self.not_counted if n.reason is NoCount.SET_ASIDE)


def count_evidence(
    knowledge: Knowledge, network: Network, beliefs: Iterable[Belief], chained: Chained
) -> Counted:
    """Decide what counts, each entered fact at most once.

    What a fact proves absent counts with it, as the earlier members of a group do: the two are
    one variable whose outcomes are "the denied one", "not that but this", "neither".

    Args:
        knowledge: The rule base.
        network: Its network.
        beliefs: What was told, one belief an observation.
        chained: What the rules concluded from it.

    Returns:
        The counted observations and the reasons of the others.
    """
    told = {belief.observation: belief for belief in beliefs}
    implied = find_denied(knowledge, network, told, chained.atoms)
    left_out = [*_silent(told.values()), *_unseen(knowledge, told, chained)]
    patterns = choose_patterns(knowledge, network, told, chained)
    left_out += [
        NotCounted(observation, NoCount.ABSORBED, pattern.observation)
        for pattern in patterns
        for observation in sorted(pattern.support - {pattern.observation})
    ]
    out = {note.observation for note in left_out} | {p.observation for p in patterns}
    plain = [_counted(belief) for name, belief in told.items() if name not in out]
    denied = [CountedObservation(name, pair) for name, pair in implied.items()]
    kept, by_group = _settle_groups(knowledge, [*plain, *map(_from_pattern, patterns), *denied])
    items, aside = _limit(knowledge, network, kept)
    return Counted(
        tuple(sorted(items, key=lambda item: item.observation)),
        tuple(sorted({note.observation: note for note in (*aside, *by_group, *left_out)}.values())),
    )


def _silent(beliefs: Iterable[Belief]) -> list[NotCounted]:
    return [
        NotCounted(b.observation, NoCount.CONTRADICTED if b.contradicted else NoCount.SAYS_NOTHING)
        for b in beliefs
        if b.state is State.UNKNOWN
    ]


def _unseen(knowledge: Knowledge, told: Mapping[str, Belief], chained: Chained) -> list[NotCounted]:
    unseen = find_unseen(knowledge, told.values(), chained.atoms)
    return [NotCounted(name, NoCount.UNSEEN, by) for name, by in unseen.items()]


def _counted(belief: Belief) -> CountedObservation:
    return CountedObservation(belief.observation, belief.likelihood, belief.facts)


def _from_pattern(pattern: Pattern) -> CountedObservation:
    return CountedObservation(pattern.observation, pattern.likelihood, pattern.facts)


def trust(item: CountedObservation) -> float:
    """Give how many times likelier the told state is than the other; infinite without doubt."""
    low, high = sorted(item.likelihood)
    return high / low if low else float("inf")


def _settle_groups(
    knowledge: Knowledge, items: list[CountedObservation]
) -> tuple[list[CountedObservation], list[NotCounted]]:
    """Keep one present member of each group: the most trusted, then the most drastic."""
    by_name = {item.observation: item for item in items}
    notes: list[NotCounted] = []
    for group in knowledge.groups.values():
        members = [by_name[m] for m in group.members if m in by_name]
        present = [item for item in members if item.state is State.PRESENT]
        if present:
            notes += _notes_in_group(max(present, key=trust), members)
    out = {note.observation for note in notes}
    return [item for item in items if item.observation not in out], notes


def _notes_in_group(winner: CountedObservation, members: list[CountedObservation]) -> list[NotCounted]:
    """Leave out the other present members, and absent ones that a certain winner implies."""
    is_certain = trust(winner) == float("inf")
    reasons = {State.PRESENT: NoCount.GROUP_CONFLICT, State.ABSENT: NoCount.IMPLIED}
    return [
        NotCounted(item.observation, reasons[item.state], winner.observation)
        for item in members
        if item is not winner and (item.state is State.PRESENT or is_certain)
    ]


def _limit(
    knowledge: Knowledge, network: Network, items: list[CountedObservation]
) -> tuple[list[CountedObservation], list[NotCounted]]:
    """Set the weakest aside while more bits are needed than the arrays may have.

    Weakest first: least trusted; then absent before present; then what shows most often by
    itself; then by id.
    """
    limit = knowledge.settings.thresholds.undecided_bits
    kept = sorted(
        items,
        key=lambda i: (
            trust(i), i.state is State.PRESENT, -knowledge.background(i.observation), i.observation,
        ),
    )  # fmt: skip
    aside: list[NotCounted] = []
    while True:
        layout = build_layout(network, {i.observation: i.likelihood for i in kept})
        in_bits = {network.observations[o] for slot in layout.slots for o in slot}
        weakest = next((i for i in kept if i.observation in in_bits), None)
        if layout.bits <= limit or weakest is None:
            return kept, aside
        kept.remove(weakest)
        aside.append(NotCounted(weakest.observation, NoCount.SET_ASIDE))
