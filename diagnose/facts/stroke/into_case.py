"""Facts of a log into a case file: an earlier log's word on the same thing gives way.

Takes a case and facts, gives a case; may import case_file and model.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from diagnose.facts.case_file import Case, CaseFact
from diagnose.facts.model import Fact, OriginKind, State
from diagnose.knowledge.unit import UnitRecord


def start_case(path: Path, log: Path) -> Case:
    """Start a case for a log, named by its file."""
    name = re.sub(r"[^a-z0-9_/-]+", "_", path.stem.lower()).strip("_-/")
    name = name if name[:1].isalpha() else f"case_{name}".rstrip("_")
    return Case(case=name[:99], title=f"Stroke log {log.name}")


def latest_repair(case: Case) -> str:
    """Name the last repair of a case, after which a log handed in now was taken; empty where there is none."""
    return case.repairs[-1].cause if case.repairs else ""


def add_to_case(case: Case, facts: Iterable[Fact], unit: UnitRecord | None) -> Case:
    """Add what a log decides to a case.

    Args:
        case: The case as it stands.
        facts: Facts of the log; those it cannot decide are left out.
        unit: The unit record, taken over where the case has none.

    Returns:
        The case with the log's facts, each in place of an earlier log's word on the same observation.
    """
    new = tuple(
        CaseFact(
            observation=fact.observation,
            state=fact.state.value,
            words=fact.origin.words,
            origin=OriginKind.LOG,
            after=fact.after,
        )
        for fact in facts
        if fact.state is not State.UNKNOWN
    )
    told = {(fact.observation, fact.after) for fact in new}
    kept = tuple(
        fact
        for fact in case.facts
        if fact.origin is not OriginKind.LOG or (fact.observation, fact.after) not in told
    )
    return case.model_copy(update={"facts": (*kept, *new), "unit": case.unit or unit})
