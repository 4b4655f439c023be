"""Safety lines that follow from what is known of the unit stand in every answer."""

import pytest

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge


@pytest.fixture(scope="module")
def reasoner(knowledge: Knowledge) -> Reasoner:
    """Make the shipped rule base ready once."""
    return Reasoner(knowledge)


def cautions(reasoner: Reasoner, evidence: Evidence) -> tuple[str, ...]:
    """Give the safety lines of the answer to some evidence."""
    return reasoner.explain(evidence, "call", "A call").cautions


def test_a_unit_in_a_pit_brings_the_confined_space_line(reasoner):
    """Whoever goes to a pit or a height is told of gas test, attendant and flooding."""
    told = CircumstanceFact("surroundings", "pit_or_height", certain=False, origin=Origin(OriginKind.ANSWER))
    fact = Fact("stops_short_of_open", State.PRESENT, Origin(OriginKind.ANSWER), (1.0, 0.0))

    found = cautions(reasoner, Evidence((fact,), (told,)))

    assert reasoner.knowledge.cautions.lines["confined_space"].says in found


def test_a_hot_motor_brings_the_burn_line(reasoner):
    """Whoever goes to a hot motor is told to feel by instrument."""
    fact = Fact("motor_hot", State.PRESENT, Origin(OriginKind.ANSWER), (1.0, 0.0))

    found = cautions(reasoner, Evidence((fact,)))

    assert reasoner.knowledge.cautions.lines["hot_surfaces"].says in found
