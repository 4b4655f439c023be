"""Checks `told-apart`, `idle` and `look-alikes`: every two causes can be told apart, every observation helps.

Takes a located rule base and the table of pairs, gives faults; may import telling_apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.located import Located
from diagnose.next_step.telling_apart import NEEDED_EACH_WAY, NEEDED_MEAN, PairTable, Verdict

# Look-alikes are exceptions: at most this part of the pairs that a unit can have.
MOST_LOOK_ALIKES = 0.05


def check_pairs(base: Located, table: PairTable) -> Iterator[Fault]:
    """Find pairs that no look tells apart, accepted ones that are, too many, and observations that move none."""
    accepted = {frozenset(a.causes): n for n, a in enumerate(base.knowledge.accepted.look_alikes)}
    failing = {frozenset((v.first, v.second)): v for v in table.verdicts if not v.passes}
    for pair, verdict in failing.items():
        if pair not in accepted:
            yield _fault_of_pair(base, verdict)
    for pair, number in accepted.items():
        if pair not in failing:
            wrong = f"{' and '.join(sorted(pair))} are told apart, or no unit can have both"
            at = ("look_alikes", number)
            yield base.fault(("whole", "accepted.yaml", *at), "stale", wrong, "remove the entry")
    if len(accepted) > MOST_LOOK_ALIKES * len(table.verdicts):
        wrong = f"{len(accepted)} look-alike pairs among {len(table.verdicts)}, more than 5 %"
        yield base.fault(
            ("whole", "accepted.yaml", "look_alikes"),
            "look-alikes",
            wrong,
            "find inspections that tell some of them apart",
        )
    yield from _check_idle(base, table)


def _fault_of_pair(base: Located, verdict: Verdict) -> Fault:
    best = " with ".join(verdict.looks)
    wrong = (
        f"'{verdict.first}' and '{verdict.second}' are not told apart: the best, {best}, "
        f"gives {verdict.there:.1f} and {verdict.back:.1f} dB"
    )
    cure = (
        f"add a link or an inspection ({NEEDED_MEAN:g} dB in the mean, {NEEDED_EACH_WAY:g} each way), "
        "or accept them as look-alikes"
    )
    return base.fault(("causes", verdict.first.partition(".")[0]), "told-apart", wrong, cure)


def _check_idle(base: Located, table: PairTable) -> Iterator[Fault]:
    for name, count in table.separated.items():
        if not count:
            wrong = f"'{name}' moves no pair of causes by {NEEDED_EACH_WAY:g} dB"
            yield base.fault(("observations", name), "idle", wrong, "link it more strongly or remove it")
