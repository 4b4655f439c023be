"""Many units ranked at once: their rules on columns, their posteriors in the same arrays.

Takes prepared knowledge and many pieces of evidence, gives their rankings; may import rank and
chaining.

The dynamic programme is that of posterior.py with one more axis, the units. Units whose evidence
needs equally many bits share arrays, whatever their bits stand for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, fsum

import numpy as np

from diagnose.chaining.atoms import list_atoms
from diagnose.chaining.batch import run_batch
from diagnose.chaining.compile import CompiledRules, Firing
from diagnose.chaining.trace import Run
from diagnose.facts.combine import combine_facts
from diagnose.facts.model import Evidence
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.layout import Layout, build_layout
from diagnose.ranking.network import UNLISTED, Floats, Network
from diagnose.ranking.posterior import Posterior, compute_posterior
from diagnose.ranking.rank import Prepared, Ranking, conclude_ranking, weigh_evidence
from diagnose.ranking.sweep import bit_columns, build_final, build_start, leave_dark

# Numbers kept for the way back, over all units of one go: 32 MB.
MOST_KEPT = 4_000_000
# With more bits the arrays of one unit are long enough to be fast by themselves.
MOST_BITS = 7
Task = tuple[Network, Sequence[CountedObservation]]


def rank_many(prepared: Prepared, evidences: Sequence[Evidence]) -> list[Ranking]:
    """Rank the causes of many units.

    Args:
        prepared: The rule base.
        evidences: What is known of each unit.

    Returns:
        The rankings in the same order; each number within 1e-12 of that of `rank_evidence`.
    """
    entered = [list_atoms(combine_facts(e.facts), e.circumstances) for e in evidences]
    run = _remember(dict(zip(entered, run_batch(prepared.compiled, entered), strict=True)))
    weighed = [weigh_evidence(prepared, evidence, run) for evidence in evidences]
    posteriors = compute_posteriors([(one.network, one.counted.items) for one in weighed])
    return [conclude_ranking(prepared, one, p) for one, p in zip(weighed, posteriors, strict=True)]


def _remember(known: Mapping[frozenset[str], frozenset[Firing]]) -> Run:
    """Make an evaluator that knows these cases already; others, as when an absence counts for nothing, it runs."""

    def run(rules: CompiledRules, atoms: Iterable[str]) -> frozenset[Firing]:
        wanted = frozenset(atoms)
        return known[wanted] if wanted in known else run_batch(rules, [wanted])[0]

    return run


@dataclass(frozen=True, eq=False)
class _Arrays:
    """The arrays of units with equally many bits; the last axis is the units.

    Attributes:
        hit: Chance of each row (first axis) to light each bit (second axis).
        miss: Chance to leave it dark.
        scale: Weight of each row.
        start: By mask, what the background has lit.
        final: By mask, the likelihood of the evidence.
    """

    hit: Floats
    miss: Floats
    scale: Floats
    start: Floats
    final: Floats

    def light(self, masks: Floats, row: int) -> Floats:
        """Move weight from each mask to the masks with what the row lights added."""
        out: Floats = masks * self.scale[row]
        for bit in self.bits[row]:
            halves = out.reshape(1 << bit, 2, -1, out.shape[-1])
            halves[:, 1] += halves[:, 0] * self.hit[row, bit]
            halves[:, 0] *= self.miss[row, bit]
        return out

    def look_ahead(self, masks: Floats, row: int) -> Floats:
        """Give each mask the weighed mean of what comes after the row has lit its bits."""
        out: Floats = masks * self.scale[row]
        for bit in self.bits[row]:
            halves = out.reshape(1 << bit, 2, -1, out.shape[-1])
            halves[:, 0] *= self.miss[row, bit]
            halves[:, 0] += halves[:, 1] * self.hit[row, bit]
        return out

    @cached_property
    def bits(self) -> tuple[tuple[int, ...], ...]:
        """List the bits that each row lights in any unit."""
        lights = np.asarray(self.hit.any(axis=-1))
        return tuple(tuple(np.flatnonzero(lights[row]).tolist()) for row in range(len(self.hit)))


def compute_posteriors(tasks: Sequence[Task]) -> list[Posterior]:
    """Compute the exact posteriors of many units.

    Args:
        tasks: For each unit its network and the observations that count; all networks have the
            same links and differ in their prior odds alone.

    Returns:
        The posteriors in the same order.
    """
    layouts = [build_layout(net, {i.observation: i.likelihood for i in items}) for net, items in tasks]
    found: dict[int, Posterior] = {}
    by_bits: dict[int, list[int]] = {}
    for number, layout in enumerate(layouts):
        by_bits.setdefault(layout.bits, []).append(number)
    for bits, numbers in sorted(by_bits.items()):
        if bits > MOST_BITS:
            found |= {number: compute_posterior(*tasks[number]) for number in numbers}
            continue
        network = tasks[numbers[0]][0]
        at_once = max(1, MOST_KEPT // ((len(network.variables) + 1) << bits))
        for first in range(0, len(numbers), at_once):
            part = numbers[first : first + at_once]
            networks = [tasks[n][0] for n in part]
            found |= dict(zip(part, _sweep(networks, [layouts[n] for n in part]), strict=True))
    return [found[number] for number in range(len(tasks))]


def _build_arrays(networks: Sequence[Network], layouts: Sequence[Layout]) -> _Arrays:
    columns = [
        bit_columns(n.tables.state_hit, n.tables.hit, lay) for n, lay in zip(networks, layouts, strict=True)
    ]
    scales = [n.odds * leave_dark(n.tables.hit, lay) for n, lay in zip(networks, layouts, strict=True)]
    starts = [build_start(n.tables, lay) for n, lay in zip(networks, layouts, strict=True)]
    finals = [build_final(n.tables, lay, lay) for n, lay in zip(networks, layouts, strict=True)]
    return _Arrays(
        hit=np.stack([hit for hit, _ in columns], axis=-1),
        miss=np.stack([miss for _, miss in columns], axis=-1),
        scale=np.stack(scales, axis=-1),
        start=np.stack(starts, axis=-1),
        final=np.stack(finals, axis=-1),
    )


def _sweep(networks: Sequence[Network], layouts: Sequence[Layout]) -> Iterator[Posterior]:
    """Go forth and back over the variables, as compute_posterior does for one unit."""
    network, arrays = networks[0], _build_arrays(networks, layouts)
    backward = [arrays.final]
    for rows in reversed(network.rows):
        before = backward[-1].copy()
        for row in rows:
            before += arrays.look_ahead(backward[-1], row)
        backward.append(before)
    masses = np.zeros((len(network.alternatives), len(networks)))
    faulty = np.zeros_like(arrays.start)
    for rows, after in zip(network.rows, backward[-2::-1], strict=True):
        anything = faulty + arrays.start
        for row in rows:
            lit = arrays.light(anything, row)
            masses[row] = np.einsum("mu,mu->u", lit, after)
            faulty += lit
    return _collect(networks, layouts, arrays, masses, faulty)


def _collect(
    networks: Sequence[Network],
    layouts: Sequence[Layout],
    arrays: _Arrays,
    masses: Floats,
    faulty: Floats,
) -> Iterator[Posterior]:
    weights = faulty * arrays.final
    mass = weights.sum(axis=0)
    none = (arrays.start * arrays.final).sum(axis=0)
    alone = (arrays.light(arrays.start, len(masses) - 1) * arrays.final).sum(axis=0)
    causes, modes = _add_up(networks[0], masses / mass)
    by_cause = np.array(list(causes.values())).T.tolist()
    by_mode = np.array(list(modes.values())).reshape(len(modes), -1).T.tolist() or [[]] * len(networks)
    for unit, (network, layout) in enumerate(zip(networks, layouts, strict=True)):
        normal = exp(-fsum(network.log_none.tolist()))
        of_causes = dict(zip(causes, by_cause[unit], strict=True))
        yield Posterior(
            evidence=float(mass[unit]) * normal,
            evidence_none=float(none[unit]) * normal,
            unlisted=of_causes.pop(UNLISTED),
            causes=of_causes,
            modes=dict(zip(modes, by_mode[unit], strict=True)),
            states=_weigh_states(network, layout, weights[:, unit] / mass[unit]),
            none_listed=float(alone[unit] / mass[unit]),
        )


def _add_up(network: Network, parts: Floats) -> tuple[dict[str, Floats], dict[tuple[str, str], Floats]]:
    """Add the parts of the alternatives up by cause, sorted, and by mode."""
    causes: dict[str, Floats] = {}
    modes: dict[tuple[str, str], Floats] = {}
    for alternative, part in zip(network.alternatives, parts, strict=True):
        for cause, mode in zip(alternative.members, alternative.modes, strict=True):
            causes[cause] = causes[cause] + part if cause in causes else part
            if mode:
                modes[cause, mode] = modes[cause, mode] + part if (cause, mode) in modes else part
    return dict(sorted(causes.items())), modes


def _weigh_states(network: Network, layout: Layout, weights: Floats) -> dict[str, float]:
    found = {}
    for position, state in enumerate(layout.states):
        found[network.states[state]] = float(weights.reshape(1 << position, 2, -1)[:, 1].sum())
    return found
