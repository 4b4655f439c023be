"""Read a stroke log, CSV or Parquet, into arrays in our units.

Takes a file, gives a `RawLog`; may import errors and columns. Unreadable cells become gaps and are counted.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from diagnose.errors import Fault, InputFaulty, fault_in_file
from diagnose.facts.stroke.columns import CONTACTS, TIME, Column, find_columns
from diagnose.facts.stroke.wording import counted
from diagnose.trade.signals import InputKind

Floats = NDArray[np.float64]
_SEPARATORS = ";\t,"
# More than this share of unreadable cells is a wrong column, not a flaw of a few rows.
_MOST_UNREADABLE = 0.5
_TRUE = ("true", "on", "made", "closed", "tripped", "yes")
_FALSE = ("false", "off", "open", "free", "no")


@dataclass(frozen=True)
class LogOptions:
    """How to read a log where its header does not tell.

    Attributes:
        units: Unit, with its span where it has one, by our column name.
        renamed: Our column name by the name in the file.
        kind: Kind of the command signal out of the unit record.
    """

    units: Mapping[str, str] = field(default_factory=dict)
    renamed: Mapping[str, str] = field(default_factory=dict)
    kind: InputKind | None = None


@dataclass(frozen=True, eq=False)
class RawLog:
    """A log as written: arrays in s, per cent, V, A and 0 or 1, by our column name.

    Attributes:
        columns: What each column was in the file.
        notes: What was made good in reading.
    """

    path: str
    columns: tuple[Column, ...]
    values: dict[str, Floats]
    notes: tuple[str, ...]


def load_log(path: Path, options: LogOptions) -> RawLog:
    """Read a stroke log.

    Args:
        path: A .csv, .tsv or .txt file with a header, or a .parquet file.
        options: Units and names where the header does not tell them.

    Returns:
        The arrays, in the order of the file.

    Raises:
        InputFaulty: The file, its header or a column cannot be read.
    """
    is_parquet = path.suffix.lower() in {".parquet", ".pq"}
    frame, separator = (_read_parquet(path), "") if is_parquet else _read_text(path)
    columns = find_columns(str(path), frame.columns, options.units, options.renamed, options.kind)
    notes: list[str] = []
    values = {}
    for column in columns:
        series = frame.get_column(column.header)
        numbers = _numbers(path, column, series, separator, notes)
        values[column.name] = (numbers - column.zero) * column.scale
    return RawLog(str(path), columns, values, tuple(notes))


def _read_parquet(path: Path) -> pl.DataFrame:
    try:
        return pl.read_parquet(path)
    except (OSError, pl.exceptions.PolarsError) as error:
        raise _unreadable(path, error) from None


def _read_text(path: Path) -> tuple[pl.DataFrame, str]:
    separator = _separator(path)
    try:
        frame = pl.read_csv(
            path, separator=separator, infer_schema=False, encoding="utf8-lossy", comment_prefix="#"
        )
    except pl.exceptions.ComputeError:
        raise InputFaulty([_find_long_row(path, separator)]) from None
    except (OSError, pl.exceptions.PolarsError) as error:
        raise _unreadable(path, error) from None
    return frame, separator


def _separator(path: Path) -> str:
    """Tell the separator from the header line."""
    try:
        with path.open("rb") as file:
            head = file.read(65536)
    except OSError as error:
        raise _unreadable(path, error) from None
    if b"\0" in head:
        raise _refuse(path, "the log is no plain text", "save it as CSV in UTF-8, or as Parquet")
    lines = [line for line in head.decode("utf-8", "replace").splitlines() if line.strip()]
    first = next((line for line in lines if not line.startswith("#")), "")
    if not first:
        raise _refuse(path, "the log is empty", "give a log with time, command and position")
    return max(_SEPARATORS, key=first.count)


def _find_long_row(path: Path, separator: str) -> Fault:
    """Point at the first row of more fields than the header names."""
    with path.open(encoding="utf-8", errors="replace", newline="") as file:
        rows = csv.reader((line for line in file if not line.startswith("#")), delimiter=separator)
        width = len(next(rows, []))
        for row in rows:
            if len(row) > width:
                commas = "; decimal commas need another separator, such as ;" if separator == "," else ""
                wrong = f"{len(row)} fields in a row, {width} names in the header{commas}"
                return Fault(str(path), rows.line_num, 1, "stroke-log", wrong, "save the log again")
    return fault_in_file(path, "stroke-log", "the table cannot be read", "save it as plain CSV")


def _numbers(path: Path, column: Column, series: pl.Series, separator: str, notes: list[str]) -> Floats:
    if series.dtype.is_temporal() and column.name == TIME:
        numbers = _seconds(series)
    elif series.dtype in {pl.String, pl.Categorical}:
        numbers = _numbers_of_text(path, column, series.cast(pl.String), separator, notes)
    elif series.dtype.is_numeric() or series.dtype == pl.Boolean:
        numbers = series.cast(pl.Float64)
    else:
        raise _refuse(path, f"column '{column.header[:40]}' holds {series.dtype}", "give numbers")
    numbers = pl.select(pl.when(numbers.is_finite()).then(numbers)).to_series()
    lost = numbers.null_count()
    if lost > _MOST_UNREADABLE * max(1, len(series)):
        raise InputFaulty([_first_unreadable(path, column, series, numbers)])
    if lost:
        notes.append(f"{counted(lost, 'cell')} of {column.name} without a number left out.")
    return numbers.to_numpy().astype(np.float64, copy=False)


def _seconds(series: pl.Series) -> pl.Series:
    return series.cast(pl.Datetime("us")).cast(pl.Int64).cast(pl.Float64) / 1e6


def _numbers_of_text(
    path: Path, column: Column, text: pl.Series, separator: str, notes: list[str]
) -> pl.Series:
    text = text.str.strip_chars()
    numbers = text.cast(pl.Float64, strict=False)
    if numbers.null_count() == text.null_count():
        return numbers
    commas = int(text.str.contains(",", literal=True).sum())
    if commas:
        _ensure_no_thousands(path, column, text)
        numbers = text.str.replace(",", ".", literal=True).cast(pl.Float64, strict=False)
        mixed = ", mixed with points" if int(text.str.contains(".", literal=True).sum()) else ""
        notes.append(f"{counted(commas, 'cell')} of {column.name} with a decimal comma{mixed}.")
    elif column.name == TIME and separator:
        numbers = _seconds_of_text(text, numbers)
    elif column.name in CONTACTS:
        words = dict.fromkeys(_TRUE, 1.0) | dict.fromkeys(_FALSE, 0.0)
        said = text.str.to_lowercase().replace_strict(words, default=None, return_dtype=pl.Float64)
        numbers = pl.select(pl.coalesce(numbers, said)).to_series()
    return numbers


def _seconds_of_text(text: pl.Series, numbers: pl.Series) -> pl.Series:
    """Read dates with a time of day; a column that is neither stays as it was."""
    try:
        return _seconds(text.str.to_datetime(strict=False))
    except pl.exceptions.PolarsError:
        return numbers


def _ensure_no_thousands(path: Path, column: Column, text: pl.Series) -> None:
    """Refuse a comma that may part thousands: beside a point in one cell, or in a column that has points too."""
    doubtful = text.str.contains(r"[.,].*[.,]")
    if int(text.str.contains(".", literal=True).sum()):
        doubtful = doubtful | text.str.contains(r"^[+-]?[1-9]\d{0,2},\d{3}$")
    if bool(doubtful.any()):
        row = doubtful.arg_max() or 0
        wrong = f"'{text[row][:30]}' of {column.name} may be thousands or a decimal comma"
        cure = "write the decimals of the whole column one way"
        raise InputFaulty([Fault(str(path), row + 2, 1, "stroke-log", wrong, cure)])


def _first_unreadable(path: Path, column: Column, series: pl.Series, numbers: pl.Series) -> Fault:
    row = numbers.is_null().arg_max() or 0
    given = re.sub(r"\s+", " ", str(series[row]))[:30]
    wrong = (
        f"most cells of {column.name} ('{column.header.strip()[:40]}') hold no number, the first is '{given}'"
    )
    return Fault(str(path), row + 2, 1, "stroke-log", wrong, "export the log again with numbers")


def _unreadable(path: Path, error: Exception) -> InputFaulty:
    reason = getattr(error, "strerror", None) or str(error).splitlines()[0][:80]
    return _refuse(path, f"cannot be read: {reason}", "check path and kind of the file")


def _refuse(path: Path, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "stroke-log", wrong, cure)])
