"""Pages of causes and of the states they bring about.

Takes the knowledge base and an id, gives sections; may import next_step and above.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.linking import list_bringing, list_shown
from diagnose.explanation.page import Line, Section
from diagnose.explanation.page_words import (
    list_work_cautions,
    say_name,
    write_condition,
    write_link,
    write_remedy,
    write_section,
    write_shown,
)
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause


def gather_cause(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a cause: what it shows, what moves it, how it is confirmed and put right."""
    cause = knowledge.causes[name]
    shown = list_shown(knowledge, name)
    return (
        *write_section("About", _about(knowledge, name, cause)),
        *write_section("Modes", _modes(cause)),
        *write_section("Shows", (write_shown(knowledge, s, s.observation) for s in shown if s.probability)),
        *write_section(
            "Shows never", (write_shown(knowledge, s, s.observation) for s in shown if not s.probability)
        ),
        *write_section("Brings about", _brings_about(knowledge, cause)),
        *write_section("Raised or lowered by", _shifts(cause)),
        *write_section("Ruled out when", _ruled_out(knowledge, name, cause)),
        *write_section("Confirmed by", _confirmations(knowledge, cause)),
        *write_section("In service", _in_service(cause)),
        *_remedies(knowledge, cause),
    )


def list_cause_cautions(knowledge: Knowledge, name: str) -> Iterator[str]:
    """Name the safety lines of every remedy of a cause."""
    cause = knowledge.causes[name]
    for remedy in (cause.remedy, *(mode.remedy for mode in cause.modes.values())):
        if remedy is not None:
            yield from list_work_cautions(knowledge, remedy)


def gather_consequence(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a state: what brings it about, what it shows, how it is put right."""
    state = knowledge.consequences[name]
    strongest = sorted(state.links, key=lambda link: (-knowledge.strength(link), link.to))
    brought = (
        Line(
            note=link.strength,
            id=cause,
            says=knowledge.causes[cause].says,
            detail=(f"in mode {mode}",) if mode else (),
        )
        for cause, mode, link in list_bringing(knowledge, name)
    )
    return (
        *write_section("About", [Line(note="background", says=state.background)]),
        *write_section("Brought about by", brought),
        *write_section("Shows", (write_link(knowledge, link) for link in strongest)),
        *(write_remedy(knowledge, state.remedy, "Remedy") if state.remedy else ()),
    )


def list_state_cautions(knowledge: Knowledge, name: str) -> tuple[str, ...]:
    """Name the safety lines of a state's remedy."""
    remedy = knowledge.consequences[name].remedy
    return list_work_cautions(knowledge, remedy) if remedy else ()


def _about(knowledge: Knowledge, name: str, cause: Cause) -> Iterator[Line]:
    yield Line(note="part", says=cause.part)
    yield Line(note="share", says=f"{cause.share * 100:.3g} % of all calls ({cause.share_source})")
    if cause.refines:
        yield Line(note="refines", id=cause.refines, says=say_name(knowledge, cause.refines))
    for other, record in knowledge.causes.items():
        if record.refines == name:
            yield Line(note="refined by", id=other, says=record.says)
    for members in knowledge.exclusives.sets.values():
        if name in members:
            yield from (
                Line(note="never with", id=other, says=say_name(knowledge, other))
                for other in members
                if other != name
            )
    for together in knowledge.exclusives.together:
        for pair in together.pairs:
            if name in pair.causes:
                other = pair.causes[pair.causes[0] == name]
                shows = ", ".join(f"{link.to} ({link.strength})" for link in pair.links)
                yield Line(note="together", id=other, says=f"the two together show {shows}")


def _modes(cause: Cause) -> Iterator[Line]:
    for name, mode in cause.modes.items():
        yield Line(note=f"{mode.portion * 100:.0f} %", id=name, says=mode.says)


def _brings_about(knowledge: Knowledge, cause: Cause) -> Iterator[Line]:
    yield from (write_link(knowledge, link) for link in cause.brings_about)
    for name, mode in cause.modes.items():
        for link in mode.brings_about:
            line = write_link(knowledge, link)
            yield line.model_copy(update={"detail": (f"in mode {name}", *line.detail)})


def _shifts(cause: Cause) -> Iterator[Line]:
    for shift in sorted(cause.circumstances, key=lambda s: -s.decibans):
        detail = tuple(text for text in (shift.says, shift.source and f"source: {shift.source}") if text)
        yield Line(note=f"{shift.decibans:+g} dB", says=write_condition(shift.when), detail=detail)


def _ruled_out(knowledge: Knowledge, name: str, cause: Cause) -> Iterator[Line]:
    for exclusion in cause.ruled_out:
        yield Line(says=f"{write_condition(exclusion.when)}: {exclusion.says}")
    for rule in knowledge.rules.values():
        if rule.concludes.ruled_out == name:
            yield Line(note="rule", id=rule.id, says=rule.says)


def _confirmations(knowledge: Knowledge, cause: Cause) -> Iterator[Line]:
    for confirmation in cause.confirmed_by:
        inspection = knowledge.inspections[confirmation.inspection]
        expects = ", ".join(f"{name} {state}" for name, state in confirmation.expects.items())
        yield Line(id=confirmation.inspection, says=inspection.says, detail=(f"expects {expects}",))


def _in_service(cause: Cause) -> Iterator[Line]:
    yield Line(note="verdict", says=cause.in_service.verdict.replace("_", " "))
    yield Line(note="if left", says=cause.in_service.if_left)
    yield Line(note="interim", says=cause.in_service.interim)


def _remedies(knowledge: Knowledge, cause: Cause) -> Iterator[Section]:
    yield from write_remedy(knowledge, cause.remedy, "Remedy")
    for name, mode in cause.modes.items():
        if mode.remedy is not None:
            yield from write_remedy(knowledge, mode.remedy, f"Remedy of mode {name}")
