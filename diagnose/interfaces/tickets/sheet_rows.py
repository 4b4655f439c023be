"""Rows of the first sheet of a workbook, read as a stream; a workbook that unpacks to too much is refused.

Takes a path, gives rows; may import errors and the other readers' records.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from typing import Any

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.tickets.comma_rows import name_columns
from diagnose.interfaces.tickets.row import Row, say_value

# A workbook of a million rows unpacks to a few hundred MB, and to 5 to 30 times its size.
MAX_UNPACKED = 1024**3
MAX_RATIO = 200
HARMLESS = 32 * 1024**2
MAX_PARTS = 2_000
MAX_COLUMNS = 512


def read_sheet_rows(path: str) -> Iterator[Row]:
    """Read the rows under the first row that is not empty; empty rows are none.

    Raises:
        InputFaulty: The file is no workbook, is broken, or unpacks to too much.
    """
    ensure_harmless(path)
    try:
        yield from _read(path)
    except InputFaulty:
        raise
    except Exception as error:
        wrong = f"the workbook is broken ({type(error).__name__})"
        cure = "open and save it again, or save it as CSV"
        raise InputFaulty([fault_in_file(path, "broken-file", wrong, cure)]) from error


def ensure_harmless(path: str) -> None:
    """Refuse what is no workbook or unpacks to too much.

    Raises:
        InputFaulty: Naming what is wrong.
    """
    try:
        with zipfile.ZipFile(path) as packed:
            parts = packed.infolist()
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        wrong = f"this is no workbook ({error})"
        raise InputFaulty([fault_in_file(path, "broken-file", wrong, "save it as .xlsx or as CSV")]) from None
    unpacked = sum(part.file_size for part in parts)
    packed_size = max(1, sum(part.compress_size for part in parts))
    is_bomb = unpacked > HARMLESS and unpacked > MAX_RATIO * packed_size
    if unpacked > MAX_UNPACKED or is_bomb or len(parts) > MAX_PARTS:
        wrong = f"the workbook unpacks to {unpacked // 2**20} MB in {len(parts)} parts"
        cure = "save the sheet as CSV or Parquet"
        raise InputFaulty([fault_in_file(path, "too-large", wrong, cure)])


def _read(path: str) -> Iterator[Row]:
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
    try:
        sheet: Any = book.worksheets[0]
        sheet.reset_dimensions()  # a false size would be believed
        filled = (
            cells
            for cells in sheet.iter_rows(values_only=True, max_col=MAX_COLUMNS)
            if any(map(_is_filled, cells))
        )
        header = name_columns((say_value(cell) for cell in _without_tail(next(filled, ()))), path)
        for number, cells in enumerate(filled, start=1):
            yield _read_row(number, _without_tail(cells), header)
    finally:
        book.close()


def _is_filled(cell: object) -> bool:
    return cell is not None and cell != ""


def _without_tail(cells: tuple[object, ...]) -> tuple[object, ...]:
    """Drop the empty cells at the end: they may come from formatting alone."""
    last = max((place for place, cell in enumerate(cells, start=1) if _is_filled(cell)), default=0)
    return cells[:last]


def _read_row(number: int, cells: tuple[object, ...], header: list[str]) -> Row:
    if len(cells) > len(header):
        return Row(number, fault=f"{len(cells)} cells where the header has {len(header)}")
    given = [say_value(cell) for cell in cells]
    return Row(number, dict(zip(header, given + [""] * (len(header) - len(given)), strict=True)))
