"""What every test may use: the shipped rule base and a small complete one, each loaded once.

The library of matrix products is held to one thread, as the command line holds it: the matrices are small, and
threads that wait for each other make some tests thirty times slower on a busy machine.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is imported, hence before it

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.explanation.reasoner import Reasoner
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

GOLDEN = Path(__file__).parent / "golden"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Golden files are rewritten by this flag alone."""
    parser.addoption("--rewrite-golden", action="store_true", help="write what is printed now as golden")


@pytest.fixture
def ensure_golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with a whole golden file, or rewrite the file where the flag says so."""

    def ensure(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--rewrite-golden"):
            path.write_text(text, encoding="utf-8")
            pytest.skip("rewritten")

        assert path.read_text(encoding="utf-8") == text

    return ensure


@pytest.fixture(scope="session")
def reasoner(knowledge: Knowledge) -> Reasoner:
    """Make the shipped rule base ready."""
    return Reasoner(knowledge)


@pytest.fixture(scope="session")
def small_reasoner(small_base: Knowledge) -> Reasoner:
    """Make the small rule base ready."""
    return Reasoner(small_base)


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    """Load the shipped rule base."""
    return load_knowledge(rules_directory())


@pytest.fixture(scope="session")
def small_base() -> Knowledge:
    """Load the small complete rule base of four causes."""
    return load_knowledge(Path(__file__).parent / "fixtures" / "rules_good")
