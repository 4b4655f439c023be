"""How far the planner is from the exact optimum, and what simpler orders of work cost.

Run `python tests/benchmarks/bench_planner.py [--quick] [--processes N]`. Every planner is asked
afresh in every state its own plan reaches, conditioned on all answers, with the same access
minutes, and its plan is valued exactly on the tree the optimum is computed on: nothing is
simulated. Problems, seeds and settings are fixed in planner_problems.py; none is dropped.

Process: 6 causes and something unlisted, 5 yes/no inspections, nothing open or one of two covers;
each inspection once, before or after repairs, answering from the set of faults as found; each
repair once, success .95, checked at once; handing over costs 240 minutes.
"""

import argparse
import sys
import time
from multiprocessing import Pool
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from planner_optimum import Policy, State, build_tree, floor, optimum, value_policy
from planner_problems import Setting, at_state, draw_problem, planner_policy

from diagnose.next_step.planner import chance_still_there, rank_steps
from diagnose.next_step.problem import Effort, Hypotheses, InspectionOption, Problem, RepairOption

SETTINGS = tuple(Setting(scale, steep) for scale in (0.05, 0.15, 1.0) for steep in (False, True))
LINKS_OFF = 2.0
HARDLY = 0.05  # orders without a planner hand over when no repair left is more probable


def _situation(believed: Problem, state: State) -> tuple[Problem, list[int], dict[int, float], np.ndarray]:
    """Give the problem as it stands, the looks left, the repairs worth trying, their minutes."""
    answers, tried, at = state
    done = frozenset(r for r in range(len(believed.repairs)) if tried >> r & 1)
    problem = at_state(believed, answers, done, at)
    looks = [i for i, answer in enumerate(answers) if not answer]
    chances = {
        r: chance_still_there(problem, repair.cures)
        for r, repair in enumerate(problem.repairs)
        if r not in done
    }
    minutes = np.array([problem.moves[at, r.access] + r.cost for r in problem.repairs])
    return problem, looks, {r: p for r, p in chances.items() if p > HARDLY}, minutes


def cheapest_first(believed: Problem) -> Policy:
    """Do the cheapest thing not done yet, look or repair."""

    def choose(state: State) -> tuple[str, int]:
        problem, looks, chances, minutes = _situation(believed, state)
        if not chances:
            return "hand_over", -1
        costs = [
            (problem.moves[state[2], o.access] + o.minutes, "inspection", i)
            for i, o in zip(looks, problem.inspections, strict=True)
        ]
        costs += [(minutes[r], "repair", r) for r in chances]
        return min(costs)[1:]

    return choose


def most_probable_first(believed: Problem) -> Policy:
    """Repair the most probable cause, no looks."""

    def choose(state: State) -> tuple[str, int]:
        _, _, chances, _ = _situation(believed, state)
        return ("repair", max(chances, key=lambda r: chances[r])) if chances else ("hand_over", -1)

    return choose


def probability_over_minutes(believed: Problem) -> Policy:
    """Repair by probability over minutes, no looks."""

    def choose(state: State) -> tuple[str, int]:
        _, _, chances, minutes = _situation(believed, state)
        return (
            ("repair", max(chances, key=lambda r: chances[r] / minutes[r])) if chances else ("hand_over", -1)
        )

    return choose


def look_until_half(believed: Problem) -> Policy:
    """Look by information a minute until a cause passes one half, then probability over minutes."""

    def choose(state: State) -> tuple[str, int]:
        problem, looks, chances, minutes = _situation(believed, state)
        if not chances:
            return "hand_over", -1
        if looks and max(chances.values()) < 0.5:
            worth = [
                _information(problem, o) / (problem.moves[state[2], o.access] + o.minutes)
                for o in problem.inspections
            ]
            return "inspection", looks[int(np.argmax(worth))]
        return "repair", max(chances, key=lambda r: chances[r] / minutes[r])

    return choose


def _information(problem: Problem, option: InspectionOption) -> float:
    """Give the mutual information of an outcome and the set of faults."""
    joint = option.outcomes * problem.hypotheses.weights
    outcome = joint.sum(axis=1, keepdims=True)
    ratio = np.where(joint > 0, option.outcomes / np.maximum(outcome, 1e-300), 1.0)
    return float((joint * np.log(np.maximum(ratio, 1e-300))).sum())


POLICIES = {
    "planner": planner_policy,
    "look until one half": look_until_half,
    "probability over minutes": probability_over_minutes,
    "most probable first": most_probable_first,
    "cheapest first": cheapest_first,
}


def measure(task: tuple[Setting, int, float]) -> np.ndarray:
    """Give ratio to the optimum and excess over the floor for each policy on one problem."""
    setting, seed, links_off = task
    believed, true = draw_problem(setting, seed, links_off)
    tree = build_tree(true)
    best, least = optimum(tree), floor(true)
    values = np.array([value_policy(tree, make(believed)) for make in POLICIES.values()])
    return np.stack((values / best, (values - best) / (best - least)), axis=1)


def interval(values: np.ndarray, draws: int = 2000) -> tuple[float, float]:
    """Give the 95 % bootstrap interval of a mean, problems drawn with replacement."""
    rng = np.random.default_rng(7)
    means = values[rng.integers(0, len(values), (draws, len(values)))].mean(axis=1)
    return float(np.percentile(means, 2.5)), float(np.percentile(means, 97.5))


def report(setting: Setting, results: np.ndarray) -> None:
    """Print one setting: problems x policies x (ratio, excess)."""
    print(f"\n{setting.name}, {len(results)} problems")
    print(f"  {'':26}ratio mean   p95     worst (seed)   excess    over planner [95 %]")
    for k, name in enumerate(POLICIES):
        ratio, excess = results[:, k, 0], results[:, k, 1]
        line = f"  {name:26}{ratio.mean():8.4f}{np.percentile(ratio, 95):9.4f}{ratio.max():9.3f} ({ratio.argmax():3d})"
        line += f"{excess.mean():12.4f}"
        if k:
            low, high = interval(ratio - results[:, 0, 0])
            line += f"    {np.mean(ratio - results[:, 0, 0]):+.4f} [{low:+.4f}, {high:+.4f}]"
        print(line)


def large_problem(seed: int, causes: int = 16, looks: int = 60) -> Problem:
    """Draw a problem of the program's full size: three outcomes a look, all sets to size 3."""
    rng = np.random.default_rng(seed)
    index = np.arange(causes)
    members = (np.arange(1, 2**causes)[:, None] >> index & 1).astype(bool)
    members = members[members.sum(axis=1) <= 3]
    priors = rng.dirichlet(np.ones(causes)) * 0.15
    evidence = rng.gamma(0.5, size=len(members))  # stands for what was seen so far
    weights = np.where(members, priors / (1 - priors), 1.0).prod(axis=1) * evidence
    heaviest = np.argsort(-weights)[:500]
    members, weights = members[heaviest], weights[heaviest] / weights[heaviest].sum()
    moves = np.array([[0, 10, 16, 24], [0, 0, 6, 14], [6, 6, 0, 9], [12, 12, 7, 0.0]])
    options = []
    for i in range(looks):
        links = np.where(rng.random((2, causes)) < 0.3, rng.choice((0.1, 0.35, 0.7, 0.9), (2, causes)), 0.0)
        shown = 1 - 0.98 * np.where(members, 1 - links[:, None, :], 1.0).prod(axis=2)
        outcomes = np.array([shown[0], (1 - shown[0]) * shown[1], (1 - shown[0]) * (1 - shown[1])])
        options.append(
            InspectionOption(f"i{i}", float(rng.integers(1, 20)), int(rng.integers(0, 4)), outcomes)
        )
    repairs = tuple(
        RepairOption(f"r{c}", (c,), float(rng.integers(5, 90)), int(rng.integers(1, 4)), 0.95, 5.0)
        for c in range(causes - 1)
    )
    hypotheses = Hypotheses(tuple(map(str, index)), members, weights)
    return Problem(hypotheses, tuple(options), repairs, moves, 0, 0, 240.0)


def report_speed(problems: int = 20) -> None:
    """Print the processor time of one choice at full size."""
    times = []
    for seed in range(problems):
        problem = large_problem(seed)
        start = time.process_time()
        rank_steps(problem, Effort())
        times.append(1000 * (time.process_time() - start))
    print("\none choice (processor time), 16 causes, 60 inspections of 3 outcomes, 500 sets given:")
    print(f"  median {np.median(times):.1f} ms, worst of {problems} {max(times):.1f} ms")


def main() -> None:
    """Run all settings, on the true model and on one with links off by a factor of two in odds."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="20 problems a setting instead of 200")
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    count = 20 if given.quick else 200
    start = time.perf_counter()
    report_speed()
    with Pool(given.processes) as pool:
        for links_off, title in (
            (1.0, "THE PLANNER'S MODEL IS TRUE"),
            (LINKS_OFF, "LINKS OFF BY A FACTOR OF 2 IN ODDS"),
        ):
            print(f"\n{title}")
            for setting in SETTINGS:
                tasks = [(setting, seed, links_off) for seed in range(count)]
                report(setting, np.array(pool.map(measure, tasks, chunksize=5)))
    print(f"\n{time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
