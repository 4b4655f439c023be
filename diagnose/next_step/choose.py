"""The next step for one unit: an inspection, a repair, handing over, or nothing within reach.

Takes the rule base and everything known, gives a NextStep; the door to this layer.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.chaining.trace import Chained
from diagnose.facts.model import Belief
from diagnose.knowledge.acting import Inspection, Remedy
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.access import add_unknowns, compile_access, is_excluded, list_available
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.handing_over import prefer_working
from diagnose.next_step.hypotheses import WeighedSets, show_chances, weigh_sets
from diagnose.next_step.options import (
    Element,
    Situation,
    Waiting,
    build_hypotheses,
    build_inspection_option,
    build_repair_options,
    list_burdens,
    list_inspections,
    list_remedies,
    list_waiting,
)  # fmt: skip
from diagnose.next_step.outcomes import Evidence, Outcomes, list_known, list_outcomes
from diagnose.next_step.planner import RankedStep, chance_still_there, rank_steps
from diagnose.next_step.problem import Effort, Floats, Hypotheses, Problem, RepairOption, StepKind
from diagnose.next_step.screening import screen_looks
from diagnose.ranking.network import Network
from diagnose.ranking.rank import Ranking

RUNNERS_UP = 5
# A waiting repair less probable than this gets no look just to allow it.
WORTH_ALLOWING = 0.05
WITHOUT_WORK = {
    StepKind.HAND_OVER: "Hand the unit over: going on costs more than it saves",
    StepKind.NOTHING_TO_REACH: "Nothing that helps can be reached today",
}


@dataclass(frozen=True)
class Outcome:
    """One thing an inspection may show, with its probability."""

    evidence: Evidence
    probability: float


@dataclass(frozen=True)
class Candidate:
    """One possible next step.

    Attributes:
        id: Inspection or remedy; empty for handing over.
        expected: Expected minutes from now until the unit works or is handed over.
        looked_ahead: False where only one step was reckoned.
    """

    kind: StepKind
    id: str
    expected: float
    looked_ahead: bool = True


@dataclass(frozen=True)
class Why:
    """The numbers behind a choice.

    Attributes:
        best_repair: Expected minutes with the best repair first; None where none may be named.
        best_inspection: Expected minutes with the best inspection first; None where none is left.
        hand_over: Minutes of handing over now.
        probability: P(what the repair cures is there); None for other steps.
        sets: Sets of causes and states that were weighed.
        lost_mass: Probability of the sets that were not.
    """

    best_repair: float | None
    best_inspection: float | None
    hand_over: float
    probability: float | None
    sets: int
    lost_mass: float


@dataclass(frozen=True)
class NextStep:
    """What to do next.

    Attributes:
        id: Inspection or remedy; with nothing to reach the one that waits; empty for handing over.
        says: What to do, one clause.
        reveals: Observations that an inspection newly decides.
        elements: Causes, cause.modes or states that a repair puts right.
        minutes: Minutes of the work itself.
        access: Access states passed through, the present one first.
        access_minutes: Minutes of getting there.
        expected: Expected minutes from now until the unit works or is handed over.
        runners_up: The next best steps, best first.
        cautions: Ids of the safety lines, none left out.
        outcomes: What an inspection may show.
        withheld: Access states that cannot be had today.
    """

    kind: StepKind
    id: str
    says: str
    expected: float
    why: Why
    reveals: tuple[str, ...] = ()
    elements: tuple[str, ...] = ()
    minutes: float = 0.0
    access: tuple[str, ...] = ()
    access_minutes: float = 0.0
    runners_up: tuple[Candidate, ...] = ()
    tools: tuple[str, ...] = ()
    persons: int = 1
    cautions: tuple[str, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    withheld: tuple[str, ...] = ()


@dataclass(frozen=True)
class Progress:
    """What has been done at the unit so far.

    Attributes:
        at: Access state the unit is in; empty for the start state.
        tried: Remedies done after which the unit was still faulty.
        skipped: Inspections that could not be made or told nothing, remedies that were put off.
    """

    at: str = ""
    tried: frozenset[str] = frozenset()
    skipped: frozenset[str] = frozenset()


NOTHING_DONE = Progress()


@dataclass(frozen=True, eq=False)
class _Plan:
    """A problem with the records behind its options."""

    problem: Problem
    elements: tuple[Element, ...]
    situation: Situation
    inspections: tuple[tuple[Inspection, tuple[str, ...], Outcomes], ...]
    remedies: dict[str, tuple[Remedy, tuple[Element, ...]]]
    weighed: WeighedSets


def choose_next(knowledge: Knowledge, ranking: Ranking, progress: Progress = NOTHING_DONE) -> NextStep:
    """Choose the next step by expected minutes to a repaired unit.

    Args:
        knowledge: The rule base.
        ranking: Everything the ranking knows of this unit.
        progress: What has been done so far.

    Returns:
        The step with its reasons, cautions and, for an inspection, its outcomes.
    """
    situation = build_situation(knowledge, ranking.chained, ranking.beliefs, progress)
    step = _choose_in(knowledge, ranking, situation, progress)
    if step.kind in {StepKind.INSPECTION, StepKind.REPAIR} or not _is_limited(situation):
        return step
    # Would the plan be another one if everything could be reached? Then it waits for access.
    anywhere = _choose_in(knowledge, ranking, replace(situation, today=situation.possible), progress)
    if anywhere.kind is StepKind.HAND_OVER:
        return replace(step, kind=anywhere.kind, id="", elements=(), says=anywhere.says)
    waits = StepKind.NOTHING_TO_REACH
    return replace(step, kind=waits, id=anywhere.id, elements=anywhere.elements, says=WITHOUT_WORK[waits])


def _choose_in(knowledge: Knowledge, ranking: Ranking, situation: Situation, progress: Progress) -> NextStep:
    """Choose the next step in a situation."""
    plan = _build_plan(knowledge, ranking, situation, progress)
    ranked = prefer_working(rank_steps(plan.problem, Effort(shortlist=knowledge.settings.look.shortlist)))
    return _present_step(knowledge, plan, ranked, ranking.chained)


def _is_limited(situation: Situation) -> bool:
    """Tell whether some access states are there but not to be had today."""
    return bool((np.isfinite(situation.possible.minutes) & ~np.isfinite(situation.today.minutes)).any())


def build_situation(
    knowledge: Knowledge, chained: Chained, beliefs: Collection[Belief], progress: Progress
) -> Situation:
    """Gather what decides which work may be done now."""
    exclusion_atoms = add_unknowns(knowledge, chained.atoms)
    possible = [
        s
        for s, state in knowledge.access.states.items()
        if not is_excluded(state.excluded_when, exclusion_atoms)
    ]
    return Situation(
        atoms=chained.atoms,
        exclusion_atoms=exclusion_atoms,
        known=list_known(knowledge, beliefs),
        skipped=progress.skipped,
        today=compile_access(knowledge, list_available(knowledge, exclusion_atoms)),
        possible=compile_access(knowledge, possible),
        at=progress.at or knowledge.access.start,
    )


def _build_plan(knowledge: Knowledge, ranking: Ranking, situation: Situation, progress: Progress) -> _Plan:
    """Weigh the sets and lay out the options."""
    network, items = ranking.network, ranking.counted.items
    open_looks = list_inspections(knowledge, situation)
    states = _states_that_matter(knowledge, network, open_looks.values())
    weighed = weigh_sets(network, items, ranking.posterior, knowledge.settings.look, states)
    elements, hypotheses = build_hypotheses(knowledge, network, weighed)
    repairs = build_repair_options(knowledge, elements, situation, open_looks, progress.tried)
    remedies = list_remedies(knowledge, elements)
    waiting = list_waiting(repairs, remedies)
    shown = _list_chances(network, weighed, open_looks.values())
    open_looks = screen_looks(
        open_looks,
        shown,
        weighed.weights,
        access_minutes=_access_minutes(situation),
        needed=_list_needed(waiting, hypotheses, repairs),
        most=knowledge.settings.look.looks,
    )
    told = {item.observation: item.likelihood for item in items}
    looks = tuple(
        (look, new, list_outcomes(knowledge, new, told, shown)) for look, new in open_looks.values()
    )
    options = tuple(
        build_inspection_option(name, look, outcomes, situation, waiting)
        for name, (look, _, outcomes) in zip(open_looks, looks, strict=True)
    )
    problem = Problem(
        hypotheses=hypotheses,
        inspections=options,
        repairs=repairs,
        moves=situation.possible.minutes,
        at=situation.possible.index(situation.at),
        home=situation.possible.home,
        hand_over=knowledge.settings.unlisted.hand_over_minutes,
        burdens=list_burdens(knowledge, elements),
        tried=frozenset(place for place, r in enumerate(repairs) if r.id in progress.tried),
    )
    return _Plan(problem, elements, situation, looks, remedies, weighed)


def _access_minutes(situation: Situation) -> dict[str, float]:
    """Give the minutes to each access state from the present one, today."""
    ways = situation.today
    return dict(zip(ways.states, ways.minutes[ways.index(situation.at)].tolist(), strict=True))


def _list_needed(
    waiting: Iterable[Waiting], hypotheses: Hypotheses, repairs: Sequence[RepairOption]
) -> frozenset[str]:
    """Name the observations that the likelier of the waiting repairs need before they may be done."""
    return frozenset(
        name
        for waits in waiting
        if max(hypotheses.chance(element) for element in repairs[waits.place].cures) >= WORTH_ALLOWING
        for name in waits.asks
    )


def _list_chances(
    network: Network, weighed: WeighedSets, looks: Iterable[tuple[Inspection, tuple[str, ...]]]
) -> dict[str, Floats]:
    """Give P(present | set) of every observation that can be looked at, and of its group."""
    wanted = {network.index[o] for _, new in looks for o in new}
    wanted |= {member for group in network.groups if wanted.intersection(group) for member in group}
    columns = sorted(wanted)
    chances = show_chances(network, weighed.rows, weighed.sets, weighed.states, columns)
    return {network.observations[c]: chances[:, place] for place, c in enumerate(columns)}


def _states_that_matter(
    knowledge: Knowledge, network: Network, looks: Iterable[tuple[Inspection, tuple[str, ...]]]
) -> frozenset[str]:
    """Name the states that have a remedy or show in something that may be looked at."""
    seen = {observation for _, new in looks for observation in new}
    return frozenset(
        name
        for name in network.states
        if knowledge.consequences[name].remedy
        or any(link.to in seen for link in knowledge.consequences[name].links)
    )


def _present_step(
    knowledge: Knowledge, plan: _Plan, ranked: tuple[RankedStep, ...], chained: Chained
) -> NextStep:
    """Turn the best ranked step into the answer."""
    candidates = tuple(_name_step(plan, step) for step in ranked)
    withheld = list_withheld(knowledge, plan.situation)
    kind = candidates[0].kind
    step = NextStep(
        kind=kind,
        id=candidates[0].id,
        says=WITHOUT_WORK.get(kind, ""),
        expected=candidates[0].expected,
        why=_give_reasons(plan, ranked),
        runners_up=candidates[1 : 1 + RUNNERS_UP],
        withheld=withheld,
    )
    if ranked[0].kind is StepKind.INSPECTION:
        return _add_inspection(knowledge, plan, step, ranked[0].index, chained)
    return _add_repair(knowledge, plan, step, chained) if step.id else step


def _name_step(plan: _Plan, step: RankedStep) -> Candidate:
    """Name a ranked step; a repair out of reach is none that can be done."""
    if step.kind is StepKind.HAND_OVER:
        return Candidate(StepKind.HAND_OVER, "", step.minutes)
    if step.kind is StepKind.INSPECTION:
        option = plan.problem.inspections[step.index]
        return Candidate(StepKind.INSPECTION, option.id, step.minutes, step.looked_ahead)
    repair = plan.problem.repairs[step.index]
    kind = StepKind.REPAIR if repair.in_reach else StepKind.NOTHING_TO_REACH
    return Candidate(kind, repair.id, step.minutes, step.looked_ahead)


def list_withheld(knowledge: Knowledge, situation: Situation) -> tuple[str, ...]:
    """List the access states that cannot be had today, for whatever reason."""
    here = situation.today.minutes[situation.today.index(situation.at)]
    return tuple(
        s for s, minutes in zip(knowledge.access.states, here, strict=True) if not np.isfinite(minutes)
    )


def _give_reasons(plan: _Plan, ranked: tuple[RankedStep, ...]) -> Why:
    """Gather the numbers behind the choice."""
    least = {
        kind: min((step.minutes for step in ranked if step.kind is kind), default=None) for kind in StepKind
    }
    best = ranked[0]
    is_repair = best.kind is StepKind.REPAIR
    hand_over = least[StepKind.HAND_OVER]
    return Why(
        best_repair=least[StepKind.REPAIR],
        best_inspection=least[StepKind.INSPECTION],
        hand_over=plan.problem.hand_over if hand_over is None else hand_over,
        probability=chance_still_there(plan.problem, plan.problem.repairs[best.index].cures)
        if is_repair
        else None,
        sets=len(plan.weighed.weights),
        lost_mass=plan.weighed.lost_mass,
    )


def _add_inspection(
    knowledge: Knowledge, plan: _Plan, step: NextStep, index: int, chained: Chained
) -> NextStep:
    """Add what an inspection needs, and what it may show."""
    inspection, new, found = plan.inspections[index]
    outcomes = _weigh_outcomes(found, plan.problem.hypotheses)
    step = replace(step, says=inspection.says, reveals=new, outcomes=outcomes)
    return _add_work(knowledge, plan.situation, step, inspection, chained)


def _add_repair(knowledge: Knowledge, plan: _Plan, step: NextStep, chained: Chained) -> NextStep:
    """Add what a repair needs; of one that waits for access only what it puts right."""
    remedy, cured = plan.remedies[step.id]
    step = replace(step, elements=tuple(element.name for element in cured))
    if step.kind is StepKind.NOTHING_TO_REACH:
        return step
    return _add_work(knowledge, plan.situation, replace(step, says=remedy.says), remedy, chained)


def _add_work(
    knowledge: Knowledge, situation: Situation, step: NextStep, work: Inspection | Remedy, chained: Chained
) -> NextStep:
    """Add access, tools, persons and cautions."""
    ways = situation.today
    path = ways.path(situation.at, work.access)
    return replace(
        step,
        minutes=work.minutes,
        access=path,
        access_minutes=float(ways.minutes[ways.index(situation.at), ways.index(work.access)]),
        tools=work.tools,
        persons=work.persons,
        cautions=collect_cautions(knowledge, work, path, tuple(chained.cautions), chained.atoms),
    )


def _weigh_outcomes(found: Outcomes, hypotheses: Hypotheses) -> tuple[Outcome, ...]:
    """Give each outcome its probability over the weighed sets."""
    chances = found.chances @ hypotheses.weights
    return tuple(Outcome(e, float(p)) for e, p in zip(found.evidence, chances, strict=True))
