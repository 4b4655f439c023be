"""Models of what brings what about: causes with modes, consequences, exclusive sets, rules.

Takes nothing, gives models; may import words and acting.
"""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from diagnose.knowledge.acting import InService, Remedy
from diagnose.knowledge.words import (
    PRACTICE,
    Condition,
    Id,
    Model,
    Probability,
    Rarity,
    Sourced,
    Strength,
    Text,
    ensure_distinct,
)


class Link(Model):
    """How strongly a cause by itself makes an observation or a consequence appear.

    `strength` is the probability that the cause alone, without the background rate,
    brings the observation about (the net form of noisy-OR).
    """

    to: Id
    strength: Strength
    source: Text | None = None


def _ensure_linked_once(links: tuple[Link, ...]) -> tuple[Link, ...]:
    ensure_distinct((link.to for link in links), "links")
    return links


# A second link to the same end would count the same fact twice.
Links = Annotated[tuple[Link, ...], AfterValidator(_ensure_linked_once)]


class Shift(Model):
    """A circumstance that raises or lowers a cause's prior odds, in decibans.

    Of the shifts in one `group` only the largest counts.
    """

    when: Condition
    decibans: Annotated[float, Field(ge=-20, le=20)]
    group: Id
    says: Text | None = None
    source: Text | None = None


class Exclusion(Model):
    """A circumstance by the unit's own structure under which the cause cannot be."""

    when: Condition
    says: Text
    source: Text | None = None


class Mode(Model):
    """One face of a cause; the modes of a cause exclude each other."""

    says: Text
    portion: Probability
    links: Links = ()
    brings_about: Links = ()
    remedy: Remedy | None = None


class Confirmation(Model):
    """An inspection that confirms a cause, and what it then shows."""

    inspection: Id
    expects: Annotated[dict[Id, Annotated[str, Field(pattern="^(present|absent)$")]], Field(min_length=1)]


class Cause(Sourced):
    """A cause, its prior share of all calls, what it shows, and how it is put right."""

    cause: Id
    part: Id
    says: Text
    refines: Id | None = None
    new: bool = False
    share: Annotated[float, Field(gt=0, lt=1)]
    share_source: Text = "estimate"
    links: Links = ()
    brings_about: Links = ()
    modes: Annotated[dict[Id, Mode], Field(max_length=6)] = Field(default_factory=dict)
    circumstances: tuple[Shift, ...] = ()
    ruled_out: tuple[Exclusion, ...] = ()
    confirmed_by: Annotated[tuple[Confirmation, ...], Field(min_length=1)]
    remedy: Remedy
    in_service: InService

    @model_validator(mode="after")
    def _ensure_portions(self) -> Self:
        total = sum(mode.portion for mode in self.modes.values())
        if self.modes and abs(total - 1) > 1e-6:
            raise ValueError(f"the portions of the modes add up to {total:g}; they must add up to 1")
        return self


class Consequence(Sourced):
    """A state that causes bring about and that shows by itself."""

    says: Text
    background: Rarity = "remote"
    links: Annotated[Links, Field(min_length=1)]
    remedy: Remedy | None = None


class PairLink(Model):
    """What two causes of a `together` pair show only when both are there."""

    causes: tuple[Id, Id]
    links: Annotated[Links, Field(min_length=1)]


class Together(Model):
    """Two exclusive sets weighed as one because some observations need a member of both."""

    sets: tuple[Id, Id]
    pairs: Annotated[tuple[PairLink, ...], Field(min_length=1)]


class Exclusives(Model):
    """Sets of causes that cannot be present together, and sets weighed together."""

    sets: dict[Id, Annotated[tuple[Id, ...], Field(min_length=2)]]
    together: tuple[Together, ...] = ()


class Conclusion(Model):
    """What a rule concludes: exactly one of an observation, a ruled-out cause, or a caution."""

    observation: Id | None = None
    ruled_out: Id | None = None
    caution: Id | None = None

    @model_validator(mode="after")
    def _ensure_one(self) -> Self:
        if sum(x is not None for x in (self.observation, self.ruled_out, self.caution)) != 1:
            raise ValueError("a rule concludes exactly one of observation, ruled_out, caution")
        return self


class Rule(Model):
    """A forward-chaining rule."""

    id: Id
    says: Text
    when: Condition
    concludes: Conclusion
    over: tuple[Id, ...] = ()
    source: Text = PRACTICE
    fires_on: tuple[str, ...] = ()
    silent_on: tuple[str, ...] = ()


class RuleFile(Model):
    """One file of derived rules."""

    rules: tuple[Rule, ...]
