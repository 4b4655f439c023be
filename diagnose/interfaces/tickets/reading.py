"""A file of tickets, by the kind its name tells: CSV, JSON Lines, Parquet, workbook, or a stream.

Takes a path, gives rows and how far they are; may import the readers of each kind.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.tickets.column_rows import read_column_rows
from diagnose.interfaces.tickets.columns import arrange_rows
from diagnose.interfaces.tickets.comma_rows import read_comma_rows
from diagnose.interfaces.tickets.json_rows import read_json_rows
from diagnose.interfaces.tickets.lines import COMPRESSED, Source, ensure_whole, read_lines
from diagnose.interfaces.tickets.row import Row
from diagnose.interfaces.tickets.sheet_rows import read_sheet_rows

BY_LINES = {".csv": "csv", ".tsv": "csv", ".txt": "csv", ".jsonl": "json", ".ndjson": "json"}


class TicketFile:
    """One file of tickets; its rows are read once, in order."""

    def __init__(self, path: str, mapping: Mapping[str, str]) -> None:
        """Look at the name.

        Raises:
            InputFaulty: The file is not there, or its name tells no kind that can be read.
        """
        self.path = path
        self._mapping = mapping
        self._source: Source | None = None
        self._kind = find_kind(path)
        if path != "-" and not Path(path).exists():
            raise InputFaulty([fault_in_file(path, "unreadable", "there is no such file", "name a file")])

    @property
    def size(self) -> int:
        """Give the bytes to read, where they are known beforehand; else 0."""
        return self._source.size if self._source else 0

    @property
    def done(self) -> int:
        """Give the bytes read so far, where they can be known."""
        return self._source.done if self._source else 0

    def rows(self) -> Iterator[Row]:
        """Read all rows with columns by our names.

        Raises:
            InputFaulty: The file as a whole cannot be read.
        """
        return arrange_rows(self.plain_rows(), self._mapping, self.path)

    def plain_rows(self) -> Iterator[Row]:
        """Read all rows with the columns of the file."""
        if self._kind == "parquet":
            yield from read_column_rows(self.path)
        elif self._kind == "sheet":
            yield from read_sheet_rows(self.path)
        else:
            self._source = Source(self.path)
            with ensure_whole(self.path):
                yield from self._read_by_lines(self._source.unpack())

    def _read_by_lines(self, stream: io.BufferedReader) -> Iterator[Row]:
        kind = self._kind
        if kind == "stream":
            start = stream.peek(64)[:64].lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n\0")
            kind = "json" if start.startswith(b"{") else "csv"
        lines = read_lines(stream)
        yield from read_json_rows(lines) if kind == "json" else read_comma_rows(lines, self.path)


def read_plain_rows(path: str) -> Iterator[Row]:
    """Read the rows of a file whose columns are not those of tickets, as they are named.

    Raises:
        InputFaulty: The file cannot be read.
    """
    return TicketFile(path, {}).plain_rows()


def find_kind(path: str) -> str:
    """Tell the kind of a file by its name, its compression aside.

    Raises:
        InputFaulty: The name tells none.
    """
    if path == "-":
        return "stream"
    plain = Path(path.removesuffix(".gz").removesuffix(".zst"))
    suffix = plain.suffix.lower()
    if suffix in BY_LINES:
        return BY_LINES[suffix]
    is_plain = not path.endswith(COMPRESSED)
    if is_plain and (suffix == ".parquet" or Path(path).is_dir()):
        return "parquet"
    if is_plain and suffix in {".xlsx", ".xlsm"}:
        return "sheet"
    wrong = f"'{suffix or path}' tells no kind of file that can be read"
    cure = "use .csv, .jsonl (also .gz, .zst), .parquet or .xlsx"
    raise InputFaulty([fault_in_file(path, "file-kind", wrong, cure)])
