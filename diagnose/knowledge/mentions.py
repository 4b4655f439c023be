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
        clauses: Weight of what the clauses say: below 1 because their words overlap with the facts and each other.
        likeness: Weight of what the whole reads like.
        other_start: Decibans for another device before a word is read, the second reader's own share apart.
        other_words: Weight of the words that speak of another device beside the second reader.
        other_few: Weight of the second reader beside those words where there are few words in all.
        said: How many clauses of written tickets say each observation present, and absent.
    """

    sharpness: Annotated[float, Field(gt=0, le=5)] = 1.0
    doubt: Annotated[float, Field(gt=0, lt=1)] = 0.5
    clauses: Annotated[float, Field(ge=0, le=1)] = 1.0
    likeness: Annotated[float, Field(ge=0, le=1)] = 1.0
    other_start: Annotated[float, Field(ge=-30, le=30)] = 0.0
    other_words: Annotated[float, Field(ge=0, le=1)] = 1.0
    other_few: Annotated[float, Field(ge=0, le=1)] = 0.0
    said: dict[Id, tuple[Count, Count]] = Field(default_factory=dict)

    def __hash__(self) -> int:
        """Hash by identity: one rule base has one."""
        return id(self)

    def count(self, observation: str, place: int) -> float:
        """Count how often an observation is said present (place 0) or absent (1); what was never said counts 2."""
        return self.said.get(observation, (0, 0))[place] + 2.0
