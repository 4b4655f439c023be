"""Many units ranked at once: their rules on columns, their posteriors by compiled loops, their results in columns.

Takes prepared knowledge and many pieces of evidence, gives columns; may import rank and chaining.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from diagnose.chaining.atoms import list_atoms
from diagnose.chaining.batch import run_batch
from diagnose.chaining.compile import CompiledRules, Firing
from diagnose.chaining.trace import Run
from diagnose.facts.combine import combine_facts
from diagnose.facts.model import Evidence
from diagnose.ranking.axes import Ints
from diagnose.ranking.chainwise import Links, Told, weigh_unit
from diagnose.ranking.layout import Layout, build_layout
from diagnose.ranking.mentions import compile_lifts, weigh_heard
from diagnose.ranking.network import UNLISTED, Floats, Network
from diagnose.ranking.rank import (
    Evident,
    Factors,
    Prepared,
    Status,
    choose_status,
    gather_evidence,
    list_all_factors,
)

Bools = NDArray[np.bool_]
# Sets of circumstances whose prior odds are kept, 2 kB each.
REMEMBERED = 4_000
_NOTHING = Layout((), (), (), 1.0)


@dataclass(frozen=True, eq=False)
class RankedColumns:
    """The rankings of many units, one row a unit.

    Attributes:
        causes: The listed causes, sorted, and `unlisted`: the columns of the next two.
        chances: P(cause present | evidence, something is wrong); 0 when ruled out.
        ruled_out: Whether the unit cannot have the cause.
        weights: By alternative of the network: P(it is there | evidence, something is wrong).
        information: Bits by which the evidence moved the normalised probabilities.
        statuses: What each ranking is good for.
        evident: What each ranking rests on.
    """

    causes: tuple[str, ...]
    chances: Floats
    ruled_out: Bools
    weights: Floats
    information: Floats
    statuses: tuple[Status, ...]
    evident: tuple[Evident, ...]


class BatchRanker:
    """Ranks many units by one rule base with compiled loops; each number within 1e-12 of that of `rank_evidence`.

    Attributes:
        links: The network as the loops read it.
    """

    def __init__(self, prepared: Prepared) -> None:
        """Lay the network out."""
        self._prepared = prepared
        network = prepared.network
        tables = network.tables
        self.links = Links(
            tables.state_hit,
            tables.hit,
            tables.state_links,
            tables.state_background[None],
            tables.background[None],
            np.array([*network.starts, len(network.odds)], dtype=np.int64),
        )
        members = sorted({cause for a in network.alternatives for cause in a.members} - {UNLISTED})
        self._causes = (*members, UNLISTED)
        self._rows_of = list_rows(network)
        self._of_causes = np.array(
            [[cause in a.members for cause in self._causes] for a in network.alternatives], dtype=np.float64
        )
        self._spoken = prepared.knowledge.mentions
        self._lifts = compile_lifts(network, self._spoken)
        self._known: dict[tuple[Factors, Factors], tuple[Floats, Floats]] = {}

    def rank_many(self, evidences: Sequence[Evidence]) -> RankedColumns:
        """Rank the causes of many units.

        Args:
            evidences: What is known of each unit.

        Returns:
            The rankings in the same order.
        """
        entered = [list_atoms(combine_facts(e.facts), e.circumstances) for e in evidences]
        run = _remember(dict(zip(entered, run_batch(self._prepared.compiled, entered), strict=True)))
        evident = []
        priors = np.zeros((len(evidences), len(self._causes)))
        weights = np.zeros((len(evidences), len(self._of_causes)))
        for number, evidence in enumerate(evidences):
            one = gather_evidence(self._prepared, evidence, run)
            evident.append(one)
            odds, priors[number] = self._condition(
                list_all_factors(self._prepared, one.chained, evidence.repaired)
            )
            if evidence.mentions or evidence.likeness:
                odds = odds * np.exp(weigh_heard(self._lifts, self._spoken, evidence))
            pairs = {item.observation: item.likelihood for item in one.counted.items}
            weights[number] = self._weigh(odds, build_layout(self._prepared.network, pairs))
        chances = weights @ self._of_causes
        information = measure_information_of_many(chances, priors)
        return RankedColumns(
            causes=self._causes,
            chances=chances,
            ruled_out=np.array([[c in e.chained.ruled_out for c in self._causes] for e in evident]),
            weights=weights,
            information=information,
            statuses=self._choose_statuses(chances, information),
            evident=tuple(evident),
        )

    def _weigh(self, odds: Floats, layout: Layout) -> Floats:
        """Give the probability of each alternative."""
        weights, wrong, _, _ = weigh_unit(self.links, odds, flatten_layout(layout))
        return np.asarray(weights / wrong)

    def _condition(self, factors: tuple[Factors, Factors]) -> tuple[Floats, Floats]:
        """Give the prior odds of the alternatives, and the chances of the causes before any observation."""
        if factors not in self._known:
            if len(self._known) >= REMEMBERED:
                self._known.pop(next(iter(self._known)))
            odds = self._prepared.network.odds.copy()
            for name, factor in (pair for part in factors for pair in part):
                odds[self._rows_of[name]] *= factor
            self._known[factors] = odds, self._weigh(odds, _NOTHING) @ self._of_causes
        return self._known[factors]

    def _choose_statuses(self, chances: Floats, information: Floats) -> tuple[Status, ...]:
        thresholds = self._prepared.knowledge.settings.thresholds
        firsts = chances[:, :-1].max(axis=1, initial=0.0).tolist()
        every = zip(chances[:, -1].tolist(), firsts, information.tolist(), strict=True)
        return tuple(choose_status(thresholds, unlisted, first, bits) for unlisted, first, bits in every)


def list_rows(network: Network) -> dict[str, list[int]]:
    """List the alternatives by the causes, and the modes of causes, that are in them."""
    rows: dict[str, list[int]] = {}
    for row, alternative in enumerate(network.alternatives):
        for cause, mode in zip(alternative.members, alternative.modes, strict=True):
            rows.setdefault(cause, []).append(row)
            if mode:
                rows.setdefault(f"{cause}.{mode}", []).append(row)
    return rows


def flatten_layout(layout: Layout) -> Told:
    """Lay evidence out as flat arrays."""
    slots = layout.slots
    return Told(
        states=np.array(layout.states, dtype=np.int64),
        chains=_list_starts(len(chain.slots) for chain in layout.chains),
        slots=_list_starts(map(len, slots)),
        members=np.array([member for slot in slots for member in slot], dtype=np.int64),
        weights=np.array([weight for chain in layout.chains for weight in chain.weights], dtype=np.float64),
        otherwise=np.array([chain.otherwise for chain in layout.chains], dtype=np.float64),
        absent=np.array(layout.absent, dtype=np.int64),
        constant=float(layout.constant),
    )


def _list_starts(lengths: Iterable[int]) -> Ints:
    return np.array([0, *accumulate(lengths)], dtype=np.int64)


def measure_information_of_many(after: Floats, before: Floats) -> Floats:
    """Measure how far evidence moved the causes of many units, as `measure_information` does for one."""
    after = after / after.sum(axis=1, keepdims=True)
    before = before / before.sum(axis=1, keepdims=True)
    ratio = np.divide(after, before, out=np.ones_like(after), where=after > 0)
    return np.asarray(np.maximum(0.0, (after * np.log2(ratio)).sum(axis=1)))


def _remember(known: Mapping[frozenset[str], frozenset[Firing]]) -> Run:
    """Make an evaluator that knows these cases already; others, as when an absence counts for nothing, it runs."""

    def run(rules: CompiledRules, atoms: Iterable[str]) -> frozenset[Firing]:
        wanted = frozenset(atoms)
        return known[wanted] if wanted in known else run_batch(rules, [wanted])[0]

    return run
