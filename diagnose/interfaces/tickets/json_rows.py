"""Rows of a file with one JSON object a line.

Takes lines, gives rows; may import the other readers' records.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator

from diagnose.interfaces.tickets.lines import Line
from diagnose.interfaces.tickets.row import Row, say_value

MAX_COLUMNS = 1_000


def read_json_rows(lines: Iterable[Line]) -> Iterator[Row]:
    """Read one row a line; blank lines are none."""
    kept = (line for line in lines if line.fault or line.text.strip())
    for number, line in enumerate(kept, start=1):
        yield _read_row(number, line)


def _read_row(number: int, line: Line) -> Row:
    if line.fault:
        return Row(number, fault=line.fault)
    try:
        data = json.loads(line.text)
    except (ValueError, RecursionError) as error:
        reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
        return Row(number, fault=f"line {line.number} is not JSON: {reason}")
    if not isinstance(data, dict):
        return Row(number, fault=f"line {line.number} holds no JSON object")
    if len(data) > MAX_COLUMNS:
        return Row(number, fault=f"line {line.number} has {len(data)} keys, more than {MAX_COLUMNS}")
    values = {key.strip(): say_value(value) for key, value in data.items()}
    return Row(number, values, notes=(line.note,) if line.note else ())
