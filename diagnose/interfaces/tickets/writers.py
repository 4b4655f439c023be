"""Scored tickets as JSON Lines, CSV, Parquet or a workbook; a file appears whole or not at all.

Takes a journal, writes the output and the rejects; may import errors, journal and flatten.
"""

from __future__ import annotations

import csv
import gzip
import io
import json
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import IO, cast

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.tickets.flatten import NUMBERS, OWN_COLUMNS, Cell, disarm, flatten, name_passed
from diagnose.interfaces.tickets.journal import REJECTED, SCORED, read_journal

SHEET_ROWS = 1_048_575
SHEET_TEXT = 32_767
PART = 10_000


@dataclass(frozen=True)
class Written:
    """How many rows went where."""

    scored: int
    rejected: int


def find_writer(path: Path) -> Callable[[Path, Path], None]:
    """Choose the writer by the name of the file; a directory that is there takes Parquet parts.

    Raises:
        InputFaulty: The name tells no kind that can be written, its directory is not there, or is not empty.
    """
    if not path.absolute().parent.is_dir():
        wrong = f"there is no directory {path.absolute().parent}"
        raise InputFaulty([fault_in_file(path, "unwritable", wrong, "name another file")])
    if path.is_dir():
        ensure_folder(path)
        return _write_parts
    name = path.name.lower()
    packed = name.removesuffix(".gz").removesuffix(".zst")
    kinds = {".jsonl": _write_lines, ".csv": _write_commas}
    if Path(packed).suffix in kinds:
        return kinds[Path(packed).suffix]
    whole = {".parquet": _write_columns, ".xlsx": _write_sheet}
    if path.suffix.lower() in whole:
        return whole[path.suffix.lower()]
    wrong = f"'{path.suffix or path}' tells no kind of file that can be written"
    cure = "use .jsonl or .csv (also .gz, .zst), .parquet, .xlsx, or end it in / for a directory of parts"
    raise InputFaulty([fault_in_file(path, "file-kind", wrong, cure)])


def ensure_folder(path: Path) -> None:
    """Make an output directory, or take one that is empty; what is in it is never mixed with other rows.

    Raises:
        InputFaulty: It cannot be made, or holds something.
    """
    try:
        path.mkdir(exist_ok=True)
        is_empty = not any(path.iterdir())
    except OSError as error:
        wrong = f"cannot be made: {error.strerror or error}"
        raise InputFaulty([fault_in_file(path, "unwritable", wrong, "name another directory")]) from None
    if not is_empty:
        cure = "empty it, or name another one"
        raise InputFaulty([fault_in_file(path, "not-empty", "the directory is not empty", cure)])


def rejects_path(out: Path) -> Path:
    """Name the file of rejected rows beside an output."""
    return out.with_name(f"{out.name}.rejects.jsonl")


def write_output(journal: Path, out: Path) -> Written:
    """Write the output and, where there are any, the rejects, each under another name until it is whole.

    Raises:
        InputFaulty: The output cannot be written.
    """
    write = find_writer(out)
    rejects = rejects_path(out)
    rejected = sum(1 for _ in read_journal(journal, REJECTED))
    try:
        if rejected:
            _write_new(rejects, lambda new: _copy(journal, REJECTED, new))
        else:
            rejects.unlink(missing_ok=True)
        _write_new(out, lambda new: write(journal, new))
    except OSError as error:
        wrong = f"cannot be written: {error.strerror or error}"
        raise InputFaulty([fault_in_file(out, "unwritable", wrong, "name another file")]) from None
    return Written(sum(1 for _ in read_journal(journal, SCORED)), rejected)


def _write_new(path: Path, write: Callable[[Path], object]) -> None:
    # the last part of the name stays, for it tells the kind
    new = path.with_name(f".new.{path.name}")
    try:
        write(new)
        new.replace(path)
    finally:
        if new.is_dir():
            shutil.rmtree(new)
        else:
            new.unlink(missing_ok=True)


def _write_lines(journal: Path, new: Path) -> None:
    _copy(journal, SCORED, new)


def _copy(journal: Path, kind: str, new: Path) -> None:
    with _open_packed(new) as stream:
        stream.writelines(read_journal(journal, kind))


@contextmanager
def _open_packed(path: Path) -> Iterator[IO[bytes]]:
    """Open a file for writing, packed as its name tells."""
    if path.name.endswith(".gz"):
        with gzip.open(path, "wb", compresslevel=6) as stream:
            yield cast("IO[bytes]", stream)
    elif path.name.endswith(".zst"):
        import zstandard

        packed = zstandard.ZstdCompressor().stream_writer(path.open("wb"))
        # the library has no writelines of its own
        with io.BufferedWriter(cast("io.RawIOBase", packed)) as stream:
            yield stream
    else:
        with path.open("wb") as plain:
            yield plain


def _read_cells(journal: Path) -> tuple[list[str], Iterator[dict[str, Cell]]]:
    """Give all columns, and the rows as cells; the lines are read twice, never held."""
    names: dict[str, None] = {}
    for line in read_journal(journal, SCORED):
        names.update(dict.fromkeys(json.loads(line)["given"]))
    passed = name_passed(names)
    rows = (flatten(json.loads(line), passed) for line in read_journal(journal, SCORED))
    return [*OWN_COLUMNS, *passed.values()], rows


def _write_commas(journal: Path, new: Path) -> None:
    columns, rows = _read_cells(journal)
    with _open_packed(new) as stream, io.TextIOWrapper(stream, "utf-8", newline="") as text:
        writer = csv.writer(text)
        writer.writerow(map(disarm, columns))
        writer.writerows([disarm(cell) for cell in row.values()] for row in rows)


def _write_columns(journal: Path, new: Path) -> None:
    """Write part by part and join the parts as a stream, so that memory stays flat."""
    import polars as pl

    folder = Path(tempfile.mkdtemp(prefix=f"{new.name}.", dir=new.parent))
    try:
        _fill_parts(journal, folder)
        pl.scan_parquet(folder / "*.parquet").sink_parquet(new)
    finally:
        shutil.rmtree(folder)


def _write_parts(journal: Path, new: Path) -> None:
    """Write a directory of Parquet parts, in the order of their names."""
    new.mkdir()
    _fill_parts(journal, new)


def _fill_parts(journal: Path, folder: Path) -> None:
    import polars as pl

    columns, rows = _read_cells(journal)
    kinds = {c: pl.Float64 if c in NUMBERS else pl.Int64 if c == "row" else pl.String for c in columns}
    # the first part has no rows: it tells the columns where there are no others
    pl.DataFrame(schema=kinds).write_parquet(folder / "0000000.parquet")
    for number, part in enumerate(iter(lambda: list(islice(rows, PART)), []), start=1):
        pl.DataFrame(part, schema=kinds).write_parquet(folder / f"{number:07d}.parquet")


def _write_sheet(journal: Path, new: Path) -> None:
    """Write text as text: no cell of ours is a formula or a link."""
    import xlsxwriter

    columns, rows = _read_cells(journal)
    book = xlsxwriter.Workbook(new, {"constant_memory": True, "nan_inf_to_errors": True})
    sheet = book.add_worksheet("tickets")
    for place, name in enumerate(columns):
        sheet.write_string(0, place, name)
    for number, row in enumerate(rows, start=1):
        if number > SHEET_ROWS:
            book.close()
            wrong = f"a sheet holds no more than {SHEET_ROWS} rows"
            raise InputFaulty([fault_in_file(new, "too-large", wrong, "write .csv or .parquet")])
        for place, cell in enumerate(row.values()):
            if isinstance(cell, str):
                sheet.write_string(number, place, cell[:SHEET_TEXT])
            elif cell is not None:
                sheet.write_number(number, place, cell)
    book.close()
