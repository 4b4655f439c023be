"""Made-up planning problems with fixed seeds, small enough for the exact optimum.

The settings are fixed before any planner is run; no problem is dropped.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np
from planner_optimum import Policy, State

from diagnose.next_step.planner import rank_steps
from diagnose.next_step.problem import Effort, Hypotheses, InspectionOption, Problem, RepairOption, StepKind

STRENGTHS = (0.98, 0.9, 0.7, 0.35, 0.1)
BACKGROUNDS = (0.001, 0.005, 0.02, 0.05)
UNLISTED_SHARE = 0.05


@dataclass(frozen=True)
class Setting:
    """What a family of problems has in common."""

    prior_scale: float
    steep: bool
    causes: int = 6
    inspections: int = 5

    @property
    def name(self) -> str:
        """Say the setting in one short line."""
        return f"prior scale {self.prior_scale:g}, {'steep' if self.steep else 'flat'} costs"


def all_sets(count: int) -> np.ndarray:
    """List every set of elements but the empty one, as rows of truth values."""
    return np.array(list(itertools.product((False, True), repeat=count)))[1:]


def weigh_sets(members: np.ndarray, priors: np.ndarray) -> np.ndarray:
    """Weigh sets of independent elements, given that there is at least one."""
    weights = np.where(members, priors, 1.0 - priors).prod(axis=1)
    return weights / weights.sum()


def noisy_or(members: np.ndarray, links: np.ndarray, background: float) -> np.ndarray:
    """Give (present, absent) chances of one observation under each set."""
    absent = (1.0 - background) * np.where(members, 1.0 - links, 1.0).prod(axis=1)
    return np.array([1.0 - absent, absent])


def draw_minutes(
    rng: np.random.Generator, setting: Setting, count: int, flat: tuple, steep: tuple
) -> np.ndarray:
    """Draw minutes evenly (flat) or evenly in the logarithm (steep), whole tenths."""
    low, high = steep if setting.steep else flat
    drawn = (
        np.exp(rng.uniform(np.log(low), np.log(high), count))
        if setting.steep
        else rng.uniform(low, high, count)
    )
    return np.round(drawn, 1)


def draw_moves(rng: np.random.Generator) -> np.ndarray:
    """Draw the minutes between nothing opened and two covers of which one can be open."""
    open_one, open_two, close_one, close_two = np.round(rng.uniform(4, 20, 4), 1)
    return np.array(
        [
            [0.0, open_one, open_two],
            [close_one, 0.0, close_one + open_two],
            [close_two, close_two + open_one, 0.0],
        ]
    )


def draw_problem(setting: Setting, seed: int, links_off: float = 1.0) -> tuple[Problem, Problem]:
    """Draw a problem and the same one with links off by a factor in odds, either way.

    Returns:
        What the planner believes, and how things are; equal for a factor of 1.
    """
    rng = np.random.default_rng([seed, int(setting.prior_scale * 100), setting.steep])
    causes, looks = setting.causes, setting.inspections
    shares = rng.dirichlet(np.ones(causes)) * (1 - UNLISTED_SHARE)
    priors = setting.prior_scale * np.append(shares, UNLISTED_SHARE)
    members = all_sets(causes + 1)
    links = np.where(rng.random((looks, causes)) < 0.45, rng.choice(STRENGTHS, (looks, causes)), 0.0)
    links = np.column_stack((links, links @ shares))
    backgrounds = rng.choice(BACKGROUNDS, looks)
    look_minutes = draw_minutes(rng, setting, looks, (3, 10), (1, 30))
    look_access = rng.choice(3, looks, p=(0.3, 0.35, 0.35))
    repair_minutes = draw_minutes(rng, setting, causes, (15, 35), (5, 150))
    repair_access = rng.choice(3, causes, p=(0.2, 0.4, 0.4))
    repairs = tuple(
        RepairOption(f"r{c}", (c,), float(repair_minutes[c]), int(repair_access[c]), 0.95, 5.0)
        for c in range(causes)
    )
    moves = draw_moves(rng)
    hypotheses = Hypotheses(
        tuple(f"c{c}" for c in range(causes)) + ("unlisted",), members, weigh_sets(members, priors)
    )
    factor = np.where(rng.random(links.shape) < 0.5, links_off, 1 / links_off)
    odds = links / (1 - links) * factor

    def build(of_links: np.ndarray) -> Problem:
        options = tuple(
            InspectionOption(
                f"i{i}",
                float(look_minutes[i]),
                int(look_access[i]),
                noisy_or(members, of_links[i], backgrounds[i]),
            )
            for i in range(looks)
        )
        return Problem(hypotheses, options, repairs, moves, at=0, home=0, hand_over=240.0)

    return build(links), build(odds / (1 + odds))


def at_state(problem: Problem, answers: tuple, tried: frozenset, at: int, mass: float = 0.95) -> Problem:
    """Give the problem as it stands after some answers and failed repairs.

    As in the program, sets of one and two elements are weighed, then larger ones up to four
    until they hold the mass; looks already made are gone.
    """
    weights = problem.hypotheses.weights.copy()
    for option, answer in zip(problem.inspections, answers, strict=True):
        if answer:
            weights = weights * option.outcomes[answer - 1]
    stays = np.ones(problem.hypotheses.members.shape[1])
    for repair in tried:
        stays[list(problem.repairs[repair].cures)] *= 1 - problem.repairs[repair].success
    faulty = weights * (1 - np.where(problem.hypotheses.members, 1 - stays, 1.0).prod(axis=1))
    sizes = problem.hypotheses.members.sum(axis=1)
    largest = next((k for k in (2, 3) if faulty[sizes <= k].sum() >= mass * faulty.sum()), 4)
    kept = (sizes <= largest) & (weights > 0)
    hypotheses = Hypotheses(
        problem.hypotheses.elements, problem.hypotheses.members[kept], weights[kept] / weights[kept].sum()
    )
    left = tuple(
        replace(option, outcomes=option.outcomes[:, kept])
        for option, answer in zip(problem.inspections, answers, strict=True)
        if not answer
    )
    return replace(problem, hypotheses=hypotheses, inspections=left, at=at, tried=tried)


def planner_policy(believed: Problem, effort: Effort | None = None) -> Policy:
    """Follow the program's planner, asked afresh in every state, on what it believes."""

    def choose(state: State) -> tuple[str, int]:
        answers, tried, at = state
        done = frozenset(r for r in range(len(believed.repairs)) if tried >> r & 1)
        step = rank_steps(at_state(believed, answers, done, at), effort or Effort())[0]
        if step.kind is StepKind.INSPECTION:
            left = [i for i, answer in enumerate(answers) if not answer]
            return "inspection", left[step.index]
        return step.kind.value, step.index

    return choose


def fixed_order(order: tuple[int, ...]) -> Policy:
    """Try repairs in a fixed order, then hand over."""

    def choose(state: State) -> tuple[str, int]:
        left = [r for r in order if not state[1] >> r & 1]
        return ("repair", left[0]) if left else ("hand_over", -1)

    return choose
