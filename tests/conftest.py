"""What every test may use: the shipped rule base and a small complete one, each loaded once."""

from pathlib import Path

import pytest

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """Load the shipped rule base."""
    return load_knowledge(rules_directory())


@pytest.fixture(scope="session")
def small_base() -> Knowledge:
    """Load the small complete rule base of four causes."""
    return load_knowledge(Path(__file__).parent / "fixtures" / "rules_good")
