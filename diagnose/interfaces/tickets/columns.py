"""Columns by our names: `--map`, cleaning, and what a row must have.

Takes rows as read, gives rows ready to score; may import errors and the row.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.facts.language.tokens import MAX_CHARACTERS
from diagnose.interfaces.tickets.row import Row, clean_text

NEEDED = ("id", "text")
KNOWN = (
    *NEEDED, "duty", "motor", "recent_work", "done", "parts", "asset", "site", "opened", "state",
    "confirmed_cause", "minutes_spent",
)  # fmt: skip
MAX_ID = 200


def read_mapping(pairs: Iterable[str]) -> dict[str, str]:
    """Read `theirs=ours` pairs.

    Raises:
        ValueError: A pair is none, or names no column of ours.
    """
    mapping: dict[str, str] = {}
    for pair in pairs:
        theirs, _, ours = pair.rpartition("=")
        if not theirs or ours not in KNOWN:
            raise ValueError(f"'{pair}' is not theirs=ours; ours is one of {', '.join(KNOWN)}")
        mapping[theirs.strip()] = ours
    if len(set(mapping.values())) < len(mapping):
        raise ValueError("two columns are mapped to one")
    return mapping


def arrange_rows(rows: Iterable[Row], mapping: Mapping[str, str], path: str) -> Iterator[Row]:
    """Give rows with columns by our names, cleaned; each bad one with its reason.

    Raises:
        InputFaulty: The first good row has none of a column that is needed.
    """
    is_first = True
    for row in rows:
        if row.fault:
            yield row
            continue
        values = _rename(row.values, mapping)
        if is_first:
            ensure_columns(values, path)
            is_first = False
        yield _check_row(replace(row, values=values))


def ensure_columns(values: Mapping[str, str], path: str) -> None:
    """Refuse a file without the columns that are needed.

    Raises:
        InputFaulty: Naming what is missing and what is there.
    """
    missing = [name for name in NEEDED if name not in values]
    if missing:
        there = ", ".join(list(values)[:20]) or "none"
        wrong = f"there is no column {' and no column '.join(missing)} (columns: {there})"
        cure = f"name it, as in --map 'theirs={missing[0]}'"
        raise InputFaulty([fault_in_file(path, "columns", wrong, cure)])


def _rename(values: Mapping[str, str], mapping: Mapping[str, str]) -> dict[str, str]:
    """Rename mapped columns, and those that are ours but for case; a mapped one wins."""
    taken = set(mapping.values())
    renamed: dict[str, str] = {}
    for name, value in values.items():
        ours = mapping.get(name) or (name.lower() if name.lower() in KNOWN else name)
        if name not in mapping and ours in taken:
            ours = f"{name} (theirs)"
        if ours not in renamed:
            renamed[ours] = value
    return renamed


def _check_row(row: Row) -> Row:
    """Clean the text; refuse a row without an id, note what was left out."""
    values = {clean_text(name): clean_text(value) for name, value in row.values.items()}
    values["id"] = values.get("id", "").strip()
    notes = list(row.notes)
    if any("\0" in value for value in row.values.values()):
        notes.append("NUL characters read as blanks")
    if len(values.get("text", "")) > MAX_CHARACTERS:
        notes.append(f"only the first {MAX_CHARACTERS} characters of the text were read")
    fault = ""
    if not values["id"]:
        fault = "the row has no id"
    elif len(values["id"]) > MAX_ID:
        fault = f"the id is longer than {MAX_ID} characters"
    elif "text" not in values:
        fault = "the row has no text column"
    return Row(row.number, values, fault, tuple(notes))
