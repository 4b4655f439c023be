"""Leave-one-out weight of every counted observation for a few causes, in decibans.

Takes a network and the observations that count, gives LeaveOneOut; may import sweep, posterior.

W = 10 log10(odds(cause | evidence) / odds(cause | evidence without the observation)). With
several causes these do not add up; with one observation it is Good's weight of evidence
(Good, Probability and the Weighing of Evidence, 1950).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import log10

import numpy as np

from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import Layout, build_layout
from diagnose.ranking.network import Floats, Network
from diagnose.ranking.posterior import build_passes
from diagnose.ranking.sweep import build_final, build_sweep, leave_dark


@dataclass(frozen=True)
class LeaveOneOut:
    """What each observation does, seen by leaving it out.

    Attributes:
        weights: Decibans by cause, then by observation; causes that are ruled out have none.
        odds: Odds of each cause given all the evidence and D.
        evidence: P(all other evidence, D) / P(all evidence, D) by observation.
    """

    weights: dict[str, dict[str, float]]
    odds: dict[str, float]
    evidence: dict[str, float]


def weigh_observations(
    network: Network,
    items: Iterable[CountedObservation],
    causes: Iterable[str],
    weighed: Collection[str] | None = None,
) -> LeaveOneOut:
    """Weigh every counted observation for each of a few causes.

    Args:
        network: The network of this unit.
        items: The observations that count.
        causes: At least one cause to weigh them for; `unlisted` is allowed.
        weighed: The observations to weigh, all of them when left out.

    Returns:
        The weights in decibans, positive where the observation speaks for the cause.
    """
    pairs = {item.observation: item.likelihood for item in items}
    whole = build_layout(network, pairs)
    without = {
        left: build_layout(network, {o: pair for o, pair in pairs.items() if o != left})
        for left in sorted(pairs if weighed is None else pairs.keys() & set(weighed))
    }
    # What is left without one observation fits the bits of the whole, but for a few group members.
    fits = {o: set(told.slots) <= set(whole.slots) for o, told in without.items()}
    fitting = [o for o, fit in fits.items() if fit]
    split = _Split(network, whole, [whole, *(without[o] for o in fitting)], tuple(causes))
    parts = dict(zip(["", *fitting], split.measure(), strict=True))
    for left in set(without) - set(fitting):
        (parts[left],) = _Split(network, without[left], [without[left]], split.causes).measure()
    return _compare(parts, split.causes)


# P(evidence, cause) and P(evidence, D, not cause), by cause, up to one common factor.
Parts = dict[str, tuple[float, float]]


def _compare(parts: dict[str, Parts], causes: tuple[str, ...]) -> LeaveOneOut:
    """Compare all the evidence, under the empty key, with each observation left out."""
    whole = parts[""]
    left_out = {o: parts[o] for o in sorted(parts) if o}
    known = [cause for cause in causes if whole[cause][0] > 0]
    return LeaveOneOut(
        weights={
            cause: {o: _decibans(whole[cause], part[cause]) for o, part in left_out.items()}
            for cause in known
        },
        odds={cause: whole[cause][0] / whole[cause][1] for cause in known},
        evidence={o: sum(part[causes[0]]) / sum(whole[causes[0]]) for o, part in left_out.items()},
    )


def _decibans(with_it: tuple[float, float], without: tuple[float, float]) -> float:
    return 10 * log10(with_it[0] / with_it[1] / (without[0] / without[1]))


class _Split:
    """Forward arrays with each shown cause present and absent, for several sets of evidence.

    All sets share the bits of one layout; a set that knows fewer observations absent has its own
    row of the arrays, and a set that differs in bits only has its own likelihood at the end.
    """

    def __init__(self, network: Network, bits: Layout, told: list[Layout], causes: tuple[str, ...]) -> None:
        self.network, self.causes, self.told = network, causes, told
        absents = list(dict.fromkeys(layout.absent for layout in told))
        self.lane = [absents.index(layout.absent) for layout in told]
        self.sweep = build_sweep(network, bits)
        firsts = [told[self.lane.index(lane)] for lane in range(len(absents))]
        self.dark = np.array([leave_dark(network.tables.hit, layout) for layout in firsts])
        base = leave_dark(network.tables.hit, bits)
        self.relative = self.dark / base  # no link is 1, so nothing here is 0
        self.finals = [build_final(network.tables, bits, layout) for layout in told]

    def measure(self) -> list[Parts]:
        """Give the parts of every set of evidence."""
        shown = {self._variable_of(cause) for cause in self.causes}
        common = self._fold_common(shown)
        found: list[Parts] = [{} for _ in self.told]
        for cause in self.causes:
            own = self._variable_of(cause)
            others = common
            for variable in sorted(shown - {own}):
                others = others + self._light(others, self.network.rows[variable])
            self._divide(cause, others, found)
        return found

    def _divide(self, cause: str, others: Floats, found: list[Parts]) -> None:
        """Add the alternatives with and without the cause to the arrays of all other variables."""
        rows = self.network.rows[self._variable_of(cause)]
        has = [row for row in rows if cause in self.network.alternatives[row].members]
        present = self._light(others, has)
        absent = others + self._light(others, [row for row in rows if row not in has])
        for part, lane, final in zip(found, self.lane, self.finals, strict=True):
            part[cause] = (float(present[lane] @ final), float(absent[lane] @ final))

    def _variable_of(self, cause: str) -> int:
        return next(
            number
            for number, variable in enumerate(self.network.variables)
            if any(cause in a.members for a in variable.alternatives)
        )

    def _fold_common(self, shown: set[int]) -> Floats:
        """Fold all variables that hold no shown cause into one array a lane, D kept apart."""
        passes = build_passes(self.network, self.sweep, apart=shown)
        faulty = np.tile(self.sweep.start * passes.idle, (len(self.dark), 1))
        for variable in passes.touched:
            if variable not in shown:
                faulty = faulty + self._light(faulty, self.network.rows[variable])
        return faulty

    def _light(self, faulty: Floats, rows: Iterable[int]) -> Floats:
        """Give the weight of masks with one of the rows present, whatever came before."""
        anything = faulty + self.sweep.start
        lit = np.zeros_like(anything)
        for row in rows:
            lit += self.sweep.kernel.light(anything, row) * self.relative[:, row, None]
        return lit
