"""How grades order three scripted learners, and one in a hurry, over all shipped cases.

Prints mean grades, how often each passes, and in what share of the cases the order is as it should be;
run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_learners.py --every 10
"""

import argparse
import statistics
import sys
import time
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from learners import LEARNERS, make_tutor

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, load_cases
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory
from diagnose.training.grading import grade_lesson
from diagnose.training.program import run_program
from diagnose.training.records import Outcome
from diagnose.training.scene import Tutor, build_scene

SEED = 1


@dataclass(frozen=True)
class Played:
    """One case, played by each learner."""

    case: str
    outcomes: dict[str, Outcome]
    seconds: float

    def total(self, learner: str) -> float:
        """Give a learner's grade."""
        return self.outcomes[learner].grade.total


@cache
def make_school() -> tuple[Tutor, dict[str, Case]]:
    """Load rules and cases once in each process."""
    knowledge = load_knowledge(rules_directory())
    return make_tutor(Reasoner(knowledge)), load_cases(cases_directory(), knowledge)


def play(case: str) -> Played:
    """Let every learner play one case."""
    tutor, cases = make_school()
    start = time.perf_counter()
    scene = build_scene(tutor, cases[case], SEED)
    program = run_program(scene, SEED)
    outcomes = {
        name: grade_lesson(scene, learner(scene, SEED), program) for name, learner in LEARNERS.items()
    }
    return Played(case, outcomes, time.perf_counter() - start)


def report(played: list[Played]) -> None:
    """Print the figures."""
    print(
        f"cases {len(played)}, seed {SEED}, {statistics.mean(p.seconds for p in played):.1f} s a case and core"
    )
    print(f"{'learner':<16}{'mean':>7}{'median':>8}{'passed':>8}{'named':>7}{'unsafe':>8}{'minutes':>9}")
    for name in LEARNERS:
        outcomes = [p.outcomes[name] for p in played]
        totals = [o.grade.total for o in outcomes]
        named = sum(o.named.partition(".")[0] == o.confirmed for o in outcomes)
        print(
            f"{name:<16}{statistics.mean(totals):7.1f}{statistics.median(totals):8.1f}"
            f"{sum(o.grade.passed for o in outcomes):8d}{named:7d}"
            f"{sum(o.lesson.unsafe > 0 for o in outcomes):8d}"
            f"{statistics.mean(o.lesson.minutes for o in outcomes):9.0f}"
        )
    for better, worse in (("program", "cheapest"), ("cheapest", "random"), ("program", "random"),
                          ("program", "in_a_hurry")):  # fmt: skip
        right = sum(p.total(better) > p.total(worse) for p in played)
        equal = sum(p.total(better) == p.total(worse) for p in played)
        print(f"{better} above {worse}: {right} of {len(played)} ({right / len(played):.0%}), equal {equal}")
    whole = sum(p.total("program") > p.total("cheapest") > p.total("random") for p in played)
    print(f"program above cheapest above random: {whole} of {len(played)} ({whole / len(played):.0%})")


def main() -> None:
    """Play the cases on a few processes and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="only every so many cases")
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    names = list(make_school()[1])[:: given.every]
    with get_context("spawn").Pool(given.processes) as pool:
        report(list(pool.imap(play, names)))


if __name__ == "__main__":
    main()
