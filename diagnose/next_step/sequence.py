"""Expected minutes of putting a unit right by repairs alone, for many scenarios at once.

Takes masses over remaining sets, gives minutes; may import problem and remaining.
The order is by the probability that a repair (or a few needed together) makes the unit work,
over its minutes: Heckerman, Breese, Rommelse 1995, with access as in Langseth and Jensen 2001.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
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
        worth: What a mass is multiplied by to weigh it: `finish`, `touch`, `handed_over` and 1.
        apart: 1 where the bundle does not hold the repair; repairs x bundles.
        handed_over: Minutes of handing over each remaining set, closing up apart.
        later: Handicap of each repair when a bundle begins: by rank, 1000 if outside it.
    """

    members: Bools
    finish: Floats
    touch: Floats
    minutes: Floats
    worth: Floats
    apart: Floats
    handed_over: Floats
    later: Floats


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
    count = len(problem.hypotheses.elements)
    finish, touch = _tabulate_chances(repairs, remaining, members)
    handed_over = problem.hand_over + np.array(problem.burdens or [0.0] * count) @ remaining.holds[:count]
    return Bundles(
        members=members,
        finish=finish,
        touch=touch,
        worth=np.column_stack((finish, touch, handed_over, np.ones(len(handed_over)))),
        apart=1.0 - members.T,
        handed_over=handed_over,
        later=np.where(members, [2.0 * r.rank for r in repairs], 1000.0),
        minutes=_tabulate_minutes(problem, repairs, groups),
    )


def _list_groups(
    repairs: tuple[RepairOption, ...], remaining: Remaining, weights: Floats, limit: int
) -> list[tuple[int, ...]]:
    """List each repair alone, then the repairs of the heaviest sets of several elements."""
    groups: dict[tuple[int, ...], None] = {(r,): None for r in range(len(repairs))}
    cheapest: dict[int, int] = {}
    for r in sorted(range(len(repairs)), key=lambda r: (repairs[r].cost, r)):
        for element in repairs[r].cures:
            cheapest.setdefault(element, r)
    for column in np.argsort(-weights, kind="stable"):
        if weights[column] <= 0 or len(groups) >= len(repairs) + limit:
            break
        group = _cover_set(repairs, cheapest, np.flatnonzero(remaining.holds[:, column]).tolist())
        if group:
            groups[group] = None
    return list(groups)


def _cover_set(
    repairs: tuple[RepairOption, ...], cheapest: dict[int, int], elements: list[int]
) -> tuple[int, ...]:
    """Name the cheapest repair of each element of a set; nothing if one cannot be cured."""
    if not cheapest.keys() >= set(elements):
        return ()
    chosen = {cheapest[element] for element in elements}
    return tuple(sorted(chosen, key=lambda r: (repairs[r].access, r)))


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


def _tabulate_minutes(
    problem: Problem, repairs: tuple[RepairOption, ...], groups: list[tuple[int, ...]]
) -> Floats:
    """Add up the minutes of every bundle from each access state; states x bundles."""
    minutes = [_sum_minutes(problem, repairs, group) for group in groups]
    return np.array(minutes).reshape(len(groups), len(problem.moves)).T


def _sum_minutes(problem: Problem, repairs: tuple[RepairOption, ...], group: tuple[int, ...]) -> Floats:
    """Add up the minutes of a bundle in its order, from each access state."""
    places = [repairs[r].access for r in group]
    within = sum(float(problem.moves[a, b]) for a, b in pairwise(places))
    return problem.moves[:, places[0]] + within + sum(repairs[r].cost for r in group)


@dataclass(frozen=True, eq=False)
class _Walk:
    """Where the scenarios that still repair have got to.

    Attributes:
        rows: Scenario of each row.
        mass: Masses of the remaining sets, what works struck.
        at: Access state.
        open: 1 for bundles of which nothing has been tried yet.
        extra: Minutes on top of each bundle.
        enough: Mass below which what can still be cured is not followed.
    """

    rows: Ints
    mass: Floats
    at: Ints
    open: Floats
    extra: Floats
    enough: Floats

    def keep(self, going: Bools) -> _Walk:
        """Keep some rows."""
        return _Walk(*(getattr(self, field.name)[going] for field in fields(self)))


def value_repairs(
    problem: Problem,
    repairs: tuple[RepairOption, ...],
    remaining: Remaining,
    bundles: Bundles,
    scenarios: Scenarios,
) -> Floats:
    """Value the greedy order of repairs in each scenario, handing over where that is cheaper.

    Args:
        problem: Gives access minutes and the cost of handing over.
        repairs: The repairs that can be used.
        remaining: The tables of the remaining sets.
        bundles: The bundles.
        scenarios: The situations.

    Returns:
        Expected minutes times the mass of the scenario, closing up included.
    """
    access = np.array([r.access for r in repairs], dtype=np.int64)
    closing = problem.moves[:, problem.home]
    steps: list[tuple[Ints, Floats, Floats]] = []
    walk = _start_walk(bundles, scenarios)
    value = np.asarray(walk.mass @ bundles.handed_over + walk.mass.sum(axis=1) * closing[walk.at])
    while repairs and walk.rows.size:
        chances = walk.mass @ bundles.worth
        whole = chances[:, -1]
        value[walk.rows] = handed_over = chances[:, -2] + whole * closing[walk.at]
        chosen, minutes, curable = _choose_repairs(bundles, walk, chances)
        paid = whole * minutes
        # what no repair left can cure is handed over in the end: going on costs at least this
        least = paid + (whole - curable) * problem.hand_over
        going = (curable > walk.enough) & (least < handed_over)
        if not going.all():
            walk, chosen, paid, handed_over = walk.keep(going), chosen[going], paid[going], handed_over[going]
        mass, at = try_repairs(remaining, walk.mass, chosen), access[chosen]
        steps.append((walk.rows, handed_over, paid + mass[:, 0] * closing[at]))
        mass[:, 0] = 0.0
        walk = replace(walk, mass=mass, at=at, open=walk.open * bundles.apart[chosen])
    for rows, handed_over, paid in reversed(steps):
        value[rows] = np.minimum(handed_over, paid + value[rows])
    return value


def _start_walk(bundles: Bundles, scenarios: Scenarios) -> _Walk:
    """Start all scenarios."""
    mass = strike_working(scenarios.mass)
    return _Walk(
        rows=np.arange(len(mass)),
        mass=mass,
        at=scenarios.at,
        open=1.0 - np.minimum(scenarios.tried @ bundles.members.T.astype(float), 1.0),
        extra=scenarios.extra @ bundles.members.T + SMALL,
        enough=mass.sum(axis=1) * TAIL,
    )


def _choose_repairs(bundles: Bundles, walk: _Walk, chances: Floats) -> tuple[Ints, Floats, Floats]:
    """Choose in each scenario the next repair, give its minutes, and how much repairs can still cure.

    It is the first of the bundle that yields most a minute: of the lowest rank, then of the
    greatest yield alone.
    """
    singles, count = bundles.touch.shape[1], len(bundles.members)
    marginal = chances[:, count:-2] * walk.open[:, :singles]
    gain = chances[:, :count]
    gain[:, :singles] += FAINT * marginal
    minutes = bundles.minutes[walk.at] + walk.extra
    yields = gain * walk.open / minutes
    best = np.argmax(yields, axis=1)
    alone = yields[:, :singles]
    order = alone / (alone.max(axis=1, keepdims=True) + SMALL * FAINT) - bundles.later[best]
    chosen = np.argmax(order, axis=1)
    minutes = minutes[np.arange(len(chosen)), chosen] - SMALL
    return chosen, minutes, marginal.sum(axis=1)
