"""Expected minutes of putting a unit right by repairs alone, for many scenarios at once.

Takes masses over remaining sets, gives minutes; may import problem and remaining.
The order is by the probability that a repair (or a few needed together) makes the unit work,
over its minutes: Heckerman, Breese, Rommelse 1995, with access as in Langseth and Jensen 2001.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from diagnose.next_step.problem import Bools, Floats, Ints, Problem, RepairOption
from diagnose.next_step.remaining import Remaining, strike_working, try_repairs

# Orders repairs that never make the unit work alone; too small to outweigh one that does.
FAINT = 1e-7
# Repairs that can still cure less than this part of a scenario are not followed: handed over.
TAIL = 1e-3
SMALL = 1e-9
NEVER = 1e-300


@dataclass(frozen=True, eq=False)
class Bundles:
    """Repairs, and groups of repairs that only together make the unit work.

    Attributes:
        members: Which repair belongs to which bundle; bundles x repairs. The first bundles
            are the single repairs.
        finish: P(the bundle makes the unit work | set that remains); columns x bundles.
        touch: P(the repair cures something | set that remains); columns x repairs.
        minutes: Minutes of the bundle from each access state; states x bundles.
        rank: Rank of each repair.
    """

    members: Bools
    finish: Floats
    touch: Floats
    minutes: Floats
    rank: Floats


@dataclass(frozen=True, eq=False)
class Scenarios:
    """Situations to be valued side by side.

    Attributes:
        mass: Scenarios x columns of remaining sets; rows need not add up to 1.
        at: Access state of each scenario.
        tried: Repairs already tried; scenarios x repairs.
        extra: Minutes to be added to a repair that is not allowed yet; scenarios x repairs.
    """

    mass: Floats
    at: Ints
    tried: Bools
    extra: Floats


def compile_bundles(
    problem: Problem,
    repairs: tuple[RepairOption, ...],
    remaining: Remaining,
    weights: Floats,
    limit: int = 24,
) -> Bundles:
    """List the single repairs and the groups that the heaviest larger sets call for.

    Args:
        problem: Gives the minutes between access states.
        repairs: The repairs that can be used.
        remaining: The tables of the remaining sets.
        weights: Mass of each remaining set before any repair.
        limit: Most groups to list.

    Returns:
        The bundles with their chances and minutes.
    """
    groups = _list_groups(repairs, remaining, weights, limit)
    members = np.zeros((len(groups), len(repairs)), dtype=bool)
    for row, group in enumerate(groups):
        members[row, list(group)] = True
    finish, touch = _tabulate_chances(repairs, remaining, members)
    return Bundles(
        members=members,
        finish=finish,
        touch=touch,
        rank=np.array([r.rank for r in repairs], dtype=float),
        minutes=np.stack([_sum_minutes(problem, repairs, group) for group in groups], axis=1),
    )


def _list_groups(
    repairs: tuple[RepairOption, ...], remaining: Remaining, weights: Floats, limit: int
) -> list[tuple[int, ...]]:
    """List each repair alone, then the repairs of the heaviest sets of several elements."""
    groups: dict[tuple[int, ...], None] = {(r,): None for r in range(len(repairs))}
    for column in np.argsort(-weights, kind="stable"):
        if weights[column] <= 0 or len(groups) >= len(repairs) + limit:
            break
        group = _cover_set(repairs, np.flatnonzero(remaining.holds[:, column]))
        if group:
            groups[group] = None
    return list(groups)


def _cover_set(repairs: tuple[RepairOption, ...], elements: Ints) -> tuple[int, ...]:
    """Name the cheapest repair of each element of a set; nothing if one cannot be cured."""
    chosen = []
    for element in elements:
        able = [r for r, repair in enumerate(repairs) if element in repair.cures]
        if not able:
            return ()
        chosen.append(min(able, key=lambda r: (repairs[r].cost, r)))
    return tuple(sorted(set(chosen), key=lambda r: (repairs[r].access, r)))


def _tabulate_chances(
    repairs: tuple[RepairOption, ...], remaining: Remaining, members: Bools
) -> tuple[Floats, Floats]:
    """Give P(bundle makes the unit work) and P(repair cures something) for each remaining set."""
    count = remaining.holds.shape[0] - 1
    held = remaining.holds[:count].T
    failing = np.ones((len(repairs), count))
    for row, repair in enumerate(repairs):
        failing[row, list(repair.cures)] = 1.0 - repair.success
    log_failing = np.log(np.maximum(failing, NEVER))
    cured = 1.0 - np.exp(members @ log_failing)
    finish = np.exp(held @ np.log(np.maximum(cured, NEVER)).T)
    finish[held.sum(axis=1) == 0] = 0.0
    return finish, 1.0 - np.exp(held @ log_failing.T)


def _sum_minutes(problem: Problem, repairs: tuple[RepairOption, ...], group: tuple[int, ...]) -> Floats:
    """Add up the minutes of a bundle in its order, from each access state."""
    places = [repairs[r].access for r in group]
    within = sum(float(problem.moves[a, b]) for a, b in pairwise(places))
    return problem.moves[:, places[0]] + within + sum(repairs[r].cost for r in group)


def value_repairs(
    problem: Problem,
    repairs: tuple[RepairOption, ...],
    remaining: Remaining,
    bundles: Bundles,
    scenarios: Scenarios,
) -> tuple[Floats, Ints]:
    """Value the greedy order of repairs in each scenario, handing over where that is cheaper.

    Args:
        problem: Gives access minutes and the cost of handing over.
        repairs: The repairs that can be used.
        remaining: The tables of the remaining sets.
        bundles: The bundles.
        scenarios: The situations.

    Returns:
        Expected minutes times the mass of the scenario, closing up included, and the first
        repair of each scenario (-1 where none is left).
    """
    access = np.array([r.access for r in repairs], dtype=np.int64)
    cost = np.array([r.cost for r in repairs], dtype=float)
    closing = problem.moves[:, problem.home]
    mass, at, tried, extra = strike_working(scenarios.mass), scenarios.at, scenarios.tried, scenarios.extra
    rows, first, value = np.arange(len(at)), np.full(len(at), -1), np.zeros(len(at))
    enough = mass.sum(axis=1) * TAIL
    steps: list[tuple[Ints, Floats, Floats]] = []
    for turn in range(len(repairs) + 1):
        faulty = mass.sum(axis=1)
        chosen = _choose_repairs(bundles, mass, at, tried=tried, extra=extra, enough=enough[rows])
        handed_over, going = faulty * (problem.hand_over + closing[at]), chosen >= 0
        value[rows[~going]] = handed_over[~going]
        if turn == 0:
            first = chosen
        if not going.all():
            rows, at, tried, extra = rows[going], at[going], tried[going], extra[going]
            mass, chosen, faulty, handed_over = mass[going], chosen[going], faulty[going], handed_over[going]
        if not len(rows):
            break
        mass = try_repairs(remaining, mass, chosen)
        minutes = problem.moves[at, access[chosen]] + cost[chosen] + extra[np.arange(len(rows)), chosen]
        at = access[chosen]
        steps.append((rows, handed_over, faulty * minutes + mass[:, 0] * closing[at]))
        mass[:, 0] = 0.0
        tried = tried.copy()
        tried[np.arange(len(rows)), chosen] = True
    for rows, handed_over, paid in reversed(steps):
        value[rows] = np.minimum(handed_over, paid + value[rows])
    return value, first


def _choose_repairs(
    bundles: Bundles, mass: Floats, at: Ints, *, tried: Bools, extra: Floats, enough: Floats
) -> Ints:
    """Choose in each scenario the next repair: the first of the bundle that yields most a minute."""
    singles = tried.shape[1]
    marginal = np.where(tried, 0.0, mass @ bundles.touch)
    gain = mass @ bundles.finish
    gain[:, :singles] += FAINT * marginal
    minutes = bundles.minutes[at] + extra @ bundles.members.T + SMALL
    yields = np.where(tried @ bundles.members.T, 0.0, gain / minutes)
    best = np.argmax(yields, axis=1)
    alone = yields[:, :singles]
    order = alone / (alone.max(axis=1, keepdims=True) + SMALL * FAINT) - 2 * bundles.rank
    chosen = np.argmax(np.where(bundles.members[best], order, -np.inf), axis=1)
    return np.where(marginal.sum(axis=1) > enough, chosen, -1)
