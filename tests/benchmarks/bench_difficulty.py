"""How difficult the shipped cases are: how many of each grade, and the mean parts of plain and misleading ones.

Prints figures; run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_difficulty.py --every 1
"""

import argparse
import sys
import time
from collections import Counter
from functools import cache
from multiprocessing import get_context
from pathlib import Path
from statistics import fmean

sys.path.insert(0, str(Path(__file__).parent.parent))

from learners import make_tutor

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, load_cases
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory
from diagnose.training.difficulty import Difficulty, measure_difficulty
from diagnose.training.scene import Tutor


@cache
def make_school() -> tuple[Tutor, dict[str, Case]]:
    """Load rules and cases once in each process."""
    knowledge = load_knowledge(rules_directory())
    return make_tutor(Reasoner(knowledge)), load_cases(cases_directory(), knowledge)


def measure(name: str) -> Difficulty:
    """Measure one case."""
    tutor, cases = make_school()
    return measure_difficulty(tutor, cases[name])


def report(measured: list[Difficulty], seconds: float) -> None:
    """Print the figures."""
    grades = Counter(one.grade for one in measured)
    print(f"{len(measured)} cases in {seconds:.0f} s; grades: {dict(sorted(grades.items()))}")
    for kind, ending in (("plain", "-01"), ("misleading", "-02")):
        some = [one for one in measured if one.case.endswith(ending)]
        print(
            f"{kind:<11} mean grade {fmean(o.grade for o in some):.2f}; look-alikes "
            f"{fmean(len(o.look_alikes) for o in some):.2f}; {fmean(o.misleading for o in some):.1f} dB misleading; "
            f"{fmean(o.steps for o in some):.1f} steps"
        )


def main() -> None:
    """Measure on a few processes and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="only every so many cases")
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    names = list(make_school()[1])[:: given.every]
    start = time.perf_counter()
    with get_context("spawn").Pool(given.processes) as pool:
        report(list(pool.imap(measure, names)), time.perf_counter() - start)


if __name__ == "__main__":
    main()
