"""The readings of a case file: checked against the rule base, and made facts, those worked out of them too.

Takes readings as written, gives faults or facts; may import knowledge and facts.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import field_validator

from diagnose.errors import Fault
from diagnose.facts.computed import compute_readings, find_impossible
from diagnose.facts.model import Fact
from diagnose.facts.quantity import parse_quantity, parse_uncertainty
from diagnose.facts.readings import Measured, decide, ensure_in_range
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import suggest
from diagnose.knowledge.words import Id, Model, Text
from diagnose.knowledge.yaml_nodes import Document


class CaseReading(Model):
    """One measured number with its unit."""

    reading: Id
    value: Text
    uncertainty: Text | None = None
    words: str = ""
    after: str = ""

    @field_validator("value", "uncertainty", mode="before")
    @classmethod
    def _ensure_unit(cls, given: object) -> object:
        if isinstance(given, int | float):
            raise ValueError(  # noqa: TRY004 - pydantic reads ValueError as a fault of the value
                f"a reading needs its unit, with a point for the decimals: '{given:g} mA' for example"
            )
        return given


def check_readings(
    readings: Sequence[CaseReading], unit: UnitRecord | None, document: Document, knowledge: Knowledge
) -> Iterator[Fault]:
    """Check the readings of a case one by one, then whether they go together.

    Args:
        readings: As the case file writes them.
        unit: The unit record of the case.
        document: The case file.
        knowledge: The rule base.

    Returns:
        Faults with their places.
    """
    faults = [
        fault for number in range(len(readings)) for fault in _check(number, readings, document, knowledge)
    ]
    yield from faults
    if faults:
        return
    measured = [build_measured(given, knowledge) for given in readings]
    for last, wrong in find_impossible(knowledge, measured, unit):
        key = ("readings", measured.index(last), "value")
        yield document.fault(
            key, "reading", f"the readings do not go together: {wrong}", "correct one of them"
        )


def _check(
    number: int, readings: Sequence[CaseReading], document: Document, knowledge: Knowledge
) -> Iterator[Fault]:
    given = readings[number]
    record = knowledge.readings.get(given.reading)
    if record is None:
        cure = suggest(given.reading, knowledge.readings, "remove it")
        key = ("readings", number, "reading")
        yield document.fault(key, "vocabulary", f"no reading '{given.reading}'", cure)
        return
    for field, text in (("value", given.value), ("uncertainty", given.uncertainty)):
        try:
            if field == "value":
                ensure_in_range(record, parse_quantity(given.value, record.unit))
            elif text is not None:
                parse_uncertainty(text, record.unit)
        except ValueError as error:
            wrong, _, cure = str(error).partition("; ")
            yield document.fault(("readings", number, field), "reading", wrong, cure or "correct the value")


def decide_readings(
    readings: Sequence[CaseReading], unit: UnitRecord | None, knowledge: Knowledge
) -> Iterator[Fact]:
    """Turn checked readings, and those that follow from them, into facts.

    Args:
        readings: As the case file writes them.
        unit: The unit record of the case.
        knowledge: The rule base.

    Returns:
        Facts of the readings as read, then of those worked out.
    """
    measured = [build_measured(given, knowledge) for given in readings]
    for one in (*measured, *compute_readings(knowledge, measured, unit)):
        yield from decide(knowledge, one, unit)


def build_measured(given: CaseReading, knowledge: Knowledge) -> Measured:
    """Give a checked reading as number and uncertainty in its own unit."""
    record = knowledge.readings[given.reading]
    value = parse_quantity(given.value, record.unit)
    doubt = parse_uncertainty(given.uncertainty, record.unit) if given.uncertainty else record.uncertainty
    return Measured(given.reading, value, doubt, given.words or given.value, given.after)
