"""What a session asks, as data: the question, what a "yes" looks like, the choices.

Takes the knowledge base, gives prompts; may import knowledge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.knowledge.base import Knowledge

Kind = Literal["circumstance", "complaint", "observation", "repair", "close", "finished"]

CLOSING = {
    "root_cause": "Which root cause was found (its id, or leave empty)?",
    "done": "What was done?",
    "parts": "Which parts were used?",
    "minutes": "How many minutes did it take?",
    "left": "In what state was the unit left?",
}
AFTER_REPAIR = ("done, and it works", "done, and it is still faulty", "not now, keep looking")


@dataclass(frozen=True)
class Prompt:
    """One question to the person at the terminal.

    Attributes:
        id: What is asked about: circumstance, observation, cause or closing field.
        text: The question.
        detail: What a "yes" looks like and how to look, shown under the question.
        choices: What may be chosen by number.
        cautions: Safety lines that go with looking or doing; never left out.
        unit: Unit of the reading that may be given instead of yes or no.
    """

    kind: Kind
    id: str
    text: str
    detail: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    unit: str | None = None


def ask_circumstance(knowledge: Knowledge, name: str) -> Prompt:
    """Ask for one circumstance by number."""
    record = knowledge.circumstances[name]
    several = "several numbers, or Enter to skip" if record.several else "a number, or Enter to skip"
    return Prompt("circumstance", name, record.question, (several,), tuple(record.values.values()))


def ask_complaint(knowledge: Knowledge) -> Prompt:
    """Ask what the unit is doing: complaint families by number, or typed words."""
    choices = tuple(family.says for family in knowledge.families.values())
    detail = ("one or more numbers, or say it in your own words; Enter to skip",)
    return Prompt("complaint", "complaint", "What is it doing?", detail, choices)


def ask_observation(knowledge: Knowledge, name: str, cautions: tuple[str, ...]) -> Prompt:
    """Ask for one observation, with the reading that may be given instead."""
    record = knowledge.observations[name]
    reading = reading_of(knowledge, name)
    detail = tuple(
        line for line in (record.yes and f"yes: {record.yes}", record.how and f"how: {record.how}") if line
    )
    unit = knowledge.readings[reading].unit if reading else None
    return Prompt("observation", name, record.question or record.says, detail, cautions=cautions, unit=unit)


def ask_repair(knowledge: Knowledge, name: str, cautions: tuple[str, ...]) -> Prompt:
    """Show a remedy step by step and ask how it went."""
    remedy = knowledge.named_remedy(name)
    if remedy is None:
        raise KeyError(name)
    steps = tuple(
        f"{number}. {step.do}" + (f"; to {step.reach}" if step.reach else "")
        for number, step in enumerate(remedy.steps, start=1)
    )
    detail = (*steps, f"proved when: {remedy.acceptance}")
    return Prompt("repair", name, f"{remedy.says}: how did it go?", detail, AFTER_REPAIR, cautions)


def reading_of(knowledge: Knowledge, observation: str) -> str | None:
    """Name the reading that decides an observation, if there is one."""
    for name, reading in knowledge.readings.items():
        if any(decision.observation == observation for decision in reading.decides):
            return name
    return None
