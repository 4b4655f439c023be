"""A scored ticket as one flat row, for tables.

Takes the object of a line, gives cells by column; may import the answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from diagnose.interfaces.plan import MOST_CAUSES, MOST_QUESTIONS

Cell = str | int | float | None

_CAUSES = tuple(f"{name}_{n}" for n in range(1, MOST_CAUSES + 1) for name in ("cause", "probability"))
OWN_COLUMNS = (
    "row", "ticket", "status", "reason", "priority", "priority_why", *_CAUSES, "facts",
    "next", "next_kind", "next_says", "next_minutes", "next_access", "next_plan_minutes", "next_cautions",
    *(f"ask_{n}" for n in range(1, MOST_QUESTIONS + 1)), "rules_version", "notes", "repeat_of", "urgent",
)  # fmt: skip
NUMBERS = frozenset({"next_minutes", "next_plan_minutes", *(c for c in _CAUSES if c.startswith("p"))})
# What a spreadsheet takes for a formula when it opens a file of plain text.
_FORMULA = re.compile(r"\s*[=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?")


def name_passed(names: Iterable[str]) -> dict[str, str]:
    """Name the columns that pass through; one that is called like ours is told apart."""
    return {name: f"{name} (given)" if name in OWN_COLUMNS else name for name in names}


def flatten(scored: Mapping[str, Any], passed: Mapping[str, str]) -> dict[str, Cell]:
    """Lay one scored ticket out in cells.

    Args:
        scored: The object of one line.
        passed: Columns that pass through, with the names they get.
    """
    cells: dict[str, Cell] = dict.fromkeys([*OWN_COLUMNS, *passed.values()])
    cells |= {name: scored[name] for name in ("row", "ticket", "status", "reason", "rules_version")}
    cells["priority"], cells["priority_why"] = scored["priority"]["level"], scored["priority"]["why"]
    for number, ranked in enumerate(scored["causes"], start=1):
        cells[f"cause_{number}"], cells[f"probability_{number}"] = ranked["cause"], ranked["probability"]
    cells["facts"] = "; ".join(f"{f['observation']}={f['state']} ({f['from']})" for f in scored["facts"])
    cells |= _flatten_next(scored["next"])
    for number, question in enumerate(scored["ask"], start=1):
        cells[f"ask_{number}"] = question["question"]
    cells["repeat_of"] = scored.get("repeat_of")
    cells["urgent"] = "; ".join(f"{kind} ({words})" for kind, words in scored.get("urgent", {}).items())
    cells["notes"] = "; ".join(scored["notes"])
    cells |= {passed[name]: value for name, value in scored["given"].items()}
    return cells


def _flatten_next(step: Mapping[str, Any] | None) -> dict[str, Cell]:
    if step is None:
        return {}
    return {
        "next": step["inspection"] or step["repair"],
        "next_kind": step["kind"],
        "next_says": step["says"],
        "next_minutes": float(step["minutes"]),
        "next_access": step["access"],
        "next_plan_minutes": float(step["plan_minutes"]),
        "next_cautions": "\n".join(step["cautions"]),
    }


def disarm(cell: Cell) -> Cell:
    """Keep a spreadsheet from taking text for a formula; numbers stay numbers."""
    if isinstance(cell, str) and _FORMULA.match(cell) and not _NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell
