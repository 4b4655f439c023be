"""Model of `format.yaml`: the version of the format and every default number of the reasoning.

Takes nothing, gives models; may import words.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.words import Minutes, Probability, Rarity, Sourced, Strength

FORMAT_VERSION = 1
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
