"""Pages of what is seen or known: observations, inspections, readings, circumstances.

Takes the knowledge base and an id, gives sections; may import next_step and above.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.linking import is_asked_by, list_showing, list_works
from diagnose.explanation.page import Line, Section
from diagnose.explanation.page_words import (
    say_name,
    write_condition,
    write_section,
    write_shown,
    write_work,
)
from diagnose.knowledge.acting import Remedy
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Rule
from diagnose.knowledge.seeing import Decision, Observation


def gather_observation(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of an observation: how to see it, what shows it, what uses it."""
    record = knowledge.observations[name]
    ways = list_showing(knowledge, name)
    states = (
        Line(note=link.strength, id=state, says=consequence.says)
        for state, consequence in knowledge.consequences.items()
        for link in consequence.links
        if link.to == name
    )
    return (
        *write_section("Looking", _looking(knowledge, record)),
        *write_section("Shown by", (write_shown(knowledge, w, w.cause) for w in ways if w.probability)),
        *write_section(
            "Never shown by", (write_shown(knowledge, w, w.cause) for w in ways if not w.probability)
        ),
        *write_section("Shown by the state", states),
        *write_section("Revealed by", _revealed_by(knowledge, name)),
        *write_section("Concluded by", _concluded_by(knowledge, name)),
        *write_section("Used by", _used_by(knowledge, name)),
        *write_section("Looked at again after", _looked_at_again(knowledge, name)),
        *write_section("Cannot hold together with", _excluded(knowledge, name)),
        *write_section("Opens the complaint", _opens(knowledge, name)),
    )


def _looking(knowledge: Knowledge, record: Observation) -> Iterator[Line]:
    told = (
        ("question", record.question),
        ("yes", record.yes),
        ("no", record.absent),
        ("how", record.how),
        ("seen by", record.seen_by.replace("_", " ")),
        ("access", f"{record.access.replace('_', ' ')}, {record.minutes:g} min"),
        (
            "background",
            f"{record.background} ({knowledge.settings.backgrounds[record.background] * 100:g} %)",
        ),
    )
    yield from (Line(note=label, says=text) for label, text in told if text)
    for name in record.seen_only_if:
        atoms = " or ".join(write_condition(c) for c in knowledge.conditions[name].fails_when)
        yield Line(note="no counts", says=f"only if {name.replace('_', ' ')}, not with {atoms}")


def _revealed_by(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for look, inspection in knowledge.inspections.items():
        if name in inspection.reveals:
            yield Line(note=f"{inspection.minutes:g} min", id=look, says=inspection.says)
    for reading, record in knowledge.readings.items():
        for decision in record.decides:
            if decision.observation == name:
                note = _say_decision(decision, record.unit)
                yield Line(note="reading", id=reading, says=record.says, detail=(note,))


def _say_decision(decision: Decision, unit: str) -> str:
    if decision.limit_of is None:
        limit = f"{decision.limit:g} {unit}"
    else:
        limit = f"{decision.factor:g} times {decision.limit_of} of the unit record"
    return f"{decision.when} {limit} (source: {decision.source})"


def _concluded_by(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for rule in knowledge.rules.values():
        if rule.concludes.observation == name:
            yield Line(id=rule.id, says=rule.says)


def _used_by(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for rule in knowledge.rules.values():
        if is_asked_by(rule.when, name):
            yield Line(note="rule", id=rule.id, says=rule.says, detail=(_say_conclusion(rule),))
    for kind, owner, work in list_works(knowledge):
        conditions = (*work.excluded_when, *(work.only_after if isinstance(work, Remedy) else ()))
        if any(is_asked_by(condition, name) for condition in conditions):
            yield Line(note=kind, id=owner, says=work.says)
    for condition, sight in knowledge.conditions.items():
        if any(is_asked_by(part, name) for part in sight.fails_when):
            text = f"with it the condition '{condition.replace('_', ' ')}' fails, and a no to some others means nothing"
            yield Line(note="sight", says=text)


def _say_conclusion(rule: Rule) -> str:
    made = rule.concludes
    if made.observation:
        return f"concludes {made.observation}"
    return f"rules out {made.ruled_out}" if made.ruled_out else f"calls for the caution {made.caution}"


def _looked_at_again(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for _, owner, work in list_works(knowledge):
        if isinstance(work, Remedy) and name in work.observe_again:
            yield Line(note="remedy", id=owner, says=work.says)


def _excluded(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for other in knowledge.group_of(name):
        if other != name:
            yield Line(id=other, says=say_name(knowledge, other))


def _opens(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for family in knowledge.families.values():
        if name in family.opens:
            codes = f" (ISO 14224: {', '.join(family.failure_modes)})" if family.failure_modes else ""
            yield Line(says=family.says + codes)


def gather_inspection(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of an inspection: how it is done, what it reveals, which causes it confirms."""
    record = knowledge.inspections[name]
    reveals = (Line(id=seen, says=say_name(knowledge, seen)) for seen in record.reveals)
    confirms = (
        Line(
            id=cause,
            says=model.says,
            detail=tuple(f"expects {seen} {state}" for seen, state in confirmation.expects.items()),
        )
        for cause, model in knowledge.causes.items()
        for confirmation in model.confirmed_by
        if confirmation.inspection == name
    )
    return (
        *write_section("How", (Line(says=f"- {how}") for how in record.how)),
        *write_work(knowledge, record),
        *write_section("Reveals", reveals),
        *write_section("Confirms", confirms),
    )


def gather_reading(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a reading: its range and what it decides."""
    record = knowledge.readings[name]
    decides = (
        Line(
            id=decision.observation,
            says=say_name(knowledge, decision.observation),
            detail=(_say_decision(decision, record.unit),),
        )
        for decision in record.decides
    )
    about = [
        Line(note="question", says=record.question),
        Line(note="range", says=f"{record.lowest:g} to {record.highest:g} {record.unit}"),
        Line(note="uncertainty", says=f"{record.uncertainty:g} {record.unit} unless another is given"),
        Line(note="access", says=record.access.replace("_", " ")),
    ]
    return (
        *write_section("Reading", about),
        *write_section("Decides", decides),
        *write_section("Worked out", _worked_out(knowledge, name)),
        *write_section("Used for", _used_for(knowledge, name)),
    )


def _worked_out(knowledge: Knowledge, name: str) -> Iterator[Line]:
    """Say by which calculation and out of what a reading follows where it was not read off."""
    for record in knowledge.computed.values():
        if record.gives == name:
            note = f"by `diagnose calc {record.calculation}` (source: {record.source})"
            yield from (
                Line(id=source, says=knowledge.readings[source].says, detail=(note,))
                for source in record.sources
            )


def _used_for(knowledge: Knowledge, name: str) -> Iterator[Line]:
    for record in knowledge.computed.values():
        if name in record.sources:
            yield Line(id=record.gives, says=knowledge.readings[record.gives].says)


def gather_circumstance(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a circumstance: its values, what it raises, lowers and rules out."""
    record = knowledge.circumstances[name]
    kind = "part of the unit's structure" if record.structural else "moves prior odds"
    about = [Line(note="kind", says=kind)]
    if record.unit_field:
        about.append(Line(note="record", says=f"told by '{record.unit_field}' of the unit record"))
    shifts = [
        (shift.decibans, cause, write_condition(shift.when), model.says)
        for cause, model in knowledge.causes.items()
        for shift in model.circumstances
        if is_asked_by(shift.when, name)
    ]
    raised = (
        Line(note=f"{decibans:+g} dB", id=cause, says=says, detail=(when,))
        for decibans, cause, when, says in sorted(shifts, key=lambda s: (-s[0], s[1], s[2]))
    )
    ruled_out = (
        Line(id=cause, says=f"{write_condition(exclusion.when)}: {exclusion.says}")
        for cause, model in knowledge.causes.items()
        for exclusion in model.ruled_out
        if is_asked_by(exclusion.when, name)
    )
    return (
        *write_section("About", about),
        *write_section("Values", (Line(id=value, says=says) for value, says in record.values.items())),
        *write_section("Raises or lowers", raised),
        *write_section("Rules out", ruled_out),
        *write_section("Used by", _used_by(knowledge, name)),
    )
