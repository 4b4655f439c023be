"""The debrief document: the learner's path beside the program's, complete enough to render without the rules.

Takes nothing, gives frozen models; imports records and the explanation document only.
"""

from __future__ import annotations

from typing import Literal

from diagnose.explanation.document import RemedyView
from diagnose.training.records import Grade, MoveKind, Record

Worth = Literal["best", "near", "dear", ""]


class Answered(Record):
    """One answer, and whether it was drawn because the case is silent."""

    says: str
    drawn: bool = False


class StepDebrief(Record):
    """One step of a path.

    Attributes:
        says: What was done.
        answers: What came back.
        minutes: Minutes of the step, access included.
        told: Decibans by which the step moved the odds of the confirmed cause; None where nothing was learned.
        expected: Decibans it was due to tell on average, before the answer, if the confirmed cause is there.
        plan: Expected minutes to a working unit with this step first; None where it was not among the best.
        best_plan: The same with the best step first.
        best: The best step at that moment.
        worth: `best`, `near` it, `dear`, or empty where the planner does not weigh such a step.
        probability: Probability of the confirmed cause afterwards.
    """

    number: int
    kind: MoveKind
    id: str
    says: str
    answers: tuple[Answered, ...]
    minutes: float
    told: float | None
    expected: float | None
    plan: float | None
    best_plan: float | None
    best: str
    worth: Worth
    probability: float


class Path(Record):
    """One way through the case.

    Attributes:
        likely_after: Number of the step after which the confirmed cause was more likely than not for good;
            None where it never was.
    """

    who: Literal["learner", "program"]
    minutes: float
    steps: tuple[StepDebrief, ...]
    likely_after: int | None


class Point(Record):
    """One fact worth a lesson: what it says of the confirmed cause, by which rule, from which source.

    Attributes:
        decibans: Leave-one-out weight for the confirmed cause, on all that both paths told.
        seen: Whether the learner had it.
        look: How it is seen.
    """

    statement: str
    decibans: float
    rule: str
    source: str
    seen: bool
    look: str


class Confidence(Record):
    """One confidence the learner gave.

    Attributes:
        given: Probability the learner gave.
        reckoned: Probability of that cause on what was known then.
        right: Whether it was the confirmed cause.
        misread: The fact known then that was given too much or too little weight; empty where none was.
    """

    cause: str
    given: float
    reckoned: float
    right: bool
    misread: str


class Debrief(Record):
    """Everything a learner is told after a lesson."""

    format: Literal[1] = 1
    case: str
    title: str
    seed: int
    rules_version: str
    confirmed: str
    confirmed_says: str
    found: str
    misleading: str
    named: str
    grade: Grade
    learner: Path
    program: Path
    points: tuple[Point, ...]
    confidences: tuple[Confidence, ...]
    drawn: tuple[str, ...]
    lacking: tuple[str, ...]
    remedy: RemedyView | None
    stopped: tuple[tuple[str, ...], ...]
    cautions: tuple[str, ...]
    deferral: str
