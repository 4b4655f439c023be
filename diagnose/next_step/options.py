"""The rule base as a planning problem: what may be looked at and put right, and at what price.

Takes knowledge, weighed sets and atoms, gives a Problem with the records behind it; may import
the other modules of this layer but choose.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from diagnose.knowledge.acting import Inspection, Remedy
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Atom, Condition
from diagnose.next_step.access import AccessMap, is_excluded
from diagnose.next_step.hypotheses import WeighedSets
from diagnose.next_step.outcomes import Outcomes
from diagnose.next_step.problem import Bools, Hypotheses, InspectionOption, RepairOption
from diagnose.ranking.network import UNLISTED, Network
from diagnose.ranking.sight import holds

# A question that nobody has asked yet: estimate, common practice, no source.
QUESTION_MINUTES = 1.0
# Waiting longer than this for a repair to show is not time at the unit: estimate, no source.
LONGEST_WAIT = 60.0


@dataclass(frozen=True, order=True)
class Element:
    """Something to be put right: a cause, one of its modes, or a state with a remedy."""

    id: str
    mode: str = ""
    is_state: bool = False

    @property
    def name(self) -> str:
        """Name the element in one word."""
        return f"{self.id}.{self.mode}" if self.mode else self.id


@dataclass(frozen=True, eq=False)
class Situation:
    """What decides which work may be done.

    Attributes:
        atoms: Atoms that conditions are judged on.
        exclusion_atoms: The same with "nobody knows" added, for exclusions.
        known: Observations beyond doubt.
        skipped: Inspections that could not be made or told nothing, remedies that were put off.
        today: Ways between the access states to be had today.
        possible: Ways between all access states that nothing excludes.
        at: Access state the unit is in.
    """

    atoms: frozenset[str]
    exclusion_atoms: frozenset[str]
    known: frozenset[str]
    skipped: frozenset[str]
    today: AccessMap
    possible: AccessMap
    at: str


def build_hypotheses(
    knowledge: Knowledge, network: Network, weighed: WeighedSets
) -> tuple[tuple[Element, ...], Hypotheses]:
    """Turn weighed sets of alternatives and states into sets of elements."""
    rows = [network.alternatives[row] for row in weighed.rows]
    of_rows = [tuple(map(Element, a.members, a.modes)) for a in rows]
    states = {
        s: Element(name, is_state=True)
        for s, name in enumerate(network.states)
        if knowledge.consequences[name].remedy
    }
    elements = (*sorted({e for members in of_rows for e in members}), *states.values())
    place = {element: column for column, element in enumerate(elements)}
    members: Bools = np.zeros((len(weighed.sets), len(elements)), dtype=bool)
    for column, of_row in enumerate(of_rows):
        for element in of_row:
            members[:, place[element]] |= weighed.sets[:, column]
    for state, element in states.items():
        members[:, place[element]] = weighed.states[:, state]
    weights = weighed.weights / weighed.weights.sum()
    return elements, Hypotheses(tuple(e.name for e in elements), members, weights, weighed.lost_mass)


def list_remedies(
    knowledge: Knowledge, elements: Iterable[Element]
) -> dict[str, tuple[Remedy, tuple[Element, ...]]]:
    """List the remedies of some elements by id: the cause's, the mode's own, or the state's."""
    found: dict[str, tuple[Remedy, tuple[Element, ...]]] = {}
    for element in elements:
        if element.id == UNLISTED:
            continue
        remedy = find_remedy(knowledge, element)
        own = element.mode and knowledge.causes[element.id].modes[element.mode].remedy
        key = element.name if own else element.id
        found[key] = (remedy, (*found.get(key, (remedy, ()))[1], element))
    return found


def list_burdens(knowledge: Knowledge, elements: Iterable[Element]) -> tuple[float, ...]:
    """Give the minutes of putting each element right, whoever does it; 0 for what is not listed."""
    remedies = (find_remedy(knowledge, e) if e.id != UNLISTED else None for e in elements)
    return tuple(r.minutes + min(r.minutes_to_know, LONGEST_WAIT) if r else 0.0 for r in remedies)


def find_remedy(knowledge: Knowledge, element: Element) -> Remedy:
    """Find what puts an element right."""
    if not element.is_state:
        return knowledge.remedy(element.id, element.mode or None)
    remedy = knowledge.consequences[element.id].remedy
    if remedy is None:
        raise KeyError(element.id)
    return remedy


def list_inspections(
    knowledge: Knowledge, situation: Situation
) -> dict[str, tuple[Inspection, tuple[str, ...]]]:
    """List the inspections that may be proposed, with what each would newly reveal.

    Out of reach, excluded, skipped and already known ones are left out, and a live measurement
    where a dead one tells the same.
    """
    worth = list_worth_looking(knowledge, situation)
    reached = {state for state in knowledge.access.states if _has_way(situation.today, situation.at, state)}
    found = {
        name: (inspection, new)
        for name, inspection in knowledge.looks.items()
        if inspection.access in reached
        and name not in situation.skipped
        and (new := tuple([o for o in inspection.reveals if o in worth]))
        and not is_excluded(inspection.excluded_when, situation.exclusion_atoms)
    }
    needless = _list_needlessly_live(knowledge, found)
    return {name: pair for name, pair in found.items() if name not in needless}


def _list_needlessly_live(
    knowledge: Knowledge, found: Mapping[str, tuple[Inspection, tuple[str, ...]]]
) -> frozenset[str]:
    """List the live inspections that reveal nothing that one dead inspection would not."""
    live = {name: new for name, (inspection, new) in found.items() if is_live(knowledge, inspection)}
    asked = {new[0] for new in live.values()}
    dead = [frozenset(new) for name, (_, new) in found.items() if name not in live]
    concerned = [told for told in dead if not told.isdisjoint(asked)]
    return frozenset(name for name, new in live.items() if any(told.issuperset(new) for told in concerned))


def list_worth_looking(knowledge: Knowledge, situation: Situation) -> frozenset[str]:
    """List the observations that are plain, not known yet, and could be seen now."""
    failing = {n for n, c in knowledge.conditions.items() if is_excluded(c.fails_when, situation.atoms)}
    return frozenset(
        name
        for name, record in knowledge.observations.items()
        if not record.derived and name not in situation.known and failing.isdisjoint(record.seen_only_if)
    )


def _is_open(work: Inspection | Remedy, situation: Situation) -> bool:
    """Tell whether work is not excluded and can be reached and left today."""
    return not is_excluded(work.excluded_when, situation.exclusion_atoms) and _has_way(
        situation.today, situation.at, work.access
    )


def _has_way(ways: AccessMap, at: str, access: str) -> bool:
    """Tell whether a state can be reached and the unit be closed up again from it."""
    here, there = ways.index(at), ways.index(access)
    return bool(np.isfinite(ways.minutes[here, there] + ways.minutes[there, ways.home]))


def is_live(knowledge: Knowledge, inspection: Inspection) -> bool:
    """Tell whether an inspection is made with the supply on and the cover off."""
    return knowledge.access.states[inspection.access].live or "measure_live" in inspection.acts


@dataclass(frozen=True)
class Waiting:
    """A repair that is not allowed yet: its place, its record, and what it must be known of first."""

    place: int
    remedy: Remedy
    asks: frozenset[str]


def list_waiting(
    repairs: Iterable[RepairOption], remedies: Mapping[str, tuple[Remedy, tuple[Element, ...]]]
) -> tuple[Waiting, ...]:
    """List the repairs that are not allowed yet."""
    places = [(place, remedies[r.id][0]) for place, r in enumerate(repairs) if not r.allowed]
    return tuple(
        Waiting(place, remedy, frozenset(atom.name for c in remedy.only_after for atom in c.atoms()))
        for place, remedy in places
    )


def build_inspection_option(
    name: str,
    inspection: Inspection,
    outcomes: Outcomes,
    situation: Situation,
    waiting: Iterable[Waiting],
) -> InspectionOption:
    """Build the option of one inspection.

    Args:
        name: Its id.
        inspection: Its record.
        outcomes: What it may show.
        situation: The known atoms and the access states.
        waiting: The repairs that are not allowed yet.
    """
    concerned = [w for w in waiting if not w.asks.isdisjoint(inspection.reveals)]
    frees = tuple(
        (row, repair.place)
        for row, evidence in enumerate(outcomes.evidence)
        for repair in concerned
        if is_allowed(repair.remedy, situation.atoms | {f"{o}={state}" for o, state in evidence})
    )
    access = situation.possible.index(inspection.access)
    return InspectionOption(name, inspection.minutes, access, outcomes.chances, frees)


def is_allowed(remedy: Remedy, atoms: Collection[str]) -> bool:
    """Tell whether everything a remedy must come after holds."""
    return all(holds(condition, atoms) for condition in remedy.only_after)


def build_repair_options(
    knowledge: Knowledge,
    elements: tuple[Element, ...],
    situation: Situation,
    confirming: Collection[str],
    tried: Collection[str] = (),
) -> tuple[RepairOption, ...]:
    """Build the options of all remedies that nothing excludes.

    Args:
        knowledge: The remedies.
        elements: The elements in the order of the hypotheses' columns.
        situation: What decides which work may be done.
        confirming: Inspections that may be proposed now.
        tried: Repairs done already, kept whatever excludes them now.

    Returns:
        The options; a remedy whose conditions can no longer hold is left out.
    """
    place = {element: column for column, element in enumerate(elements)}
    options = []
    for name, (remedy, cured) in list_remedies(knowledge, elements).items():
        pending = [c for c in remedy.only_after if not holds(c, situation.atoms)]
        to_allow = sum(price_condition(knowledge, c, situation) for c in pending)
        option = RepairOption(
            id=name,
            cures=tuple(place[e] for e in cured),
            minutes=remedy.minutes,
            access=situation.possible.index(remedy.access),
            success=remedy.success,
            minutes_to_know=min(remedy.minutes_to_know, LONGEST_WAIT),
            allowed=not pending and name not in situation.skipped,
            minutes_to_allow=to_allow,
            needs_probability=_needed_probability(knowledge, remedy, cured[0], confirming),
            roots=tuple(place[e] for e in elements if _brings_about(knowledge, e, cured[0])),
            root_probability=knowledge.settings.thresholds.repair_needs_probability,
            rank=int(cured[0].is_state),
            in_reach=_is_open(remedy, situation),
        )
        usable = not is_excluded(remedy.excluded_when, situation.exclusion_atoms) and np.isfinite(to_allow)
        if name in tried:
            options.append(replace(option, minutes_to_allow=0.0))
        elif usable:
            options.append(option)
    return tuple(options)


def _brings_about(knowledge: Knowledge, element: Element, state: Element) -> bool:
    """Tell whether an element is a cause that brings a state about."""
    if not state.is_state or element.is_state or element.id == UNLISTED:
        return False
    cause = knowledge.causes[element.id]
    of_mode = cause.modes[element.mode].brings_about if element.mode else ()
    return any(link.to == state.id for link in (*cause.brings_about, *of_mode))


def _needed_probability(
    knowledge: Knowledge, remedy: Remedy, element: Element, confirming: Collection[str]
) -> float:
    """Give the probability that a grave repair needs while something could still confirm it."""
    is_grave = remedy.irreversible or "line_work" in knowledge.access.states[remedy.access].acts
    if not is_grave or element.is_state:
        return 0.0
    if not any(c.inspection in confirming for c in knowledge.causes[element.id].confirmed_by):
        return 0.0
    return knowledge.settings.thresholds.repair_needs_probability


def price_condition(knowledge: Knowledge, condition: Condition, situation: Situation) -> float:
    """Give the minutes of finding out whether a condition holds; infinite where it cannot any more."""
    if condition.atom is not None:
        return _price_atom(knowledge, condition.atom, situation)
    if condition.at_least is not None:
        parts = sorted(price_condition(knowledge, part, situation) for part in condition.of)
        return sum(parts[: condition.at_least])
    every = sum(price_condition(knowledge, part, situation) for part in condition.all)
    return every + min((price_condition(knowledge, part, situation) for part in condition.any), default=0.0)


def _price_atom(knowledge: Knowledge, atom: Atom, situation: Situation) -> float:
    """Price one atom: free where it holds, a look or a question where it is not known."""
    if str(atom) in situation.atoms:
        return 0.0
    if atom.name not in knowledge.observations:
        told = any(known.startswith(f"{atom.name}=") for known in situation.atoms)
        return float("inf") if told else QUESTION_MINUTES
    if atom.name in situation.known:
        return float("inf")
    if knowledge.observations[atom.name].derived:
        rules = [r.when for r in knowledge.rules.values() if r.concludes.observation == atom.name]
        return min((price_condition(knowledge, when, situation) for when in rules), default=float("inf"))
    # the look there is, there and back: a plan reckons the way to the repair from where the unit is now, and
    # for less than this, putting the look off would come cheaper than taking it
    look, ways = knowledge.looks[knowledge.look_alone[atom.name]], situation.possible
    here, there = ways.index(situation.at), ways.index(look.access)
    return look.minutes + float(ways.minutes[here, there] + ways.minutes[there, here])
