"""Time of one full diagnosis over the shipped rule base: chain, rank, next step, explanation.

Run by name: PYTHONPATH=. python tests/benchmarks/bench_diagnosis.py [every n-th case]

Every shipped case is explained with nothing remembered from the one before. Processor time is what
the machine's other work disturbs least; wall time is what a person waits. The library of matrix
products is held to one thread: its matrices are too small to gain from a second one, and waiting
threads would count as processor time.
"""

from __future__ import annotations

import os

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # read when numpy is imported, hence before it

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from time import perf_counter, process_time

import numpy as np

from diagnose.errors import DiagnoseError
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import evidence_of_case, list_case_files, load_case
from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory

REQUIRED_MS = 50.0
REQUIRED_MS_AT_16 = 1000.0
MANY_PRESENT = 16
SYNTHETIC = 5


@dataclass(frozen=True)
class Run:
    """Milliseconds of one diagnosis: processor time of its parts, and wall time of the whole."""

    present: int
    rank: float
    choose: float
    explain: float
    wall: float

    @property
    def whole(self) -> float:
        """Add up the parts."""
        return self.rank + self.choose + self.explain


def load_evidence(knowledge: Knowledge, every: int) -> Iterator[tuple[str, Evidence]]:
    """Load the shipped cases; one that the rule base cannot read is named and left out."""
    for path in list_case_files(cases_directory())[::every]:
        try:
            yield path.stem, evidence_of_case(load_case(path, knowledge), knowledge)
        except DiagnoseError as error:
            print(f"left out: {str(error).splitlines()[0]}")


def tell_many(knowledge: Knowledge, present: int, seed: int) -> Evidence:
    """Make up evidence: so many plain observations of different groups, all told present."""
    rng = np.random.default_rng(seed)
    plain = [name for name, record in knowledge.observations.items() if not record.derived]
    groups: set[tuple[str, ...]] = set()
    facts: list[Fact] = []
    for number in rng.permutation(len(plain)).tolist():
        group = knowledge.group_of(plain[number]) or (plain[number],)
        if len(facts) < present and group not in groups:
            groups.add(group)
            facts.append(Fact(plain[number], State.PRESENT, Origin(OriginKind.ANSWER), (1.0, 0.0)))
    return Evidence(facts=tuple(facts))


def time_diagnosis(reasoner: Reasoner, evidence: Evidence) -> Run:
    """Time one diagnosis, nothing of the rank and the step remembered."""
    reasoner.rank.cache_clear()
    reasoner.choose.cache_clear()
    wall, begun = perf_counter(), process_time()
    ranking = reasoner.rank(evidence)
    ranked = process_time()
    reasoner.choose(evidence)
    chosen = process_time()
    reasoner.explain(evidence, "case", "A case")
    ended = process_time()
    return Run(
        present=sum(item.state is State.PRESENT for item in ranking.counted.items),
        rank=1e3 * (ranked - begun),
        choose=1e3 * (chosen - ranked),
        explain=1e3 * (ended - chosen),
        wall=1e3 * (perf_counter() - wall),
    )


def print_line(label: str, values: list[float]) -> None:
    """Print median, 95th percentile and largest value."""
    middle, high = np.percentile(values, [50, 95])
    print(f"  {label:24} {middle:8.1f} {high:8.1f} {max(values):8.1f}   n={len(values)}")


def print_runs(runs: list[Run]) -> None:
    """Print the parts of all runs, then the whole by number of counted present observations."""
    print(f"  {'milliseconds':24} {'median':>8} {'p95':>8} {'max':>8}")
    for part in ("rank", "choose", "explain", "whole", "wall"):
        print_line(part, [getattr(run, part) for run in runs])
    for present in sorted({run.present for run in runs}):
        print_line(f"whole, {present} present", [run.whole for run in runs if run.present == present])


def main() -> None:
    """Time all shipped cases, then made-up evidence with many present observations."""
    knowledge = load_knowledge(rules_directory())
    reasoner = Reasoner(knowledge)
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    told = [evidence for _, evidence in load_evidence(knowledge, every)]
    for evidence in told[:3]:
        time_diagnosis(reasoner, evidence)  # registers the rules, loads what is loaded late
    print(f"shipped cases; required: p95 of the whole at most {REQUIRED_MS:.0f} ms")
    print_runs([time_diagnosis(reasoner, evidence) for evidence in told])
    print(f"made up; required: at most {REQUIRED_MS_AT_16:.0f} ms with {MANY_PRESENT} present")
    many = [tell_many(knowledge, told, seed) for told in (8, 12, MANY_PRESENT) for seed in range(SYNTHETIC)]
    print_runs([time_diagnosis(reasoner, evidence) for evidence in many])


if __name__ == "__main__":
    main()
