"""One row of a file of tickets, whatever the file was.

Takes nothing, gives records; may import facts.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from datetime import date, datetime

from diagnose.facts.from_history import EarlierTicket

_SURROGATE = re.compile(r"[\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Row:
    """One row as read.

    Attributes:
        number: Place among the rows, the first one 1; a header is no row.
        values: Text by column, as the file names its columns.
        fault: Why the row cannot be used; empty for a good one.
        notes: What was made good in reading it.
        earlier: The last closed ticket of the same asset, where one is known.
    """

    number: int
    values: dict[str, str] = field(default_factory=dict)
    fault: str = ""
    notes: tuple[str, ...] = ()
    earlier: EarlierTicket | None = None


def say_value(value: object) -> str:
    """Write a cell's value as the text a person would have typed; nothing is empty."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, (list, tuple, dict)):
        return json.dumps(value, default=str)
    return str(value)


def clean_text(text: str) -> str:
    """Replace what no output may hold: NUL characters by blanks, halves of characters by a mark."""
    if text.isascii() and "\0" not in text:
        return text
    return _SURROGATE.sub("\ufffd", text.replace("\0", " "))
