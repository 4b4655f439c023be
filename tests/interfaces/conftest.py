"""What tests of the question session may use."""

import pytest

from diagnose.facts.from_ticket import TicketReader
from diagnose.interfaces.hearing import build_reader
from diagnose.knowledge.shipped import rules_directory


@pytest.fixture(scope="session")
def reader(knowledge) -> TicketReader:
    """Make the reader of words of the shipped rules once."""
    made = build_reader(knowledge, rules_directory())
    assert made is not None
    return made
