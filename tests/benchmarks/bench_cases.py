"""Where the confirmed cause stands on the shipped cases: first, within three, within five.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_cases.py

The first-run figures were taken before any rule had been changed after reading a case; they are
records, not results of this run, and stand in DEVELOPERS.md too.
"""

from __future__ import annotations

from collections.abc import Sequence

from case_places import Placed, place_shipped

from diagnose.explanation.reasoner import Reasoner
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

PLACES = (1, 3, 5)
FIRST_RUNS = (
    "first run, 54 causes: 102 of 108 first, 107 within three; first of plain 52 of 54, of misleading 50 of 54",
    "first run, 85 causes: 155 of 170 first, 168 within three; first of plain 82 of 85, of misleading 73 of 85",
)


def print_line(label: str, cases: Sequence[Placed]) -> None:
    """Print how many of the cases have their confirmed cause among so many."""
    counts = "".join(f"{sum(case.place <= most for case in cases):8}" for most in PLACES)
    print(f"  {label:14}{counts}   of {len(cases)}")


def main() -> None:
    """Print the table of all cases, of the halves and of the parts, and the cases that are not first."""
    placed = place_shipped(Reasoner(load_knowledge(rules_directory())))
    print(f"  {'':14}" + "".join(f"{f'in {most}':>8}" for most in PLACES))
    print_line("all", placed)
    print_line("plain", [case for case in placed if case.is_plain])
    print_line("misleading", [case for case in placed if not case.is_plain])
    for part in sorted({case.part for case in placed}):
        print_line(part, [case for case in placed if case.part == part])
    for case in placed:
        if case.place > 1:
            print(f"  {case.case.case}: place {case.place}, behind {case.first}")
    print("\n".join(FIRST_RUNS))


if __name__ == "__main__":
    main()
