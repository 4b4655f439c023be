"""The explanation document: everything an answer says, complete enough to render without the rules.

Takes nothing, gives frozen models; imports pydantic only.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

Status = Literal["ranked", "ask_first", "not_covered"]


class Part(BaseModel):
    """Base of all parts of the document."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Weighed(Part):
    """One counted fact's weight for one cause.

    Attributes:
        statement: What was seen or found missing, as a sentence.
        decibans: Leave-one-out weight: odds with it over odds without it, 10 log10.
        rule: Id of the link or rule behind it.
        words: The answer, reading or words it came from.
    """

    observation: str
    state: Literal["present", "absent"]
    statement: str
    decibans: float
    rule: str
    source: str
    words: str


class Shifted(Part):
    """One circumstance's effect on one cause's prior odds."""

    statement: str
    decibans: float
    rule: str
    source: str


class CauseView(Part):
    """One ranked cause with its reasons."""

    cause: str
    says: str
    part: str
    probability: float
    mode: str | None
    prior_decibans: float
    total_decibans: float
    shifts: tuple[Shifted, ...]
    weights: tuple[Weighed, ...]
    verdict: str
    if_left: str
    interim: str


class RuledOutView(Part):
    """One cause that the unit's own structure leaves out."""

    cause: str
    says: str
    reason: str
    rule: str


class StepView(Part):
    """One step of a remedy."""

    do: str
    part: str | None = None
    tool: str | None = None
    reach: str | None = None
    known_by: str | None = None
    if_not: str | None = None


class RemedyView(Part):
    """How the first cause is put right, and the check that proves it."""

    cause: str
    says: str
    steps: tuple[StepView, ...]
    acceptance: str
    observe_again: tuple[str, ...]
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    minutes: float
    access: str
    waits_for: tuple[str, ...]
    cautions: tuple[str, ...]


class OutcomeView(Part):
    """What one outcome of the proposed inspection would do."""

    says: str
    chance: float
    first_cause: str
    first_says: str
    first_probability: float
    then: str


class NextView(Part):
    """What to do next and why.

    Attributes:
        outcomes: The likeliest outcomes of an inspection, followed to the step after.
        more_outcomes: How many less likely outcomes are not followed.
    """

    kind: Literal["inspection", "repair", "hand_over", "nothing_to_reach"]
    id: str
    says: str
    how: tuple[str, ...]
    minutes: float
    access: str
    path: tuple[str, ...]
    persons: int
    tools: tuple[str, ...]
    plan_minutes: float
    why: str
    outcomes: tuple[OutcomeView, ...]
    more_outcomes: int = 0
    instead: tuple[str, ...]


class ChainView(Part):
    """Root, the state it brings about, and what that state shows."""

    root: str
    state: str
    says: str
    seen: tuple[str, ...]
    probability: float


class OpenQuestion(Part):
    """An observation nobody has looked for, and the bits of information it is expected to give."""

    observation: str
    question: str
    bits: float


class Firing(Part):
    """One rule that fired."""

    rule: str
    says: str
    facts: tuple[str, ...]
    concludes: str


class NearMiss(Part):
    """One rule that did not fire, and the conditions it lacks."""

    rule: str
    says: str
    lacks: tuple[str, ...]


class Explanation(Part):
    """The whole answer to one case."""

    format: Literal[1] = 1
    case: str
    title: str
    rules_version: str
    status: Status
    reason: str | None
    counted: int
    causes: tuple[CauseView, ...]
    unlisted: float
    ruled_out: tuple[RuledOutView, ...]
    chain: tuple[ChainView, ...]
    runner_up: str | None
    turning: str | None
    next: NextView
    remedy: RemedyView | None
    ask: tuple[OpenQuestion, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    deferral: str
    fired: tuple[Firing, ...]
    not_met: tuple[NearMiss, ...]
