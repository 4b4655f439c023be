"""Lines and sections that several kinds of pages share: conditions, work, remedies.

Takes models, gives parts of a page; may import next_step and above.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.explanation.linking import Shown
from diagnose.explanation.page import Line, Section
from diagnose.explanation.text import percent
from diagnose.knowledge.acting import Remedy, Work
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Link
from diagnose.knowledge.words import Condition
from diagnose.next_step.cautions import collect_cautions


def write_section(title: str, lines: Iterable[Line]) -> tuple[Section, ...]:
    """Make a section of the lines, or nothing where there are none."""
    kept = tuple(lines)
    return (Section(title=title, lines=kept),) if kept else ()


def write_condition(condition: Condition) -> str:
    """Write a condition with its ids, as the rule files mean it."""
    if condition.atom is not None:
        return str(condition.atom)
    parts = [write_condition(part) for part in condition.all]
    if condition.any:
        parts.append("(" + " or ".join(write_condition(part) for part in condition.any) + ")")
    if condition.of:
        parts.append(f"{condition.at_least} of ({', '.join(write_condition(part) for part in condition.of)})")
    return " and ".join(parts)


def say_name(knowledge: Knowledge, name: str) -> str:
    """Give the sentence of any id of the knowledge base; empty where it has none."""
    if name in knowledge.circumstances:
        return knowledge.circumstances[name].question
    sections = (
        knowledge.causes,
        knowledge.observations,
        knowledge.inspections,
        knowledge.consequences,
        knowledge.readings,
        knowledge.rules,
        knowledge.cautions.lines,
    )
    return next((entries[name].says for entries in sections if name in entries), "")


def write_link(knowledge: Knowledge, link: Link) -> Line:
    """Write one link to an observation or a state."""
    detail = (f"source: {link.source}",) if link.source else ()
    return Line(note=link.strength, id=link.to, says=say_name(knowledge, link.to), detail=detail)


def write_shown(knowledge: Knowledge, shown: Shown, other: str) -> Line:
    """Write one way between a cause and an observation, naming the `other` end."""
    detail = [f"in mode {shown.mode}"] if shown.mode else []
    if shown.through:
        first, then = shown.words
        detail.append(f"through {shown.through}: {first} brings it about, which {then} shows it")
    if shown.source:
        detail.append(f"source: {shown.source}")
    return Line(note=say_strength(shown), id=other, says=say_name(knowledge, other), detail=tuple(detail))


def say_strength(shown: Shown) -> str:
    """Give the strength's word, or per cent where more than one number stands behind it."""
    if shown.probability == 0:
        return "never"
    if shown.through or shown.mode:
        return percent(shown.probability)
    return shown.words[0]


def write_work(knowledge: Knowledge, work: Work) -> tuple[Section, ...]:
    """Write what a piece of work needs: access, minutes, persons, tools, when it may not be done."""
    lines = [
        Line(
            note="access",
            says=f"{work.access.replace('_', ' ')}: {knowledge.access.states[work.access].says}",
        ),
        Line(note="minutes", says=f"{work.minutes:g}"),
        Line(note="persons", says=str(work.persons)),
    ]
    if work.tools:
        lines.append(Line(note="tools", says=", ".join(work.tools)))
    lines += [Line(note="not while", says=write_condition(condition)) for condition in work.excluded_when]
    return write_section("Needs", lines)


def list_work_cautions(knowledge: Knowledge, work: Work) -> tuple[str, ...]:
    """Name every safety line of a piece of work, the way to it included."""
    return collect_cautions(knowledge, work, (knowledge.access.start, work.access))


def say_cautions(knowledge: Knowledge, names: Iterable[str]) -> tuple[str, ...]:
    """Give the sentences of safety lines, each once, in the order of the rule base."""
    wanted = set(names)
    return tuple(line.says for name, line in knowledge.cautions.lines.items() if name in wanted)


def write_remedy(knowledge: Knowledge, remedy: Remedy, title: str) -> tuple[Section, ...]:
    """Write a remedy step by step, with what it waits for and what proves it."""
    return write_section(title, _remedy_lines(knowledge, remedy))


def _remedy_lines(knowledge: Knowledge, remedy: Remedy) -> Iterator[Line]:
    persons = f", {remedy.persons} persons" if remedy.persons > 1 else ""
    yield Line(says=f"{remedy.says} ({remedy.minutes:g} min, {remedy.access.replace('_', ' ')}{persons})")
    for label, items in (("tools", remedy.tools), ("parts", remedy.parts)):
        if items:
            yield Line(says=f"{label}: {', '.join(items)}")
    for condition in remedy.only_after:
        yield Line(says=f"only after: {write_condition(condition)}")
    for condition in remedy.excluded_when:
        yield Line(says=f"not while: {write_condition(condition)}")
    for number, step in enumerate(remedy.steps, start=1):
        marks = (
            ("part", step.part),
            ("tool", step.tool),
            ("reach", step.reach),
            ("known by", step.known_by),
            ("if not", step.if_not),
        )
        detail = tuple(f"{label}: {text}" for label, text in marks if text)
        yield Line(says=f"{number}. {step.do}", detail=detail)
    if remedy.irreversible:
        yield Line(says="cannot be undone")
    yield Line(says=f"proved when: {remedy.acceptance}")
    for name in remedy.observe_again:
        yield Line(says=f"look again at {name}: {say_name(knowledge, name)}")
