"""The hand-made rule base of the ranking tests, made ready once."""

import pytest
from ranking_builder import make_small

from diagnose.knowledge.base import Knowledge
from diagnose.ranking.rank import Prepared, prepare_ranking


@pytest.fixture(scope="session")
def small() -> Knowledge:
    """Make the hand-made rule base."""
    return make_small()


@pytest.fixture(scope="session")
def prepared(small: Knowledge) -> Prepared:
    """Compile the hand-made rule base."""
    return prepare_ranking(small)
