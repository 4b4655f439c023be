"""Rows of a file of comma separated values; a broken quotation mark costs its own line only.

Takes lines, gives rows; may import errors and the other readers' records.
"""

from __future__ import annotations

import csv
from collections import deque
from collections.abc import Iterable, Iterator, Sequence

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.tickets.lines import MAX_LINE, Line
from diagnose.interfaces.tickets.row import Row

DELIMITERS = ",;\t"
# A quoted text of more lines than this was never closed.
MAX_LINES_OF_RECORD = 300
_NOT_CLOSED = "unexpected end of data"


class _Pushed:
    """Lines that can be given back."""

    def __init__(self, lines: Iterable[Line]) -> None:
        self._lines = iter(lines)
        self._back: deque[Line] = deque()

    def __iter__(self) -> Iterator[Line]:
        while (line := self.next()) is not None:
            yield line

    def next(self) -> Line | None:
        return self._back.popleft() if self._back else next(self._lines, None)

    def give_back(self, lines: Sequence[Line]) -> None:
        self._back.extendleft(reversed(lines))


def read_comma_rows(lines: Iterable[Line], path: str) -> Iterator[Row]:
    """Read the rows under a header line.

    Args:
        lines: The file.
        path: Its name, for faults.

    Raises:
        InputFaulty: There is no header, or it cannot be used.
    """
    csv.field_size_limit(2 * MAX_LINE)
    pushed = _Pushed(lines)
    first = next((line for line in pushed if line.fault or line.text.strip()), None)
    header, delimiter = _read_header(first, path)
    number = 0
    for line in pushed:
        if not line.fault and not line.text.strip():
            continue
        number += 1
        yield _read_row(number, line, pushed, header, delimiter)


def _read_header(line: Line | None, path: str) -> tuple[list[str], str]:
    if line is None or line.fault:
        wrong = line.fault if line else "there is no header line"
        raise InputFaulty([fault_in_file(path, "no-header", wrong, "name the columns in the first line")])
    if "\r" in line.text:
        wrong = "the lines end in bare carriage returns"
        raise InputFaulty([fault_in_file(path, "line-ends", wrong, "save the file with usual line ends")])
    delimiter = max(DELIMITERS, key=lambda mark: len(_split_loosely(line.text, mark)))
    return name_columns(_split_loosely(line.text, delimiter), path), delimiter


def _split_loosely(text: str, delimiter: str) -> list[str]:
    return next(csv.reader([text.replace("\0", "")], delimiter=delimiter), [])


def name_columns(cells: Iterable[str], path: str) -> list[str]:
    """Name the columns of a header; an empty name becomes its number.

    Raises:
        InputFaulty: Two columns have one name.
    """
    names = [cell.strip() or f"column_{number}" for number, cell in enumerate(cells, start=1)]
    twice = sorted({name for name in names if names.count(name) > 1}) if len(names) < 5_000 else ["..."]
    if twice:
        wrong = f"two columns are named {', '.join(twice)}"
        raise InputFaulty([fault_in_file(path, "columns", wrong, "name each column once")])
    return names


def _read_row(number: int, line: Line, pushed: _Pushed, header: list[str], delimiter: str) -> Row:
    """Read one row; where its lines make no row, only the first of them is lost to it."""
    taken = [line]
    cells, fault = _read_record(taken, pushed, delimiter)
    if not fault and len(cells) != len(header):
        fault = f"{len(cells)} fields where the header has {len(header)}"
    if fault:
        pushed.give_back(taken[1:])
        return Row(number, fault=f"line {line.number}: {fault}" if not line.fault else line.fault)
    notes = tuple(dict.fromkeys(part.note for part in taken if part.note))
    return Row(number, dict(zip(header, cells, strict=True)), notes=notes)


def _read_record(taken: list[Line], pushed: _Pushed, delimiter: str) -> tuple[list[str], str]:
    """Take lines until they make one record, adding to those taken."""
    while True:
        if taken[-1].fault:
            return [], taken[0].fault or "a quotation mark is opened and not closed"
        try:
            pieces = [f"{part.text}\n" for part in taken[:-1]] + [taken[-1].text]
            return next(csv.reader(pieces, delimiter=delimiter, strict=True), []), ""
        except csv.Error as error:
            if _NOT_CLOSED not in str(error):
                return [], f"broken quotation marks ({error})"
        if not _take_up_to_quote(taken, pushed):
            return [], "a quotation mark is opened and not closed"


def _take_up_to_quote(taken: list[Line], pushed: _Pushed) -> bool:
    """Take lines up to the next one with a quotation mark, which alone can end the record."""
    while len(taken) < MAX_LINES_OF_RECORD and (line := pushed.next()) is not None:
        taken.append(line)
        if line.fault or '"' in line.text:
            return True
    return False
