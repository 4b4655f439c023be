"""Print the time of chaining one case over the shipped rules: `python tests/benchmarks/chaining_speed.py`."""

from __future__ import annotations

import random
import statistics
import time

from diagnose.chaining.compile import compile_rules
from diagnose.chaining.engine import run_engine
from diagnose.chaining.plain import run_plain
from diagnose.chaining.trace import chain
from diagnose.facts.model import Belief, CircumstanceFact, Origin, OriginKind
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

CASES = 500


def draw_case(knowledge, rng):
    """Draw 7 to 10 observations and 3 to 5 circumstances."""
    names = rng.sample(sorted(knowledge.observations), rng.randint(7, 10))
    beliefs = [Belief(n, rng.choice([(1.0, 0.0), (0.0, 1.0)]), (), contradicted=False) for n in names]
    told = [
        CircumstanceFact(n, rng.choice(sorted(knowledge.circumstances[n].values)), rng.random() < 0.5, Origin(OriginKind.CASE))
        for n in rng.sample(sorted(knowledge.circumstances), rng.randint(3, 5))
    ]  # fmt: skip
    return beliefs, told


def main():
    """Time loading apart, compiling, the first case, and the median case of both evaluators."""
    knowledge = load_knowledge(rules_directory())
    start = time.perf_counter()
    compiled = compile_rules(knowledge)
    compiling = time.perf_counter() - start
    rng = random.Random(1)
    cases = [draw_case(knowledge, rng) for _ in range(CASES)]
    start = time.perf_counter()
    chain(knowledge, compiled, *cases[0])
    first = time.perf_counter() - start
    sizes = [sum(1 for rule in stage) for stage in compiled.stages]
    atoms = {atom for rule in compiled.rules for atom in rule.atoms}
    print(f"{len(compiled.rules)} compiled rules in stages of {sizes}, {len(atoms)} atoms")
    print(f"compiling {compiling * 1e3:.1f} ms, first case with registering {first * 1e3:.1f} ms")
    for run in (run_engine, run_plain):
        times, fired = [], []
        for case in cases:
            start = time.perf_counter()
            chained = chain(knowledge, compiled, *case, run=run)
            times.append((time.perf_counter() - start) * 1e3)
            fired.append(len(chained.firings))
        worst = sorted(times)[-CASES // 20]
        print(
            f"{run.__name__}: median {statistics.median(times):.2f} ms, 95 % below {worst:.2f} ms,"
            f" {statistics.mean(fired):.1f} firings a case"
        )


if __name__ == "__main__":
    main()
