"""Models of what can be seen or known: observations, groups, families, circumstances, readings.

Takes nothing, gives models; may import words and acting.
"""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from diagnose.knowledge.acting import Act
from diagnose.knowledge.words import (
    Condition,
    Id,
    Minutes,
    Model,
    Rarity,
    Sourced,
    Text,
    ensure_distinct,
)

Viewpoint = Literal["control_room", "at_unit", "cover_off", "meter"]


class SightCondition(Model):
    """What must hold for "not seen" to mean something; it fails when any listed atom is known.

    With `denies`, what makes it fail also proves the observation absent: a unit seen to
    stop short has moved.
    """

    fails_when: Annotated[tuple[Condition, ...], Field(min_length=1)]
    denies: bool = False

    @cached_property
    def parts_by_atom(self) -> dict[str, tuple[Condition, ...]]:
        """Give, by atom, the parts of the condition that may hold when it is known."""
        atoms = sorted({atom for part in self.fails_when for atom in part.mentions})
        return {atom: tuple(part for part in self.fails_when if atom in part.mentions) for atom in atoms}


class Family(Model):
    """A complaint family: the way a caller opens, and the observations it opens with.

    Attributes:
        failure_modes: Codes of ISO 14224 that fit the family, as vocabulary for reports;
            empty where none that we could verify fits.
    """

    says: Text
    opens: Annotated[tuple[Id, ...], Field(min_length=1)]
    failure_modes: tuple[Annotated[str, Field(pattern="^[A-Z]{3}$")], ...] = ()


class Group(Model):
    """Observations that cannot hold together, most drastic first; one variable."""

    says: Text
    members: Annotated[tuple[Id, ...], Field(min_length=2, max_length=6)]

    @model_validator(mode="after")
    def _ensure_distinct_members(self) -> Self:
        ensure_distinct(self.members, "members")
        return self


class Observation(Sourced):
    """Something seen, heard, felt or measured: present, absent or unknown."""

    says: Text
    absent: Text
    derived: bool = False
    question: Text | None = None
    yes: Text | None = None
    how: Text | None = None
    seen_by: Viewpoint = "at_unit"
    access: Id = "as_found"
    minutes: Minutes = 1
    acts: tuple[Act, ...] = ()
    background: Rarity = "rare"
    seen_only_if: tuple[Id, ...] = ()


class Circumstance(Sourced):
    """What is known of the unit beforehand, one of a few values (or several)."""

    question: Text
    values: Annotated[dict[Id, Text], Field(min_length=2)]
    structural: bool = False
    several: bool = False
    unit_field: Id | None = None
    asked_first: bool = False


class Decision(Sourced):
    """A comparison that turns a reading into an observation.

    The limit is a number in the reading's unit, or `factor` times a field of the unit record.
    """

    observation: Id
    when: Literal["below", "above"]
    limit: float | None = None
    limit_of: Id | None = None
    factor: float = 1.0

    @model_validator(mode="after")
    def _ensure_one_limit(self) -> Self:
        if (self.limit is None) == (self.limit_of is None):
            raise ValueError("a decision has exactly one of `limit` and `limit_of`")
        return self


class Reading(Sourced):
    """A number with a unit that decides observations, or from which another is worked out.

    Attributes:
        read_off: False for what no meter shows and is only worked out, so that nobody is asked for it.
    """

    says: Text
    question: Text
    unit: Annotated[str, Field(max_length=20)]
    lowest: float
    highest: float
    uncertainty: Annotated[float, Field(gt=0)]
    decides: tuple[Decision, ...] = ()
    read_off: bool = True
    access: Id = "as_found"

    @model_validator(mode="after")
    def _ensure_one_verdict_each(self) -> Self:
        ensure_distinct((decision.observation for decision in self.decides), "decides")
        if self.lowest >= self.highest:
            raise ValueError("`lowest` must lie below `highest`")
        return self


class Taken(Model):
    """Where an input of a calculation comes from: a reading, a field of the unit record, or a fixed value."""

    reading: Id | None = None
    unit_field: Id | None = None
    value: float | Text | None = None

    @model_validator(mode="after")
    def _ensure_one_origin(self) -> Self:
        if sum(origin is not None for origin in (self.reading, self.unit_field, self.value)) != 1:
            raise ValueError("an input has exactly one of `reading`, `unit_field` and `value`")
        return self


class Computed(Sourced):
    """A reading that a calculation of the trade works out of others and of the unit record.

    Attributes:
        gives: The reading that is worked out; one that was read off itself stands.
        calculation: Name of the calculation, as `diagnose calc` lists it.
        takes: Where each of its inputs comes from; one left out takes its default.
        result: The result of the calculation that is the reading.
        sign_dropped: The reading is the size of the result alone.
    """

    gives: Id
    calculation: Annotated[str, Field(pattern="^[a-z][a-z0-9-]*$", max_length=60)]
    takes: Annotated[dict[Id, Taken], Field(min_length=1)]
    result: Id
    sign_dropped: bool = False

    @property
    def sources(self) -> tuple[str, ...]:
        """Name the readings it is worked out of."""
        return tuple(taken.reading for taken in self.takes.values() if taken.reading is not None)

    @model_validator(mode="after")
    def _ensure_a_reading(self) -> Self:
        if not self.sources:
            raise ValueError("at least one input comes from a reading")
        return self
