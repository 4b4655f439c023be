"""The commissioning sheet as text of 80 columns, to print and fill in.

Takes a Sheet, gives a string; imports the document and text only. Pure: nothing is looked up, nothing printed.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.setup_document import Blank, Figure, Sheet, Stage, TerminalRow
from diagnose.explanation.text import WIDTH, wrap

_LINE = "______"
_LABEL = 34
_EXPECTED = 20


def render_sheet(sheet: Sheet, width: int = WIDTH) -> str:
    """Render a sheet for a printer or a terminal.

    Args:
        sheet: The whole sheet.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end. Cautions are never folded away.
    """
    lines = [
        f"COMMISSIONING SHEET  {sheet.asset}",
        f"date {_LINE}{_LINE}  by {_LINE}{_LINE}{_LINE}  witnessed {_LINE}{_LINE}{_LINE}",
        *_record(sheet, width),
        *_needs(sheet, width),
        *_cautions(sheet, width),
    ]
    for number, stage in enumerate(sheet.stages, start=1):
        lines += ["", *_stage(number, stage, width)]
    lines += ["", "WHAT EACH TERMINAL SHOULD READ", *_terminals(sheet, width)]
    lines += ["", *wrap(f"Rules {sheet.rules_version}. {sheet.deferral}", width)]
    return "\n".join(lines) + "\n"


def _record(sheet: Sheet, width: int) -> Iterator[str]:
    yield ""
    told = "; ".join(f"{known.says} {known.value}" for known in sheet.record)
    yield from wrap(f"On record: {told or 'nothing'}", width)
    if sheet.unknown:
        yield "Not on record, to be found out:"
    for missing in sheet.unknown:
        yield from wrap(f"[ ] {missing.says}: {missing.blank}", width, 2, 4)


def _needs(sheet: Sheet, width: int) -> Iterator[str]:
    yield ""
    yield from wrap(f"Take: {', '.join(sheet.tools)}", width)
    yield from wrap(f"Persons: {sheet.persons}", width)
    for permit in sheet.permits:
        yield from wrap(f"[ ] permit: {permit}", width, 0, 4)


def _cautions(sheet: Sheet, width: int) -> Iterator[str]:
    yield ""
    for number, (_, says) in enumerate(sheet.cautions, start=1):
        yield from wrap(f"CAUTION {number}: {says}", width)
    yield from wrap(sheet.deferral, width)
    numbers = {name: number for number, (name, _) in enumerate(sheet.cautions, start=1)}
    yield ""
    yield "Cautions by stage:"
    for number, stage in enumerate(sheet.stages, start=1):
        if stage.cautions:
            called = ", ".join(str(numbers[name]) for name in stage.cautions)
            yield from wrap(f"stage {number}: {called}", width, 2)


def _stage(number: int, stage: Stage, width: int) -> Iterator[str]:
    yield f"{number}. {stage.title.upper()}"
    for note in stage.notes:
        yield from wrap(f"! {note}", width, 2)
    for step in stage.steps:
        yield from wrap(f"[ ] {step}", width, 2, 4)
    for figure in stage.figures:
        yield from _figure(figure, width)
    if stage.blanks:
        yield f"  {'':<{_LABEL}}{'expected':<{_EXPECTED}}{'as found':<10}as left"
    for blank in stage.blanks:
        yield from _blank(blank, width)


def _figure(figure: Figure, width: int) -> Iterator[str]:
    yield from wrap(f"= {figure.label}: {figure.value or _LINE}  ({figure.basis})", width, 2, 4)


def _blank(blank: Blank, width: int) -> Iterator[str]:
    """Write one line to fill in; what does not fit its column goes above it."""
    label, expected = blank.label, blank.expected or _LINE
    if len(label) >= _LABEL or len(expected) >= _EXPECTED:
        yield from wrap(f"{label}: {expected}", width, 2, 4)
        label = expected = ""
    yield f"  {label:<{_LABEL}}{expected:<{_EXPECTED}}{_LINE:<10}{_LINE}"


def _terminals(sheet: Sheet, width: int) -> Iterator[str]:
    for note in sheet.terminal_notes:
        yield from wrap(note, width)
    heads = TerminalRow(
        place="",
        rest="at rest",
        opening="opening",
        closing="closing",
        at_open="at open",
        at_closed="at closed",
    )
    for row in (heads, *sheet.terminals):
        yield from _terminal(row, width)


def _terminal(row: TerminalRow, width: int) -> Iterator[str]:
    """Write a place on one line and its five readings on the next, so that nothing is cut in 80 columns."""
    cells = (row.rest, row.opening, row.closing, row.at_open, row.at_closed)
    if row.place:
        yield row.place
    column = (width - 2) // len(cells)
    wrapped = [wrap(cell, column - 1, 0, 0) for cell in cells]
    for line in range(max(len(cell) for cell in wrapped)):
        parts = (cell[line] if line < len(cell) else "" for cell in wrapped)
        yield ("  " + "".join(f"{part:<{column}}" for part in parts)).rstrip()
