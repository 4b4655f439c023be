"""What is known of one unit: facts with origin and trust, circumstances, readings.

Takes nothing, gives frozen records; may import knowledge.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    """State of an observation; "nobody looked" is not "looked and not there"."""

    PRESENT = "present"
    ABSENT = "absent"
    UNKNOWN = "unknown"


class OriginKind(StrEnum):
    """Where a fact comes from; each kind has a trust in `format.yaml`."""

    ANSWER = "answer"
    METER = "meter"
    LOG = "log"
    CASE = "case"
    UNIT_RECORD = "unit_record"
    TICKET = "ticket"
    HEARSAY = "hearsay"
    READER = "reader"


@dataclass(frozen=True, order=True)
class Origin:
    """Where a fact comes from, in the words it came in.

    Attributes:
        kind: The kind of origin.
        words: The answer, the span of text, or the reading as given.
        start: First character of the span in its text, where there is one.
        end: One past the last character of the span.
    """

    kind: OriginKind
    words: str = ""
    start: int | None = None
    end: int | None = None


@dataclass(frozen=True, order=True)
class Fact:
    """One origin's word on one observation.

    Attributes:
        likelihood: (P(this was told | observation present), P(... | observation absent)).
        after: Id of the repair after which it was seen; empty for as found.
    """

    observation: str
    state: State
    origin: Origin
    likelihood: tuple[float, float]
    after: str = ""


@dataclass(frozen=True, order=True)
class CircumstanceFact:
    """One value of one circumstance; certain only from a nameplate or a look inside."""

    circumstance: str
    value: str
    certain: bool
    origin: Origin


@dataclass(frozen=True, order=True)
class Mention:
    """What a clause seems to say, by a reader that is never sure.

    Attributes:
        origin: The clause.
        weight: How much of its sentence's word it has, from 0 to 1.
        chances: (observation, state, chance that the clause says so), the likeliest few.
        nothing: Chance that it says nothing of the list.
    """

    origin: Origin
    weight: float
    chances: tuple[tuple[str, State, float], ...]
    nothing: float


@dataclass(frozen=True)
class Evidence:
    """Everything known of one unit, in no order that matters.

    Attributes:
        repaired: Causes that were put right while the unit stayed faulty.
        mentions: What the clauses of a text seem to say, weighed as a whole beside the facts.
        likeness: By cause the natural logarithm of how much more its tickets read like this text than any do.
    """

    facts: tuple[Fact, ...] = ()
    circumstances: tuple[CircumstanceFact, ...] = ()
    repaired: tuple[str, ...] = ()
    mentions: tuple[Mention, ...] = ()
    likeness: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Belief:
    """All origins' word on one observation, multiplied together.

    Attributes:
        likelihood: Product of the origins' pairs; (1, 1) says nothing.
        contradicted: True when origins spoke for both states.
    """

    observation: str
    likelihood: tuple[float, float]
    facts: tuple[Fact, ...]
    contradicted: bool

    @property
    def state(self) -> State:
        """Tell which state the origins favour."""
        present, absent = self.likelihood
        if present == absent:
            return State.UNKNOWN
        return State.PRESENT if present > absent else State.ABSENT

    @property
    def is_hard(self) -> bool:
        """Tell whether the belief leaves no doubt."""
        return 0.0 in self.likelihood and self.state is not State.UNKNOWN
