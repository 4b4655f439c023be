"""The open questions of many units at once: which observations are open, and which of them would tell most.

Takes ranked columns, gives observations; may import ranking, next_step and prospects.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnose.explanation.prospects import SAME_BITS, entropy_alone, keep_askable
from diagnose.facts.model import State
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NOTHING_DONE, build_situation, list_withheld
from diagnose.next_step.options import list_worth_looking
from diagnose.next_step.outcomes import list_known
from diagnose.next_step.screening import measure_entropy
from diagnose.ranking.batch import Bools, RankedColumns
from diagnose.ranking.network import Floats, Network
from diagnose.ranking.rank import Evident, Status

# Sets of atoms whose open observations are kept, a bit for each observation.
REMEMBERED = 8_000


class Asker:
    """Finds the questions of many units; the equal of `list_questions` for each."""

    def __init__(self, knowledge: Knowledge, network: Network) -> None:
        """Lay out what decides which observations are open."""
        self._knowledge = knowledge
        order = np.argsort(network.observations)
        self._sorted = np.array(network.observations)[order]
        askable = [name for _, name in keep_askable(knowledge, list(enumerate(network.observations)))]
        self._askable = np.isin(self._sorted, askable)
        self._deciding = {
            *knowledge.circumstances,
            *(a.name for c in knowledge.conditions.values() for part in c.fails_when for a in part.atoms()),
            *(
                a.name
                for s in knowledge.access.states.values()
                for part in s.excluded_when
                for a in part.atoms()
            ),
        }
        self._single, self._parts = _list_single(network)
        self._shown = network.tables.shown_alone[self._single][:, order]
        self._doubt = entropy_alone(network.tables)[self._single][:, order]
        self._open: dict[frozenset[str], Bools] = {}

    def list_asked(self, ranked: RankedColumns, most: int) -> list[tuple[str, ...]]:
        """List, for each unit, the open observations that are expected to tell most.

        Args:
            ranked: The units.
            most: How many to list.
        """
        chances = ranked.weights @ self._parts
        weights = chances / chances.sum(axis=1, keepdims=True)
        bits = np.maximum(0.0, measure_entropy(weights @ self._shown) - weights @ self._doubt)
        every = zip(ranked.evident, ranked.statuses, strict=True)
        is_open = np.array([self._find_open(evident, status) for evident, status in every]).reshape(
            bits.shape
        )
        told = np.where(is_open, np.round(bits, SAME_BITS), -1.0)
        # equal ones come in order of their names, as the columns do
        first = np.argsort(-told, axis=1, kind="stable")[:, :most]
        there = np.take_along_axis(is_open, first, axis=1)
        return [tuple(self._sorted[f[t]].tolist()) for f, t in zip(first, there, strict=True)]

    def _find_open(self, evident: Evident, status: Status) -> Bools:
        """Tell of each observation whether it is open; of a ticket that says too little, what a caller can say."""
        is_open = self._find_unknown(evident)
        askable = is_open & self._askable
        return askable if status is Status.ASK_FIRST and askable.any() else is_open

    def _find_unknown(self, evident: Evident) -> Bools:
        atoms = frozenset(a for a in evident.chained.atoms if a.partition("=")[0] in self._deciding)
        if atoms not in self._open:
            if len(self._open) >= REMEMBERED:
                self._open.pop(next(iter(self._open)))
            self._open[atoms] = self._find_within_reach(
                replace(evident, chained=replace(evident.chained, atoms=atoms))
            )
        is_open = self._open[atoms]
        if any(b.is_hard or b.state is State.UNKNOWN for b in evident.beliefs):
            known = list_known(self._knowledge, evident.beliefs)
            return is_open & ~np.isin(self._sorted, list(known))
        return is_open

    def _find_within_reach(self, evident: Evident) -> Bools:
        situation = build_situation(self._knowledge, evident.chained, (), NOTHING_DONE)
        withheld = list_withheld(self._knowledge, situation)
        worth = list_worth_looking(self._knowledge, situation)
        records = self._knowledge.observations
        return np.array(
            [name in worth and records[name].access not in withheld for name in self._sorted.tolist()]
        )


def _list_single(network: Network) -> tuple[list[int], Floats]:
    """List the alternatives of one cause, and for each the alternatives that hold the same cause in the same mode."""
    single = [row for row, a in enumerate(network.alternatives) if len(a.members) == 1]
    ways = [(network.alternatives[row].members[0], network.alternatives[row].modes[0]) for row in single]
    parts = np.array(
        [
            [
                any(c == cause and (not mode or m == mode) for c, m in zip(a.members, a.modes, strict=True))
                for cause, mode in ways
            ]
            for a in network.alternatives
        ],
        dtype=np.float64,
    )
    return single, parts
