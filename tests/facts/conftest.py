"""The shipped language and a reader of it, made once."""

import pytest

from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.language.senses import compile_sense_words
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import rules_directory


@pytest.fixture(scope="session")
def language(knowledge):
    """Load the shipped language."""
    return load_language(rules_directory(), knowledge)


@pytest.fixture(scope="session")
def sense_words(language):
    """Compile the shipped words of denial, doubt and other times."""
    return compile_sense_words(language.senses.model_dump())


@pytest.fixture(scope="session")
def reader(knowledge, language):
    """Make a reader of tickets."""
    return TicketReader(knowledge, language)
