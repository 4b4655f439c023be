"""Models of what is done at the unit: access states, cautions, inspections, remedies.

Takes nothing, gives models; may import words.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self, get_args

from pydantic import Field, model_validator

from diagnose.knowledge.words import Condition, Id, Minutes, Model, Probability, Sourced, Text

Act = Literal[
    "open_cover",
    "measure_dead",
    "measure_insulation",
    "measure_live",
    "touch_terminals",
    "remove_actuator",
    "loosen_mounting",
    "stroke_valve",
    "signal_work",
    "torque_setting",
    "gland_work",
    "declutch",
    "energise_after_rewiring",
    "stored_energy",
    "confined_space",
    "work_at_parts",
    "capacitor_work",
    "line_work",
]
Verdict = Literal["now", "next_shift", "next_outage", "monitor"]


class AccessState(Model):
    """A state of the unit and its surroundings that work needs."""

    says: Text
    live: bool = False
    acts: tuple[Act, ...] = ()
    excluded_when: tuple[Condition, ...] = ()


class AccessChange(Model):
    """One change between access states and the minutes it costs."""

    start: Id
    end: Id
    minutes: Minutes


class Access(Sourced):
    """The access states, the changes between them and what `reach` leaves to be had."""

    start: Id
    states: Annotated[dict[Id, AccessState], Field(min_length=1)]
    changes: tuple[AccessChange, ...]
    reach: dict[Id, tuple[Id, ...]]


class Caution(Sourced):
    """One safety line, always followed by the sentence that defers to local rules.

    Attributes:
        needless_where: The one value of a circumstance under which no work calls for the line; a rule still may.
    """

    says: Text
    needless_where: Condition | None = None


class Cautions(Model):
    """All safety lines, which act calls for which, and the deferring sentence."""

    deferral: Text
    lines: Annotated[dict[Id, Caution], Field(min_length=1)]
    acts: dict[Act, Annotated[tuple[Id, ...], Field(min_length=1)]]

    @model_validator(mode="after")
    def _ensure_every_act(self) -> Self:
        """No act may go without its safety lines."""
        missing = [act for act in get_args(Act) if act not in self.acts]
        if missing:
            raise ValueError(f"no safety line for the acts {', '.join(missing)}")
        return self


class Work(Sourced):
    """What an inspection and a remedy share."""

    says: Text
    access: Id
    minutes: Minutes
    persons: Annotated[int, Field(ge=1, le=6)] = 1
    tools: tuple[Text, ...] = ()
    acts: tuple[Act, ...] = ()
    cautions: tuple[Id, ...] = ()
    excluded_when: tuple[Condition, ...] = ()


class Inspection(Work):
    """An action that reveals observations; one look may reveal several."""

    how: Annotated[tuple[Text, ...], Field(min_length=1)]
    reveals: Annotated[tuple[Id, ...], Field(min_length=1, max_length=4)]


class Step(Model):
    """One step of a remedy: the part, the tool, the figure to reach, how to know, what if not."""

    do: Text
    part: Text | None = None
    tool: Text | None = None
    reach: Text | None = None
    known_by: Text | None = None
    if_not: Text | None = None


class Remedy(Work):
    """The repair of a cause, step by step, with the check that proves it."""

    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    parts: tuple[Text, ...] = ()
    only_after: tuple[Condition, ...] = ()
    success: Probability = 0.95
    minutes_to_know: Minutes = 5
    irreversible: bool = False
    acceptance: Text
    observe_again: tuple[Id, ...] = ()


class InService(Model):
    """May the unit stay in service with this cause, and what happens if it does."""

    verdict: Verdict
    if_left: Text
    interim: Text
