"""Model of `format.yaml`: the version of the format and every default number of the reasoning.

Takes nothing, gives models; may import words.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Self, get_args

from pydantic import Field, model_validator

from diagnose.knowledge.words import Minutes, Probability, Rarity, Sourced, Strength

FORMAT_VERSION = 1
# Every kind of origin a fact can have; each needs a trust.
ORIGINS = ("answer", "meter", "log", "case", "unit_record", "ticket", "hearsay", "reader")
Likelihood = Annotated[float, Field(ge=0, le=1)]


class Unlisted(Sourced):
    """The modelled cause "something that is not listed"."""

    share: Probability
    hand_over_minutes: Minutes


class Thresholds(Sourced):
    """Where the three statuses part, and the other limits of the ranking."""

    not_covered_above: Probability
    ask_first_below_bits: Annotated[float, Field(ge=0)]
    ask_first_below_probability: Probability
    conflict_decibans: float
    shift_cap_decibans: Annotated[float, Field(gt=0)]
    undecided_bits: Annotated[int, Field(ge=1, le=20)]
    repair_needs_probability: Probability


class Look(Sourced):
    """Sizes of the planner's search."""

    causes: Annotated[int, Field(ge=2, le=30)]
    set_size: Annotated[int, Field(ge=1, le=6)]
    sets: Annotated[int, Field(ge=10, le=5000)]
    mass: Probability
    shortlist: Annotated[int, Field(ge=1, le=30)]
    looks: Annotated[int, Field(ge=2, le=500)]


class Backlog(Sourced):
    """What joins the tickets of one asset, and what every visit costs beside the work.

    Attributes:
        same_trouble_days: A like complaint within so many days of an earlier ticket is the same trouble.
        recent_work_days: Work of an earlier ticket counts as recent for so many days.
        travel_minutes: Minutes to the site and back.
        permit_minutes: Minutes to get a permit to work and to hand it back.
    """

    same_trouble_days: Annotated[int, Field(ge=1, le=3650)]
    recent_work_days: Annotated[int, Field(ge=1, le=3650)]
    travel_minutes: Minutes
    permit_minutes: Minutes


class Settings(Sourced):
    """Every default of the reasoning, in one place."""

    format_version: int
    prior_scale: Probability
    strengths: dict[Strength, Likelihood]
    backgrounds: dict[Rarity, Annotated[float, Field(ge=0.0005, le=0.5)]]
    trust: dict[str, tuple[Likelihood, Likelihood]]
    unlisted: Unlisted
    thresholds: Thresholds
    look: Look
    backlog: Backlog

    @model_validator(mode="after")
    def _ensure_complete(self) -> Self:
        """Refuse a missing word now, not in the middle of a case."""
        _ensure_words("strengths", self.strengths, get_args(Strength))
        _ensure_words("backgrounds", self.backgrounds, get_args(Rarity))
        _ensure_words("trust", self.trust, ORIGINS)
        return self

    @model_validator(mode="after")
    def _ensure_usable(self) -> Self:
        for word, strength in self.strengths.items():
            if strength and not 0.01 <= strength <= 0.99:
                raise ValueError(f"the strength of '{word}' must be 0 or lie between 0.01 and 0.99")
        for origin, (right, wrong) in self.trust.items():
            if right <= wrong:
                raise ValueError(f"'{origin}' must be told more often when it is so than when it is not")
        return self


def _ensure_words(table: str, given: Iterable[str], wanted: Iterable[str]) -> None:
    missing, extra = sorted(set(wanted) - set(given)), sorted(set(given) - set(wanted))
    if missing or extra:
        raise ValueError(
            f"{table} needs exactly the words {', '.join(wanted)}; "
            f"missing: {', '.join(missing) or 'none'}, too many: {', '.join(extra) or 'none'}"
        )
