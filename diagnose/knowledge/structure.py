"""What the reasoning demands of a rule base beyond known ids: no fact counted twice, no way without end.

Takes the models read so far with their places, gives faults; may import the models and references.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from diagnose.errors import Fault, fault_in_file
from diagnose.knowledge.acting import Access
from diagnose.knowledge.reasons import Exclusives, Together
from diagnose.knowledge.references import Models, Places
from diagnose.knowledge.words import Condition
from diagnose.knowledge.yaml_nodes import Document, Key

MAX_TOGETHER = 16
MAX_OUTCOMES = 12


def check_structure(models: Models, places: Places) -> Iterator[Fault]:
    """Check groups, exclusive sets, inspections, derived observations, exclusions and access."""
    yield from _check_not_empty(models, places)
    yield from _check_groups(models, places)
    yield from _check_exclusives(models, places)
    yield from _check_inspections(models, places)
    yield from _check_confirmations(models, places)
    yield from _check_derived(models, places)
    yield from _check_shifts_and_exclusions(models, places)
    yield from _check_access(models["whole"]["access.yaml"], places["whole", "access.yaml"][0])


def _check_not_empty(models: Models, places: Places) -> Iterator[Fault]:
    for section in ("observations", "inspections", "causes"):
        if not models.get(section):
            document, _ = places["whole", "format.yaml"]
            wrong = f"the rule base holds no {section}"
            yield fault_in_file(document.path, "no-rules", wrong, "add some beside this file")


def _check_groups(models: Models, places: Places) -> Iterator[Fault]:
    """An observation is one variable, so it lies in at most one group."""
    first: dict[str, str] = {}
    for name, group in models.get("groups", {}).items():
        for number, member in enumerate(group.members):
            if first.setdefault(member, name) != name:
                document, key = places["groups", name]
                wrong = f"'{member}' is in the group '{first[member]}' already"
                yield document.fault((*key, "members", number), "one-group", wrong, "keep it in one of them")


def _check_exclusives(models: Models, places: Places) -> Iterator[Fault]:
    exclusives: Exclusives = models["whole"]["exclusive.yaml"]
    document, _ = places["whole", "exclusive.yaml"]
    first: dict[str, tuple[str, int]] = {}
    for name, members in exclusives.sets.items():
        for number, member in enumerate(members):
            if first.setdefault(member, (name, number)) != (name, number):
                wrong = f"'{member}' is in the exclusive set '{first[member][0]}' already"
                yield document.fault(("sets", name, number), "one-set", wrong, "keep it in one of them")
    weighed: set[str] = set()
    for number, together in enumerate(exclusives.together):
        key: Key = ("together", number)
        unknown = [name for name in together.sets if name not in exclusives.sets]
        for name in unknown:
            yield document.fault(
                (*key, "sets"), "vocabulary", f"no exclusive set '{name}'", "define it first"
            )
        for name in sorted({*together.sets} & weighed):
            wrong = f"the set '{name}' is weighed together with another already"
            yield document.fault((*key, "sets"), "together", wrong, "a set belongs to one such pair")
        weighed |= set(together.sets)
        if not unknown:
            yield from _check_together(together, exclusives, models, document, key)


def _check_together(
    together: Together, exclusives: Exclusives, models: Models, document: Document, key: Key
) -> Iterator[Fault]:
    one, other = (exclusives.sets[name] for name in together.sets)
    if together.sets[0] == together.sets[1]:
        yield document.fault((*key, "sets"), "together", "a set is paired with itself", "name two sets")
    states = math.prod(
        1 + sum(max(1, len(models["causes"][cause].modes)) for cause in members) for members in (one, other)
    )
    if states > MAX_TOGETHER:
        wrong = f"the two sets have {states} joint states; at most {MAX_TOGETHER} are weighed"
        yield document.fault((*key, "sets"), "together", wrong, "make the sets or their modes fewer")
    for number, pair in enumerate(together.pairs):
        if not (pair.causes[0] in one and pair.causes[1] in other):
            wrong = f"'{pair.causes[0]}' and '{pair.causes[1]}' are not one of each set, in their order"
            cure = f"name one of {', '.join(one)}, then one of {', '.join(other)}"
            yield document.fault((*key, "pairs", number, "causes"), "together", wrong, cure)


def _check_inspections(models: Models, places: Places) -> Iterator[Fault]:
    observations = models.get("observations", {})
    for name, inspection in models.get("inspections", {}).items():
        document, key = places["inspections", name]
        for number, revealed in enumerate(inspection.reveals):
            if observations[revealed].derived:
                wrong = f"'{revealed}' is concluded by rules, never seen"
                cure = "reveal the observations it is concluded from"
                yield document.fault((*key, "reveals", number), "reveals", wrong, cure)
        outcomes = _count_outcomes(inspection.reveals, models.get("groups", {}))
        if outcomes > MAX_OUTCOMES:
            wrong = f"{outcomes} different outcomes; at most {MAX_OUTCOMES} are weighed"
            yield document.fault((*key, "reveals"), "reveals", wrong, "split the inspection in two")


def _count_outcomes(reveals: tuple[str, ...], groups: Any) -> int:  # noqa: ANN401 - models by id
    """Members of a group exclude each other; all else is seen or not seen by itself."""
    group_of = {member: name for name, group in groups.items() for member in group.members}
    sizes: dict[str, int] = {}
    for observation in reveals:
        variable = group_of.get(observation, f"{observation} by itself")
        sizes[variable] = sizes.get(variable, 1) + 1
    return math.prod(sizes.values())


def _check_confirmations(models: Models, places: Places) -> Iterator[Fault]:
    for name, cause in models.get("causes", {}).items():
        document, key = places["causes", name]
        for number, confirmation in enumerate(cause.confirmed_by):
            reveals = models["inspections"][confirmation.inspection].reveals
            for observation in confirmation.expects:
                if observation not in reveals:
                    wrong = f"'{confirmation.inspection}' does not reveal '{observation}'"
                    cure = "expect one of " + ", ".join(reveals)
                    at = (*key, "confirmed_by", number, "expects", observation)
                    yield document.fault(at, "reveals", wrong, cure)


def _check_derived(models: Models, places: Places) -> Iterator[Fault]:
    """What rules conclude is never entered, and what is never entered must be concluded."""
    observations = models.get("observations", {})
    concluded = set()
    for name, rule in models.get("rules", {}).items():
        target = rule.concludes.observation
        concluded.add(target)
        if target is not None and not observations[target].derived:
            document, key = places["rules", name]
            wrong, cure = f"'{target}' is seen, not concluded", "mark it `derived: true` or conclude another"
            yield document.fault((*key, "concludes", "observation"), "derived", wrong, cure)
    for name, observation in observations.items():
        if observation.derived and name not in concluded:
            document, key = places["observations", name]
            yield document.fault(key, "derived", f"no rule concludes '{name}'", "write the rule or drop it")
    for name, reading in models.get("readings", {}).items():
        document, key = places["readings", name]
        for number, decision in enumerate(reading.decides):
            if observations[decision.observation].derived:
                at = (*key, "decides", number, "observation")
                wrong = f"'{decision.observation}' is concluded by rules, never read"
                yield document.fault(at, "derived", wrong, "decide the observation it is concluded from")


def _check_shifts_and_exclusions(models: Models, places: Places) -> Iterator[Fault]:
    """Only what is known beforehand moves a prior, and only the unit's structure rules out."""
    for name, cause in models.get("causes", {}).items():
        document, key = places["causes", name]
        for number, shift in enumerate(cause.circumstances):
            at = (*key, "circumstances", number, "when")
            yield from _check_atoms(shift.when, models, document, at, structural=False)
        for number, exclusion in enumerate(cause.ruled_out):
            at = (*key, "ruled_out", number, "when")
            yield from _check_atoms(exclusion.when, models, document, at, structural=True)
    for name, rule in models.get("rules", {}).items():
        if rule.concludes.ruled_out:
            document, key = places["rules", name]
            yield from _check_atoms(rule.when, models, document, (*key, "when"), structural=True)


def _check_atoms(
    condition: Condition, models: Models, document: Document, key: Key, *, structural: bool
) -> Iterator[Fault]:
    for atom in condition.atoms():
        circumstance = models.get("circumstances", {}).get(atom.name)
        if circumstance is None:
            cure = "link it as an observation; only circumstances stand here"
            yield document.fault(key, "circumstance", f"'{atom.name}' is an observation", cure)
        elif structural and not circumstance.structural:
            wrong = f"'{atom.name}' is no part of the unit's structure and cannot rule a cause out"
            yield document.fault(key, "circumstance", wrong, "lower the prior by decibans instead")


def _check_access(access: Access, document: Document) -> Iterator[Fault]:
    """Every state can be reached from the start, and the unit can be put back from it."""
    there = [(change.start, change.end) for change in access.changes]
    back = [(end, start) for start, end in there]
    for ways, wrong in ((there, "cannot be reached from"), (back, "has no way back to")):
        for state in sorted(set(access.states) - _find_reached(access.start, ways)):
            yield document.fault(
                ("states", state), "access-way", f"'{state}' {wrong} '{access.start}'", "add the change"
            )


def _find_reached(start: str, ways: list[tuple[str, str]]) -> set[str]:
    reached, waiting = {start}, [start]
    while waiting:
        here = waiting.pop()
        new = {end for begin, end in ways if begin == here} - reached
        reached |= new
        waiting.extend(new)
    return reached
