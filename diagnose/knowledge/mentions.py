"""Model of `mentions.yaml`: how far the second reader of tickets is believed, and how often tickets say each thing.

Takes nothing, gives a model; may import words.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.words import Id, Sourced

Count = Annotated[int, Field(ge=0)]


class Mentions(Sourced):
    """Numbers behind what the clauses of a ticket seem to say.

    Attributes:
        sharpness: Power to which the reader's chances are raised: above 1 it is surer than it says.
        doubt: Share of every clause that is kept for "says nothing".
        said: How many clauses of written tickets say each observation present, and absent.
    """

    sharpness: Annotated[float, Field(gt=0, le=5)] = 1.0
    doubt: Annotated[float, Field(gt=0, lt=1)] = 0.5
    said: dict[Id, tuple[Count, Count]] = Field(default_factory=dict)

    def __hash__(self) -> int:
        """Hash by identity: one rule base has one."""
        return id(self)

    def count(self, observation: str, place: int) -> float:
        """Count how often an observation is said present (place 0) or absent (1); what was never said counts 2."""
        return self.said.get(observation, (0, 0))[place] + 2.0
