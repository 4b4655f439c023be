"""What the clauses of a text, weighed together, say of every cause: factors on the prior odds.

Takes mentions and a network, gives factors; may import network, knowledge and the facts' model.

A clause says one thing: which, its reader is not sure of. How likely a clause is under an alternative of the network
is the mean, over what it may say, of the chance that a ticket of that alternative says so; the clauses are taken as
independent given the alternative. This is virtual evidence on the causes (Pearl, Probabilistic Reasoning in
Intelligent Systems, 1988, 2.2.2), with tickets of any alternative as the measure: 1 means "says nothing". What the
whole text reads like is evidence of the same kind. Both rest on the same words and are pooled with weights (a
logarithmic opinion pool; Genest and Zidek, Statistical Science 1, 1986).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnose.facts.model import Evidence, Mention, Origin, State
from diagnose.knowledge.mentions import Mentions
from diagnose.ranking.network import Floats, Network

MORE_LIKELY_THAN_NOT = 0.5
_STATES = (State.PRESENT, State.ABSENT)


@dataclass(frozen=True, eq=False)
class Lifts:
    """How much more often tickets of an alternative say a thing than tickets of any.

    Attributes:
        column: Column of each (observation, state).
        lifts: One row a class, one column an alternative.
        members: The causes of each alternative.
    """

    column: dict[tuple[str, State], int]
    lifts: Floats
    members: tuple[tuple[str, ...], ...]


@lru_cache(maxsize=4)
def compile_lifts(network: Network, settings: Mentions) -> Lifts:
    """Work out how often tickets of each alternative say each thing.

    Tickets of an alternative say what it shows; how much of it is said at all is counted from written tickets.

    Args:
        network: The network of the rule base, before circumstances.
        settings: The counts.
    """
    shown = network.tables.shown_alone
    seen = np.concatenate([shown, 1 - shown], axis=1)
    names = [(name, state) for state in _STATES for name in network.observations]
    counts = np.array([settings.count(name, _STATES.index(state)) for name, state in names])
    said = seen / seen.mean(axis=0) * counts
    said /= said.sum(axis=1, keepdims=True)
    anyone = network.odds / network.odds.sum() @ said
    members = tuple(alternative.members for alternative in network.alternatives)
    column = {name: number for number, name in enumerate(names)}
    return Lifts(column, np.ascontiguousarray((said / anyone).T), members)


def weigh_heard(lifts: Lifts, settings: Mentions, evidence: Evidence) -> Floats:
    """Weigh what the second reader made of a text.

    Args:
        lifts: What tickets of each alternative say.
        settings: How far the reader is believed.
        evidence: What is known of the unit; only mentions and likeness count here.

    Returns:
        Logarithm of the factor on each alternative's odds; 0 where no text was read.
    """
    clauses = settings.clauses * weigh_mentions(lifts, settings, evidence.mentions)
    return clauses + settings.likeness * weigh_likeness(lifts, evidence.likeness)


@dataclass(frozen=True)
class Saying:
    """What a clause most likely says, given what the causes are.

    Attributes:
        chance: Chance that it says so, by its own words and by what the likely causes show.
    """

    origin: Origin
    observation: str
    state: State
    chance: float


def find_sayings(
    lifts: Lifts, settings: Mentions, mentions: Sequence[Mention], chances: Mapping[str, float]
) -> Iterator[Saying]:
    """Tell what each clause more likely says than not, the surest clause for each thing said.

    Args:
        lifts: What tickets of each alternative say.
        settings: How far the reader is believed.
        mentions: The clauses of one text.
        chances: Probability of each cause by the ranking.
    """
    likely = np.array([max(chances.get(cause, 0.0) for cause in members) for members in lifts.members])
    said = lifts.lifts @ (likely / likely.sum())
    best: dict[tuple[str, State], Saying] = {}
    for mention in mentions:
        weights = {
            (name, state): p**settings.sharpness * float(said[lifts.column[name, state]])
            for name, state, p in mention.chances
            if (name, state) in lifts.column
        }
        whole = sum(weights.values()) + mention.nothing**settings.sharpness
        name, state = max(weights, key=lambda key: weights[key], default=("", State.UNKNOWN))
        chance = weights.get((name, state), 0.0) / whole
        known = best.get((name, state))
        if chance > MORE_LIKELY_THAN_NOT and (known is None or chance > known.chance):
            best[name, state] = Saying(mention.origin, name, state, chance)
    yield from best.values()


def weigh_likeness(lifts: Lifts, likeness: Iterable[tuple[str, float]]) -> Floats:
    """Give each alternative what its likest member has; a cause nobody wrote tickets of, and `unlisted`, 0."""
    alike = dict(likeness)
    return np.array([max(alike.get(cause, 0.0) for cause in members) for members in lifts.members])


def weigh_mentions(lifts: Lifts, settings: Mentions, mentions: Sequence[Mention]) -> Floats:
    """Weigh the clauses of one text.

    Args:
        lifts: What tickets of each alternative say.
        settings: How sharply the reader's chances are taken, and the doubt kept of each clause.
        mentions: The clauses.

    Returns:
        Logarithm of P(text | alternative) / P(text), one number an alternative; 0 for no clauses.
    """
    total = np.zeros(lifts.lifts.shape[1])
    if not mentions:
        return total
    likelihood = _sharpen(lifts, settings, mentions)
    weights = np.array([mention.weight for mention in mentions])
    # sorted, so that the same clauses in any order add up to the same last digit
    return np.asarray(np.sort(weights[:, None] * np.log(likelihood), axis=0).sum(axis=0))


def _sharpen(lifts: Lifts, settings: Mentions, mentions: Sequence[Mention]) -> Floats:
    """Give the likelihood of each clause under each alternative."""
    rows, columns, chances = [], [], []
    for row, mention in enumerate(mentions):
        known = [
            (lifts.column[name, state], p)
            for name, state, p in mention.chances
            if (name, state) in lifts.column
        ]
        rows += [row] * len(known)
        columns += [column for column, _ in known]
        chances += [p for _, p in known]
    powered = np.zeros((len(mentions), len(lifts.lifts)))
    powered[rows, columns] = np.power(chances, settings.sharpness)
    nothing = np.power([mention.nothing for mention in mentions], settings.sharpness)
    whole = powered.sum(axis=1) + nothing
    said = powered @ lifts.lifts
    return np.asarray(settings.doubt + (1 - settings.doubt) * (said + nothing[:, None]) / whole[:, None])
