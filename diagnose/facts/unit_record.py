"""The unit record as facts: structural circumstances known from the nameplate.

Takes a YAML file or a record, gives the record and its circumstances; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from diagnose.errors import Fault, FaultsFound, InputFaulty
from diagnose.facts.model import CircumstanceFact, Origin, OriginKind
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import validate
from diagnose.knowledge.yaml_nodes import read_yaml


def load_unit(path: Path) -> UnitRecord:
    """Read one unit record.

    Raises:
        InputFaulty: Listing every fault with file, line and column.
    """
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        raise InputFaulty(error.faults) from None
    faults: list[Fault] = []
    if not isinstance(document.data, dict):
        raise InputFaulty(
            [document.fault((), "model", "the file holds no unit record", "start it with `asset: name`")]
        )
    unit: UnitRecord | None = validate(UnitRecord, document, (), faults)
    if unit is None:
        raise InputFaulty(faults)
    return unit


def circumstances_of_unit(unit: UnitRecord, knowledge: Knowledge) -> Iterator[CircumstanceFact]:
    """Read every circumstance that a field of the record supplies; the nameplate is certain."""
    for name, circumstance in knowledge.circumstances.items():
        if circumstance.unit_field is None:
            continue
        value = getattr(unit, circumstance.unit_field)
        if value in circumstance.values:
            yield CircumstanceFact(
                name, value, certain=True, origin=Origin(OriginKind.UNIT_RECORD, unit.asset)
            )
