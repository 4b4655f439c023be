"""Comma-separated text that a spreadsheet opens without running anything in it.

Takes rows of values, gives text; imports nothing of ours.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

# A cell that begins so would be run as a formula (CWE-1236, improper neutralization of formula elements).
_RUN = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
Cell = str | int | float | None


def write_commas(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Write a table as CSV (RFC 4180); text that a spreadsheet would run gets an apostrophe in front.

    Args:
        columns: Heads.
        rows: Text, numbers, or None for an empty cell.

    Returns:
        Lines that end in carriage return and line feed.
    """
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows([_make_safe(cell) for cell in row] for row in rows)
    return text.getvalue()


def _make_safe(cell: Cell) -> Cell:
    """Keep numbers; hold text back from being a formula."""
    if isinstance(cell, str) and cell.startswith(_RUN):
        return f"'{cell}"
    return cell
