"""The exact optimum of a small planning problem, and the exact value of a given policy.

The process: the set of faults is drawn once; each inspection can be made once and answers from
that set, before or after repairs; each repair can be tried once and cures each fault it is for
with its success, and whether the unit works is seen at once; handing over ends it; the unit is
closed up at the end. State = answer per inspection, repairs tried, access state.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from diagnose.next_step.problem import Problem

State = tuple[tuple[int, ...], int, int]
Policy = Callable[[State], tuple[str, int]]


@dataclass(frozen=True, eq=False)
class Tree:
    """All states of a problem and the mass still faulty in each."""

    problem: Problem
    answers: list[tuple[int, ...]]
    place: dict[tuple[int, ...], int]
    after: dict[tuple[int, int], np.ndarray]
    faulty: np.ndarray


def build_tree(problem: Problem) -> Tree:
    """List the answer states and weigh what is still faulty after every set of repairs."""
    sizes = [len(option.outcomes) for option in problem.inspections]
    answers = list(itertools.product(*(range(n + 1) for n in sizes)))
    place = {a: k for k, a in enumerate(answers)}
    weights = np.tile(problem.hypotheses.weights, (len(answers), 1))
    for i, option in enumerate(problem.inspections):
        chances = np.vstack((np.ones(weights.shape[1]), option.outcomes))
        weights *= chances[[a[i] for a in answers]]
    after = {
        (i, o): np.array([place[(*a[:i], o + 1, *a[i + 1 :])] if not a[i] else -1 for a in answers])
        for i, n in enumerate(sizes)
        for o in range(n)
    }
    return Tree(problem, answers, place, after, weights @ _still_faulty(problem).T)


def _still_faulty(problem: Problem) -> np.ndarray:
    """Give P(still faulty | set of repairs tried, set of faults)."""
    members = problem.hypotheses.members
    rows = []
    for tried in range(2 ** len(problem.repairs)):
        stays = np.ones(members.shape[1])
        for r, repair in enumerate(problem.repairs):
            if tried >> r & 1:
                stays[list(repair.cures)] *= 1.0 - repair.success
        rows.append(1.0 - np.where(members, 1.0 - stays, 1.0).prod(axis=1))
    return np.array(rows)


def solve(tree: Tree) -> np.ndarray:
    """Give the least expected minutes times mass of every state, by dynamic programming.

    Returns:
        Answers x repairs tried x access state.
    """
    problem, faulty = tree.problem, tree.faulty
    closing = problem.moves[:, problem.home]
    answered = np.array([sum(map(bool, a)) for a in tree.answers])
    value = np.empty((*faulty.shape, len(problem.moves)))
    for tried in reversed(range(faulty.shape[1])):
        mass = faulty[:, tried]
        best = mass[:, None] * (problem.hand_over + closing)
        for r, repair in enumerate(problem.repairs):
            if tried >> r & 1:
                continue
            left = tried | 1 << r
            end = (mass - faulty[:, left]) * closing[repair.access] + value[:, left, repair.access]
            best = np.minimum(
                best, mass[:, None] * (problem.moves[:, repair.access] + repair.cost) + end[:, None]
            )
        for level in reversed(range(len(problem.inspections))):
            here = answered == level
            for i, option in enumerate(problem.inspections):
                rows = np.flatnonzero(here & (tree.after[i, 0] >= 0))
                then = sum(best[tree.after[i, o][rows], option.access] for o in range(len(option.outcomes)))
                look = mass[rows, None] * (problem.moves[:, option.access] + option.minutes) + then[:, None]
                best[rows] = np.minimum(best[rows], look)
        value[:, tried] = best
    return value


def optimum(tree: Tree) -> float:
    """Give the least expected minutes from the start."""
    return float(solve(tree)[0, 0, tree.problem.at])


def best_first_steps(tree: Tree) -> set[tuple[str, int]]:
    """Name every first step of an optimal plan, to nine digits."""
    value, problem = solve(tree), tree.problem
    mass, at = tree.faulty[0, 0], problem.at
    worth = {("hand_over", -1): mass * (problem.hand_over + problem.moves[at, problem.home])}
    for r, repair in enumerate(problem.repairs):
        left = 1 << r
        closing = (mass - tree.faulty[0, left]) * problem.moves[repair.access, problem.home]
        minutes = mass * (problem.moves[at, repair.access] + repair.cost)
        worth["repair", r] = minutes + closing + value[0, left, repair.access]
    for i, option in enumerate(problem.inspections):
        then = sum(value[tree.after[i, o][0], 0, option.access] for o in range(len(option.outcomes)))
        worth["inspection", i] = mass * (problem.moves[at, option.access] + option.minutes) + then
    return {step for step, cost in worth.items() if cost <= min(worth.values()) * (1 + 1e-9)}


def value_policy(tree: Tree, policy: Policy) -> float:
    """Give the exact expected minutes of a policy, following every state it can reach."""
    value: dict[State, float] = {}
    problem = tree.problem

    def follow(answers: tuple[int, ...], tried: int, at: int) -> float:
        state = (answers, tried, at)
        if state not in value:
            mass = tree.faulty[tree.place[answers], tried]
            value[state] = 0.0 if mass < 1e-12 else step(answers, tried, at, float(mass))
        return value[state]

    def step(answers: tuple[int, ...], tried: int, at: int, mass: float) -> float:
        kind, index = policy((answers, tried, at))
        if kind == "hand_over":
            return mass * (problem.hand_over + float(problem.moves[at, problem.home]))
        if kind == "repair":
            repair, left = problem.repairs[index], tried | 1 << index
            works = mass - float(tree.faulty[tree.place[answers], left])
            minutes = float(problem.moves[at, repair.access]) + repair.cost
            closing = works * float(problem.moves[repair.access, problem.home])
            return mass * minutes + closing + follow(answers, left, repair.access)
        option = problem.inspections[index]
        minutes = float(problem.moves[at, option.access]) + option.minutes
        outcomes = range(1, len(option.outcomes) + 1)
        return mass * minutes + sum(
            follow((*answers[:index], o, *answers[index + 1 :]), tried, option.access) for o in outcomes
        )

    return follow((0,) * len(problem.inspections), 0, problem.at)


def floor(problem: Problem) -> float:
    """Give the minutes no plan escapes: repairing what is there, or handing over."""
    minutes = np.full(problem.hypotheses.members.shape[1], problem.hand_over)
    for repair in problem.repairs:
        minutes[list(repair.cures)] = repair.cost
    each = np.minimum(problem.hypotheses.members @ minutes, problem.hand_over)
    return float(problem.hypotheses.weights @ each)
