"""What every test may use: the shipped rule base, loaded once."""

import pytest

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """Load the shipped rule base."""
    return load_knowledge(rules_directory())
