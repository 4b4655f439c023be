"""Where the confirmed cause of each shipped case stands in the ranking, for tests and benchmarks.

Takes a Reasoner and the shipped cases, gives places; ranks only, plans nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, Confirmed, evidence_of_case, load_cases
from diagnose.facts.model import CircumstanceFact, Evidence, Origin, OriginKind
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.shipped import cases_directory

NOT_RANKED = 999


@dataclass(frozen=True)
class Placed:
    """One case with the place of its confirmed cause, counted from 1, and the cause that stands first."""

    case: Case
    confirmed: Confirmed
    place: int
    first: str

    @property
    def is_plain(self) -> bool:
        """A case whose name ends in -01 is the plain one of its cause."""
        return self.case.case.endswith("-01")

    @property
    def part(self) -> str:
        """The part of the unit, which is the folder of the case."""
        return self.case.case.partition("/")[0]


def place_shipped(reasoner: Reasoner) -> tuple[Placed, ...]:
    """Rank every shipped case and find its confirmed cause."""
    cases = load_cases(cases_directory(), reasoner.knowledge)
    return tuple(_place_case(reasoner, case) for case in cases.values())


def _place_case(reasoner: Reasoner, case: Case) -> Placed:
    assert case.confirmed is not None, case.case
    order = order_causes(reasoner, evidence_of_case(case, reasoner.knowledge))
    return Placed(case, case.confirmed, find_place(order, case.confirmed.cause), order[0])


def order_causes(reasoner: Reasoner, evidence: Evidence) -> tuple[str, ...]:
    """List the causes that are not ruled out, likeliest first."""
    return tuple(cause.cause for cause in reasoner.rank(evidence).causes if not cause.ruled_out_by)


def find_place(order: tuple[str, ...], cause: str) -> int:
    """Count the place of a cause from 1."""
    return order.index(cause) + 1 if cause in order else NOT_RANKED


def answer_wrongly(case: Case, knowledge: Knowledge, question: str) -> Iterator[tuple[str, Evidence]]:
    """Give the case once for each value it does not tell of one question, that value merely said.

    What the case tells of that question, from plate and unit record too, is taken away.
    """
    evidence = evidence_of_case(case, knowledge)
    told = {fact.value for fact in evidence.circumstances if fact.circumstance == question}
    rest = tuple(fact for fact in evidence.circumstances if fact.circumstance != question)
    for value in sorted(set(knowledge.circumstances[question].values) - told):
        wrong = CircumstanceFact(question, value, certain=False, origin=Origin(OriginKind.ANSWER))
        yield value, replace(evidence, circumstances=(*rest, wrong))
