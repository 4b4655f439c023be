"""What a lesson leaves behind: every move of the learner, the lesson so far, its grade.

Takes nothing, gives frozen models that JSON carries whole; imports pydantic only.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

MoveKind = Literal[
    "ask_circumstance", "inspect", "unsafe", "out_of_reach", "repair", "leave", "hint", "suspect", "close"
]
Told = Literal["present", "absent"]
Score = Annotated[float, Field(ge=0, le=1)]
Id = Annotated[str, Field(max_length=200)]


class Record(BaseModel):
    """Base of all records of this layer."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Shown(Record):
    """One observation that a look decided.

    Attributes:
        says: The answer in words, a reading with its unit where a meter gives one.
        drawn: Whether the case is silent and the answer was drawn from the strengths.
    """

    observation: Id
    state: Told
    says: str
    drawn: bool = False


class Move(Record):
    """One thing the learner, or the program in its own run, did.

    Attributes:
        kind: What was done; `unsafe` was stopped and not performed, `out_of_reach` cannot be had today,
            `repair` is a remedy carried out (only after closing, or in the program's run), `leave` closes up.
        id: Circumstance, inspection, hint grade, or cause.
        minutes: Minutes of the work itself.
        access_minutes: Minutes of getting there.
        access: Access states passed through, the one before first; empty where nothing changed.
        shown: What a look decided.
        values: What a circumstance is.
        says: What was shown to the learner, a line each; for `unsafe` the cautions.
        confidence: Probability the learner gave to the cause named by `suspect` or `close`, 0 to 1.
        remedies: With `close`: causes whose remedies would be done, first one first.
    """

    kind: MoveKind
    id: Id
    minutes: Annotated[float, Field(ge=0)] = 0.0
    access_minutes: Annotated[float, Field(ge=0)] = 0.0
    access: tuple[Id, ...] = ()
    shown: tuple[Shown, ...] = ()
    values: tuple[Id, ...] = ()
    says: tuple[str, ...] = ()
    confidence: Score | None = None
    remedies: tuple[Id, ...] = ()

    @property
    def spent(self) -> float:
        """Give all minutes that the move cost."""
        return self.minutes + self.access_minutes


class Lesson(Record):
    """A lesson as far as it has come; whoever reads it back can go on with it.

    Attributes:
        seed: Draws what the case is silent on; the same seed gives the same answers.
        rules_version: Version of the rule base that the answers were drawn from.
        exam: Whether hints are refused.
    """

    format: Literal[1] = 1
    case: Id
    seed: Annotated[int, Field(ge=0, lt=2**32)]
    rules_version: str
    exam: bool = False
    moves: Annotated[tuple[Move, ...], Field(max_length=1000)] = ()

    @property
    def minutes(self) -> float:
        """Give the minutes spent so far."""
        return sum(move.spent for move in self.moves)

    @property
    def at(self) -> str:
        """Name the access state the unit is in; empty for the start state."""
        return next((move.access[-1] for move in reversed(self.moves) if move.access), "")

    @property
    def unsafe(self) -> int:
        """Count the unsafe choices, each stopped before anything was done."""
        return sum(move.kind == "unsafe" for move in self.moves)

    @property
    def closing(self) -> Move | None:
        """Give the move that closed the lesson; None while it is open."""
        return next((move for move in self.moves if move.kind == "close"), None)


class Number(Record):
    """One number that went into a formula."""

    name: str
    value: float


class GradePart(Record):
    """One part of a grade with its formula and the numbers that went in."""

    score: Score
    weight: Score
    formula: str
    numbers: tuple[Number, ...] = ()


class Grade(Record):
    """The grade of a closed lesson.

    Attributes:
        total: 0 to 100.
        formula: How the total comes from the parts.
        passed: Whether the lesson is passed; an unsafe choice fails it whatever the total.
        optimum: Least minutes of any plan; None where it was not computed.
    """

    safety: GradePart
    cause: GradePart
    minutes: GradePart
    calibration: GradePart
    total: Annotated[float, Field(ge=0, le=100)]
    formula: str
    passed: bool
    optimum: float | None = None


class Outcome(Record):
    """A closed lesson with its grade, and which cause was named where which one was there."""

    lesson: Lesson
    grade: Grade
    named: Id
    confirmed: Id
