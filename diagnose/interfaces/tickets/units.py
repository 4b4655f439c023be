"""Unit records of a fleet, from YAML files of one unit each or tables of many.

Takes paths, gives records by asset; may import facts and the readers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from pydantic import ValidationError

from diagnose.errors import Fault, InputFaulty
from diagnose.facts.unit_record import load_unit
from diagnose.interfaces.tickets.reading import read_plain_rows
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.unit import UnitRecord


def load_units(paths: Iterable[Path]) -> dict[str, UnitRecord]:
    """Read all unit records.

    Args:
        paths: YAML files of one record, or tables with one record a row and a column a field.

    Raises:
        InputFaulty: Listing every fault, an asset recorded twice among them.
    """
    faults: list[Fault] = []
    units: dict[str, UnitRecord] = {}
    for path in paths:
        for line, unit in _read_file(path, faults):
            if unit.asset in units:
                wrong = f"asset '{unit.asset}' is recorded twice"
                faults.append(Fault(str(path), line, 1, "units", wrong, "keep one record"))
            units[unit.asset] = unit
    if faults:
        raise InputFaulty(faults)
    return units


def _read_file(path: Path, faults: list[Fault]) -> Iterator[tuple[int, UnitRecord]]:
    if path.suffix in {".yaml", ".yml"}:
        yield 1, load_unit(path)
        return
    for row in read_plain_rows(str(path)):
        if row.fault:
            faults.append(Fault(str(path), row.number, 1, "units", row.fault, "correct the row"))
            continue
        unit = _read_row(path, row, faults)
        if unit:
            yield row.number, unit


def _read_row(path: Path, row: Row, faults: list[Fault]) -> UnitRecord | None:
    told = {name: value.strip() for name, value in row.values.items() if value.strip()}
    try:
        return UnitRecord.model_validate(told)
    except ValidationError as error:
        for item in error.errors(include_url=False):
            wrong = f"row {row.number}: {'.'.join(map(str, item['loc']))}: {item['msg']}"
            faults.append(Fault(str(path), row.number, 1, "units", wrong, "correct the value"))
        return None
