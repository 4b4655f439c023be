"""What the clauses of a text, weighed together, say of every cause: factors on the prior odds.

Takes mentions and a network, gives factors; may import network, knowledge and the facts' model.

A clause says one thing: which, its reader is not sure of. How likely a clause is under an alternative of the network
is the mean, over what it may say, of the chance that a ticket of that alternative says so; the clauses are taken as
independent given the alternative. This is virtual evidence on the causes (Pearl, Probabilistic Reasoning in
Intelligent Systems, 1988, 2.2.2), with tickets of any alternative as the measure: 1 means "says nothing".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from diagnose.facts.model import Mention, State
from diagnose.knowledge.mentions import Mentions
from diagnose.ranking.network import Floats, Network

_STATES = (State.PRESENT, State.ABSENT)


@dataclass(frozen=True, eq=False)
class Lifts:
    """How much more often tickets of an alternative say a thing than tickets of any.

    Attributes:
        column: Column of each (observation, state).
        lifts: One row a class, one column an alternative.
    """

    column: dict[tuple[str, State], int]
    lifts: Floats


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
    return Lifts({name: column for column, name in enumerate(names)}, np.ascontiguousarray((said / anyone).T))


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
    return np.asarray(weights @ np.log(likelihood))


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
