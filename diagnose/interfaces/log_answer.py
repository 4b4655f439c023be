"""A stroke log as an answer: analysed, told in one short table, its facts ready for a case.

Takes a typed path, gives facts and lines; may import everything above interfaces, heavy layers only inside.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.errors import InputFaulty
from diagnose.explanation.reasons import state_sentence
from diagnose.explanation.text import WIDTH, shorten
from diagnose.facts.model import Fact, State
from diagnose.facts.stroke.wording import counted
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.unit import UnitRecord

if TYPE_CHECKING:
    from diagnose.facts.stroke.analysis import Analysis

_ENDINGS = frozenset([".csv", ".tsv", ".txt", ".parquet", ".pq"])
_BASIS_WIDTH = 36
_MARKS = {State.PRESENT: "yes", State.ABSENT: "no", State.UNKNOWN: "?"}
_ELSEWHERE = (
    "Where columns need names or units: diagnose stroke LOG --case FILE, then diagnose ask --case FILE."
)


def find_log(text: str) -> Path | None:
    """Read what was typed as the path of a log; None where it has no such ending."""
    path = Path(text.strip().strip("'\"")).expanduser()
    return path if path.suffix.lower() in _ENDINGS else None


def read_log(path: Path, knowledge: Knowledge, unit: UnitRecord | None, after: str) -> tuple[Fact, ...]:
    """Analyse a log.

    Args:
        path: A CSV or Parquet log whose header tells columns and units.
        knowledge: The rule base, with its limits for logs.
        unit: The unit record, where there is one.
        after: The repair after which the log was taken.

    Returns:
        What it tells, with origin log, undecided observations too.

    Raises:
        ValueError: The log cannot be read, in one line, and what to do.
    """
    from diagnose.facts.stroke.observations import read_facts

    try:
        return read_facts(_analyse(path, knowledge, unit), knowledge, unit, after)
    except InputFaulty as error:
        raise ValueError(f"{error.faults[0]}. {_ELSEWHERE}") from None


def _analyse(path: Path, knowledge: Knowledge, unit: UnitRecord | None) -> Analysis:
    from diagnose.facts.stroke.loading import LogOptions
    from diagnose.facts.stroke.reporting import ensure_limits, load_analysis

    kind = unit.input_kind if unit and unit.input_kind != "no_analogue" else None
    limits = ensure_limits(knowledge.stroke_limits, rules_directory())
    return load_analysis(path, LogOptions(kind=kind), limits, unit)[0]


def say_facts(path: Path, facts: tuple[Fact, ...], knowledge: Knowledge) -> tuple[str, ...]:
    """Say what a log tells, one line an observation: what is there, what is not, what it cannot tell."""
    ordered = sorted(facts, key=lambda fact: list(_MARKS).index(fact.state))
    still_open = sum(fact.state is State.UNKNOWN for fact in facts)
    head = (
        f"{path.name} decides {counted(len(facts) - still_open, 'observation')} and leaves {still_open} open."
    )
    return (head, *(_say_fact(fact, str(path), knowledge) for fact in ordered))


def _say_fact(fact: Fact, path: str, knowledge: Knowledge) -> str:
    record = knowledge.observations[fact.observation]
    is_open = fact.state is State.UNKNOWN
    says = record.says if is_open else state_sentence(knowledge, fact.observation, fact.state)
    mark, words = f"{_MARKS[fact.state]:>5}  ", fact.origin.words.removeprefix(f"{path}: ")
    # the sentence says already what was measured; the number is what is wanted
    for reading in knowledge.readings.values():
        words = words.removeprefix(f"{reading.says} ")
    basis = f" ({shorten(words, _BASIS_WIDTH)})"
    return mark + shorten(says, WIDTH - len(mark) - len(basis)) + basis
