"""The command `setup`: the commissioning sheet of a unit.

Takes a unit record, prints or writes the sheet; may import everything above.
"""

from __future__ import annotations

import sys
from pathlib import Path

from diagnose.explanation.setup_build import build_sheet
from diagnose.explanation.setup_text import render_sheet
from diagnose.facts.unit_record import load_unit
from diagnose.interfaces.writing import write_whole
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.shipped import cases_directory


def run_setup(knowledge: Knowledge, unit: str, out: Path | None, *, as_json: bool) -> None:
    """Print the commissioning sheet of a unit, or write it to a file.

    Args:
        knowledge: The loaded rule base.
        unit: Unit record file, or the name of a shipped example.
        out: File to write instead of printing.
        as_json: Give the document as JSON.

    Raises:
        InputFaulty: The unit record has faults, or the file cannot be written.
    """
    sheet = build_sheet(knowledge, load_unit(unit_path(unit)))
    text = sheet.model_dump_json(indent=2) + "\n" if as_json else render_sheet(sheet)
    if out is None:
        print(text, end="")
        return
    write_whole(out, text)
    print(f"Written: {out}", file=sys.stderr)


def unit_path(named: str) -> Path:
    """Find a unit record by path, or a shipped one by its name."""
    shipped = cases_directory() / "units" / f"{named}.yaml"
    return shipped if not Path(named).exists() and shipped.is_file() else Path(named)
