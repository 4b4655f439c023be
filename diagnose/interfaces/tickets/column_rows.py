"""Rows of a Parquet file or a directory of them, read part by part.

Takes a path, gives rows; may import errors and the other readers' records.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.tickets.row import Row, say_value

# Rows held at once; each part passes over the row groups before it by their headers.
PART = 50_000


def read_column_rows(path: str) -> Iterator[Row]:
    """Read all rows in the order of the file.

    Raises:
        InputFaulty: The file is not Parquet, or is broken.
    """
    import polars as pl

    table = pl.scan_parquet(Path(path), glob=False)
    number = 0
    while True:
        try:
            part = table.slice(number, PART).collect()
        except (pl.exceptions.PolarsError, OSError) as error:
            wrong = f"this cannot be read as Parquet ({str(error).splitlines()[0]})"
            raise InputFaulty([fault_in_file(path, "broken-file", wrong, "write the file again")]) from None
        for cells in part.iter_rows():
            number += 1
            yield Row(number, dict(zip(part.columns, map(say_value, cells), strict=True)))
        if len(part) < PART:
            return
