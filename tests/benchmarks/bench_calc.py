"""Time of one calculation without start-up: reading its inputs, working it out, and building its document.

Run as: python tests/benchmarks/bench_calc.py
"""

from __future__ import annotations

import statistics
import time

from diagnose.explanation.calculation_document import build_worked
from diagnose.explanation.calculation_text import render_worked
from diagnose.facts.inputs import read_input
from diagnose.trade.catalogue.every import CALCULATIONS

ROUNDS = 200


def time_of(act) -> float:
    """Give the median time of one act in microseconds."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1e6


def main() -> None:
    """Print the median over all calculations, and the slowest one of each kind of work."""
    rows = []
    for calculation in CALCULATIONS:
        inputs = calculation.inputs

        def read(inputs=inputs):
            return {wanted.name: read_input(wanted, wanted.example) for wanted in inputs}

        values = read()

        def whole(calculation=calculation, read=read):
            return render_worked(build_worked(calculation, read()))

        rows.append(
            (
                calculation.id,
                time_of(lambda calculation=calculation, values=values: calculation.run(values)),
                time_of(whole),
            )
        )
    print(f"{len(rows)} calculations, {ROUNDS} rounds each, microseconds")
    for column, label in (
        (1, "function alone"),
        (2, "text to text: inputs read, formula filled in, rendered"),
    ):
        slowest = max(rows, key=lambda row: row[column])
        middle = statistics.median(row[column] for row in rows)
        print(f"{label}: median {middle:.1f}, slowest {slowest[column]:.1f} ({slowest[0]})")


if __name__ == "__main__":
    main()
