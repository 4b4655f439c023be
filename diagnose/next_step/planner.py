"""Which step first: looks and repairs by expected minutes to a working unit, two steps ahead.

Takes a problem, gives its possible first steps with their minutes; may import the other
array modules of this layer. After every first step the better of "repairs only" and "one
more look from the shortlist, then repairs only" is reckoned with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.next_step.problem import (
    Bools,
    Effort,
    Floats,
    Hypotheses,
    InspectionOption,
    Ints,
    Problem,
    RepairOption,
    StepKind,
)
from diagnose.next_step.remaining import (
    Remaining,
    compile_remaining,
    spread_mass,
    strike_working,
    try_repairs,
)  # fmt: skip
from diagnose.next_step.sequence import Bundles, Scenarios, compile_bundles, value_repairs

NO_MASS = 1e-9
# Two results that together are rarer than this are not followed: as if the second told nothing.
RARE = 1e-3


@dataclass(frozen=True)
class RankedStep:
    """One possible first step.

    Attributes:
        kind: Inspection, repair or handing over.
        index: Place in the problem's inspections or repairs; -1 for handing over.
        minutes: Expected minutes from now until the unit works or is handed over.
        looked_ahead: False where only one step was reckoned.
    """

    kind: StepKind
    index: int
    minutes: float
    looked_ahead: bool = True


@dataclass(frozen=True, eq=False)
class Tables:
    """A problem made ready: only what can be used, hypotheses cut to the heaviest.

    Attributes:
        places: Places of the usable repairs in the problem.
        outcomes: P(outcome | hypothesis) of all inspections below each other.
        starts: First row of each inspection in `outcomes`, and the end of the last.
    """

    problem: Problem
    repairs: tuple[RepairOption, ...]
    places: tuple[int, ...]
    remaining: Remaining
    bundles: Bundles
    weights: Floats
    outcomes: Floats
    starts: Ints
    tried: tuple[int, ...]


def rank_steps(problem: Problem, effort: Effort) -> tuple[RankedStep, ...]:
    """Rank what may be done first, best first.

    Equal cost puts a repair before an inspection: looking further must save something.

    Args:
        problem: What may be wrong, looked at and put right.
        effort: How far to look.

    Returns:
        Repairs that may be the next step, inspections, handing over; inspections outside
        the shortlist last, valued by one step.
    """
    tables = _compile_tables(problem, effort)
    looks = _value_looks_one_step(tables)
    shortlist = _shorten(tables, looks, effort)
    repairs = _list_first_repairs(tables, effort)
    ahead = _value_ahead(tables, shortlist, repairs)
    steps = [RankedStep(StepKind.HAND_OVER, -1, _value_handing_over(tables))]
    steps += [RankedStep(StepKind.REPAIR, tables.places[r], ahead[r]) for r in repairs]
    steps += [RankedStep(StepKind.INSPECTION, i, ahead[-1 - i]) for i in shortlist]
    rest = [i for i in np.argsort(looks, kind="stable") if i not in shortlist and np.isfinite(looks[i])]
    return (
        *sorted(steps, key=_order_steps),
        *(RankedStep(StepKind.INSPECTION, int(i), float(looks[i]), looked_ahead=False) for i in rest),
    )


def _order_steps(step: RankedStep) -> tuple[float, int, int]:
    """Order by minutes (ninth digit), then repair, handing over, inspection."""
    kinds = (StepKind.REPAIR, StepKind.HAND_OVER, StepKind.INSPECTION)
    return (float(f"{step.minutes:.9e}"), kinds.index(step.kind), step.index)


def cut_hypotheses(problem: Problem, sets: int) -> Ints:
    """Name the hypotheses likeliest after the failed repairs, at most so many, in their order."""
    still = problem.hypotheses.weights * _still_faulty(problem)
    return np.sort(np.argsort(-still, kind="stable")[:sets])


def _stays(problem: Problem) -> Floats:
    """Give P(element still there | it was there, all the tried repairs done)."""
    stays = np.ones(len(problem.hypotheses.elements))
    for tried in problem.tried:
        stays[list(problem.repairs[tried].cures)] *= 1.0 - problem.repairs[tried].success
    return stays


def _still_faulty(problem: Problem) -> Floats:
    """Give P(not all of a hypothesis is cured by the tried repairs) for each hypothesis."""
    gone = np.where(problem.hypotheses.members, 1.0 - _stays(problem), 1.0)
    return np.asarray(1.0 - gone.prod(axis=1))


def _compile_tables(problem: Problem, effort: Effort) -> Tables:
    """Make a problem ready for valuing many scenarios."""
    kept = cut_hypotheses(problem, effort.sets)
    weights = problem.hypotheses.weights[kept] / problem.hypotheses.weights[kept].sum()
    cut = Hypotheses(problem.hypotheses.elements, problem.hypotheses.members[kept], weights)
    places = tuple(r for r in range(len(problem.repairs)) if _is_usable(problem, r))
    repairs = tuple(problem.repairs[r] for r in places)
    remaining = compile_remaining(cut, repairs)
    outcomes = [i.outcomes[:, kept] for i in problem.inspections]
    return Tables(
        problem=problem,
        repairs=repairs,
        places=places,
        remaining=remaining,
        bundles=compile_bundles(problem, repairs, remaining, spread_mass(remaining, weights[None])[0]),
        weights=weights,
        outcomes=np.concatenate([np.zeros((0, len(kept))), *outcomes]),
        starts=np.cumsum([0, *(len(o) for o in outcomes)]),
        tried=tuple(places.index(r) for r in sorted(problem.tried)),
    )


def _is_usable(problem: Problem, repair: int) -> bool:
    """Tell whether a repair can be reached and left again, or has been tried already."""
    access = problem.repairs[repair].access
    way = problem.moves[problem.at, access] + problem.moves[access, problem.home]
    return repair in problem.tried or bool(np.isfinite(way))


@dataclass(frozen=True, eq=False)
class _Branches:
    """First steps and what each may show, one row a result.

    Attributes:
        weights: Weights of the hypotheses times the chance of the result.
        at: Access state after the step.
        repair: Repair tried in the step, -1 for a look.
        look: Inspection made in the step, -1 for a repair.
        extra: Minutes on repairs that are not allowed yet.
    """

    weights: Floats
    at: Ints
    repair: Ints
    look: Ints
    extra: Floats


def _remaining_mass(tables: Tables, weights: Floats) -> Floats:
    """Give the masses of the sets that remain after the tried repairs; scenarios x columns."""
    mass = spread_mass(tables.remaining, weights)
    for repair in tables.tried:
        mass = try_repairs(tables.remaining, mass, np.full(len(mass), repair))
    return mass


def _faulty_mass(tables: Tables) -> Floats:
    """Give the masses of the sets that may be there now, what works struck."""
    return np.asarray(strike_working(_remaining_mass(tables, tables.weights[None]))[0])


def _value_handing_over(tables: Tables) -> float:
    """Value handing over now."""
    mass = _faulty_mass(tables)
    closing = tables.problem.moves[tables.problem.at, tables.problem.home]
    return float(mass @ tables.bundles.handed_over / mass.sum() + closing)


def _value_branches(tables: Tables, branches: _Branches) -> tuple[Floats, Floats]:
    """Give the minutes of repairs only after each branch, and the mass still faulty there."""
    mass = _remaining_mass(tables, branches.weights)
    tried = np.zeros((len(mass), len(tables.repairs)), dtype=bool)
    tried[:, list(tables.tried)] = True
    rows = np.flatnonzero(branches.repair >= 0)
    if rows.size:
        mass[rows] = try_repairs(tables.remaining, mass[rows], branches.repair[rows])
        tried[rows, branches.repair[rows]] = True
    mass = strike_working(mass)
    scenarios = Scenarios(mass, branches.at, tried, branches.extra)
    value = value_repairs(tables.problem, tables.repairs, tables.remaining, tables.bundles, scenarios)
    return value, mass.sum(axis=1)


def _look_branches(tables: Tables, looks: Ints) -> _Branches:
    """Lay out every outcome of some inspections."""
    rows = np.concatenate([np.arange(0), *(np.arange(tables.starts[i], tables.starts[i + 1]) for i in looks)])
    rows = rows.astype(np.int64)
    look = np.searchsorted(tables.starts, rows, side="right") - 1
    extra = np.tile(_extra_minutes(tables), (len(rows), 1))
    for place, row in enumerate(rows):
        option = tables.problem.inspections[look[place]]
        for outcome, repair in option.frees:
            if outcome == row - tables.starts[look[place]] and repair in tables.places:
                extra[place, tables.places.index(repair)] = 0.0
    return _Branches(
        weights=tables.outcomes[rows] * tables.weights,
        at=np.array([tables.problem.inspections[i].access for i in look], dtype=np.int64),
        repair=np.full(len(rows), -1),
        look=look,
        extra=extra,
    )


def _extra_minutes(tables: Tables) -> Floats:
    """Give the minutes that repairs not allowed yet cost on top."""
    return np.array([0.0 if r.allowed else r.minutes_to_allow for r in tables.repairs])


def _repair_branches(tables: Tables, repairs: tuple[int, ...]) -> _Branches:
    """Lay out "still faulty" after each of some repairs."""
    return _Branches(
        weights=np.tile(tables.weights, (len(repairs), 1)),
        at=np.array([tables.repairs[r].access for r in repairs], dtype=np.int64),
        repair=np.array(repairs, dtype=np.int64),
        look=np.full(len(repairs), -1),
        extra=np.tile(_extra_minutes(tables), (len(repairs), 1)),
    )


def _look_minutes(problem: Problem, option: InspectionOption) -> Floats:
    """Give the minutes of a look from each access state."""
    return problem.moves[:, option.access] + option.minutes


def _value_looks_one_step(tables: Tables) -> Floats:
    """Value each inspection followed by repairs only; infinite where there is no way to it."""
    problem = tables.problem
    if not problem.inspections:
        return np.zeros(0)
    faulty = _faulty_mass(tables).sum()
    branches = _look_branches(tables, np.arange(len(problem.inspections)))
    value, _ = _value_branches(tables, branches)
    minutes = np.array([_look_minutes(problem, i)[problem.at] for i in problem.inspections])
    return np.asarray(minutes + np.add.reduceat(value, tables.starts[:-1]) / faulty)


def _shorten(tables: Tables, looks: Floats, effort: Effort) -> tuple[int, ...]:
    """Take the best looks by one step, fewer where they have many outcomes."""
    sizes = np.diff(tables.starts)
    order = [int(i) for i in np.argsort(looks, kind="stable")[: effort.shortlist] if np.isfinite(looks[i])]
    room = np.cumsum(sizes[order]) <= 4 * effort.shortlist
    return tuple(i for i, fits in zip(order, room, strict=True) if fits)


def _list_first_repairs(tables: Tables, effort: Effort) -> tuple[int, ...]:
    """List the repairs worth weighing as the next step, the greedy first one among them."""
    able = [r for r in range(len(tables.repairs)) if _may_be_next(tables, r)]
    if not able:
        return ()
    mass = _remaining_mass(tables, tables.weights[None])
    gain = (mass @ tables.bundles.finish)[0] / (tables.bundles.minutes[tables.problem.at] + NO_MASS)
    best = np.array([np.where(tables.bundles.members[:, r], gain, 0.0).max() for r in able])
    return tuple(able[k] for k in np.argsort(-best, kind="stable")[: effort.repairs])


def _may_be_next(tables: Tables, repair: int) -> bool:
    """Tell whether a repair may be named now: allowed, not tried, probable enough."""
    option = tables.repairs[repair]
    if not option.allowed or repair in tables.tried:
        return False
    if option.roots and chance_still_there(tables.problem, option.roots) >= option.root_probability:
        return False
    return chance_still_there(tables.problem, option.cures) >= option.needs_probability


def chance_still_there(problem: Problem, elements: tuple[int, ...]) -> float:
    """Give P(one of some elements is there | still faulty after what was tried).

    Args:
        problem: The problem.
        elements: Indices of the elements.

    Returns:
        A probability over all hypotheses of the problem.
    """
    weights = problem.hypotheses.weights
    cures = list(elements)
    gone = np.where(problem.hypotheses.members[:, cures], 1.0 - _stays(problem)[cures], 1.0)
    there = weights @ (1.0 - gone.prod(axis=1))
    faulty = weights @ _still_faulty(problem)
    return float(there / faulty) if faulty > 0 else 0.0


def _value_ahead(tables: Tables, shortlist: tuple[int, ...], repairs: tuple[int, ...]) -> dict[int, float]:
    """Value first steps two ahead: repairs under their index r, inspections i under -1 - i."""
    problem, looks = tables.problem, np.array(shortlist, dtype=np.int64)
    after_looks, after_repairs = _look_branches(tables, looks), _repair_branches(tables, repairs)
    branches = _join_branches(after_looks, after_repairs)
    value, faulty = _value_best_second(tables, branches, shortlist)
    whole = float(_faulty_mass(tables).sum())
    ahead = {}
    for i in shortlist:
        minutes = float(_look_minutes(problem, problem.inspections[i])[problem.at])
        ahead[-1 - i] = minutes + float(value[branches.look == i].sum()) / whole
    for row, r in enumerate(repairs, start=len(after_looks.at)):
        option = tables.repairs[r]
        works = 1.0 - float(faulty[row]) / whole
        closing = problem.moves[option.access, problem.home]
        minutes = float(problem.moves[problem.at, option.access] + option.cost + works * closing)
        ahead[r] = minutes + float(value[row]) / whole
    return ahead


def _join_branches(one: _Branches, other: _Branches) -> _Branches:
    """Put branches below each other."""
    return _Branches(
        *(np.concatenate((getattr(one, name), getattr(other, name))) for name in _Branches.__annotations__)
    )


def _value_best_second(
    tables: Tables, branches: _Branches, shortlist: tuple[int, ...]
) -> tuple[Floats, Floats]:
    """Give each branch the better of repairs only and one more look from the shortlist."""
    if not shortlist:
        return _value_branches(tables, branches)
    looks = _look_branches(tables, np.array(shortlist, dtype=np.int64))
    minutes = np.stack(
        [_look_minutes(tables.problem, tables.problem.inspections[i]) for i in shortlist], axis=1
    )
    other = branches.look[:, None] != np.array(shortlist)
    sizes = np.diff(tables.starts)[list(shortlist)]
    value, faulty, after = _follow_looks(tables, branches, looks, np.repeat(other, sizes, axis=1))
    spent = faulty[:, None] * minutes[branches.at]
    starts = np.concatenate(([0], np.cumsum(sizes)[:-1]))
    total = np.where(other, spent + np.add.reduceat(after, starts, axis=1), np.inf)
    return np.minimum(value, total.min(axis=1)), faulty


def _follow_looks(
    tables: Tables, first: _Branches, second: _Branches, wanted: Bools
) -> tuple[Floats, Floats, Floats]:
    """Value branches by repairs only, and followed by the outcomes of a second look.

    Two looks from the same place end alike in either order, so one order of them is followed.

    Args:
        tables: The tables.
        first: Outcomes of the second looks themselves, in their order, then other branches.
        second: Outcomes of the second looks.
        wanted: Which branch to follow by which outcome.

    Returns:
        Minutes and faulty mass of each branch, and minutes after each second outcome; branches x
        outcomes. What hardly occurs is not followed but keeps its share of the minutes without it.
    """
    start = tables.weights
    chance = second.weights / np.where(start > 0, start, 1.0)
    mass = first.weights @ chance.T
    followed = (mass > RARE) & wanted
    swapped = np.zeros_like(followed)
    swapped[: len(second.at)] = np.tril(second.at[:, None] == second.at, -1)
    upper, lower = np.nonzero(followed & ~swapped)
    crossed = _Branches(
        weights=first.weights[upper] * chance[lower],
        at=second.at[lower],
        repair=first.repair[upper],
        look=second.look[lower],
        extra=np.minimum(first.extra[upper], second.extra[lower]),
    )
    values, faulty = _value_branches(tables, _join_branches(first, crossed))
    count = len(first.at)
    value = values[:count]
    after = mass * (value / np.maximum(first.weights.sum(axis=1), NO_MASS))[:, None]
    after[upper, lower] = values[count:]
    upper, lower = np.nonzero(followed & swapped)
    after[upper, lower] = after[lower, upper]
    return value, faulty[:count], np.asarray(after)
