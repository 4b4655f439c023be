"""What a session asks, as data: the question, what a "yes" looks like, the choices.

Takes the knowledge base, gives prompts; may import knowledge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.knowledge.base import Knowledge

Kind = Literal["circumstance", "complaint", "heard", "observation", "input", "repair", "close", "finished"]

CLOSING = {
    "root_cause": "Which root cause was found (its id as shown, or unlisted)?",
    "done": "What was done?",
    "parts": "Which parts were used?",
    "minutes": "How many minutes did it take?",
    "left": "In what state was the unit left?",
}
WORK_IT_OUT = "work it out"
AFTER_REPAIR = ("done, and it works", "done, and it is still faulty", "not now, keep looking")


@dataclass(frozen=True)
class Prompt:
    """One question to the person at the terminal.

    Attributes:
        id: What is asked about: circumstance, observation, input, cause or closing field.
        text: The question.
        detail: What a "yes" looks like and how to look, shown under the question.
        choices: What may be chosen by number.
        cautions: Safety lines that go with looking or doing; never left out.
        hint: What may be typed, shown where the answer goes.
        step: The piece of work that the question belongs to; its cautions hold until the next one.
    """

    kind: Kind
    id: str
    text: str
    detail: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    hint: str = ""
    step: str = ""


def ask_circumstance(knowledge: Knowledge, name: str) -> Prompt:
    """Ask for one circumstance by number."""
    record = knowledge.circumstances[name]
    choices = tuple(record.values.values())
    numbers = f"{'one or more of ' if record.several else ''}{_number(choices)}"
    return Prompt("circumstance", name, record.question, choices=choices, hint=f"{numbers}, Enter to skip")


def _number(choices: tuple[str, ...]) -> str:
    return f"1-{len(choices)}" if len(choices) > 1 else "1"


def ask_complaint(knowledge: Knowledge) -> Prompt:
    """Ask what the unit is doing: complaint families by number, typed words, or a log."""
    choices = tuple(family.says for family in knowledge.families.values())
    hint = f"one or more of {_number(choices)}, or your own words; Enter to skip"
    detail = ("A stroke log may be given too, here or at any question: the path of a .csv or .parquet file.",)
    return Prompt("complaint", "complaint", "What is it doing?", detail, choices, hint=hint)


def ask_heard(says: tuple[str, ...]) -> Prompt:
    """Show what was read out of typed words, and ask what of it is wrong."""
    hint = (
        "1 if wrong, Enter if right"
        if len(says) == 1
        else "the numbers that are wrong, Enter if all is right"
    )
    text = "This was read out of your words. Is any of it wrong?"
    return Prompt("heard", "heard", text, choices=says, hint=hint)


def ask_observation(knowledge: Knowledge, name: str, step: str, cautions: tuple[str, ...]) -> Prompt:
    """Ask for one observation, with the reading that may be given or worked out instead.

    Args:
        knowledge: The knowledge base.
        name: The observation.
        step: The look by which it is looked for; where it reveals more, its own way of looking is told too.
        cautions: Safety lines of that work.
    """
    record, look = knowledge.observations[name], knowledge.looks[step]
    is_joint = len(look.reveals) > 1
    how = look.how if is_joint else (record.how,) if record.how else ()
    where = f"{say_where(knowledge, look.access)}; about {look.minutes:.0f} min"
    detail = (
        *((f"look: {look.says}",) if is_joint else ()),
        *((f"yes: {record.yes}",) if record.yes else ()),
        *(f"how: {line}" for line in how),
        f"where: {where}",
    )
    text = record.question or record.says
    return Prompt(
        "observation", name, text, detail, cautions=cautions, hint=_say_answers(knowledge, name), step=step
    )


def _say_answers(knowledge: Knowledge, name: str) -> str:
    """Say how an observation may be answered."""
    ways, reading = ["yes", "no", "?"], reading_of(knowledge, name)
    if reading:
        ways.append(f"a reading in {knowledge.readings[reading].unit}")
    if find_computed(knowledge, name):
        ways.append(WORK_IT_OUT)
    return f"{', '.join(ways[:-1])} or {ways[-1]}"


def say_where(knowledge: Knowledge, access: str) -> str:
    """Say in what state of the unit something is looked at."""
    return knowledge.access.states[access].says


def ask_repair(knowledge: Knowledge, name: str, cautions: tuple[str, ...]) -> Prompt:
    """Show a remedy step by step and ask how it went."""
    remedy = knowledge.named_remedy(name)
    if remedy is None:
        raise KeyError(name)
    steps = tuple(
        f"{number}. {step.do}"
        + (f"; to {step.reach}" if step.reach else "")
        + (f"; if not: {step.if_not}" if step.if_not else "")
        for number, step in enumerate(remedy.steps, start=1)
    )
    detail = (
        f"puts right: {_say_what_it_cures(knowledge, name)}",
        f"where: {knowledge.access.states[remedy.access].says}; about {remedy.minutes:.0f} min",
        *steps,
        f"proved when: {remedy.acceptance}",
    )
    return Prompt(
        "repair", name, f"Repair: {remedy.says}. How did it go?", detail, AFTER_REPAIR, cautions, "1-3", name
    )


def _say_what_it_cures(knowledge: Knowledge, name: str) -> str:
    """Say the cause, its mode, or the state that a remedy puts right."""
    owner, _, mode = name.partition(".")
    if owner in knowledge.consequences:
        return knowledge.consequences[owner].says
    cause = knowledge.causes[owner]
    return f"{owner}: {cause.modes[mode].says if mode else cause.says}"


def ask_closing(name: str) -> Prompt:
    """Ask one thing of the close-out."""
    hint = "a number, Enter if unknown" if name == "minutes" else "Enter if nothing"
    return Prompt("close", name, CLOSING[name], hint=hint)


def reading_of(knowledge: Knowledge, observation: str) -> str | None:
    """Name the reading that can be read off and decides an observation, if there is one."""
    for name, reading in knowledge.readings.items():
        if reading.read_off and any(decision.observation == observation for decision in reading.decides):
            return name
    return None


def find_computed(knowledge: Knowledge, observation: str) -> str | None:
    """Name the way of working out a reading that decides an observation, if there is one."""
    for name, computed in knowledge.computed.items():
        if any(d.observation == observation for d in knowledge.readings[computed.gives].decides):
            return name
    return None
