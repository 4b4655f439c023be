"""The page document as text of 80 columns.

Takes a Page, gives a string; imports page and text only. Pure: nothing is looked up, nothing printed.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.page import Line, Page, Section
from diagnose.explanation.text import WIDTH, wrap

_WIDEST_NOTE = 12


def render_page(page: Page, width: int = WIDTH) -> str:
    """Render one page for a terminal or a file.

    Args:
        page: What is known of one id.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end. Cautions are never folded away.
    """
    lines = wrap(f"{page.id} ({page.kind}): {page.says}", width)
    for section in page.sections:
        lines += ["", section.title, *_lines(section, width)]
    if page.cautions:
        lines += ["", *(line for caution in page.cautions for line in wrap(f"CAUTION {caution}", width))]
        lines += wrap(page.deferral, width)
    lines += ["", *wrap(f"Source: {page.source}. Rules {page.rules_version}.", width)]
    return "\n".join(lines) + "\n"


def _lines(section: Section, width: int) -> Iterator[str]:
    """Set the notes of a section in one column, as wide as its widest short note."""
    notes = [len(line.note) for line in section.lines if len(line.note) <= _WIDEST_NOTE]
    column = max(notes, default=0)
    for line in section.lines:
        yield from _line(line, column, width)


def _line(line: Line, column: int, width: int) -> Iterator[str]:
    text = ": ".join(part for part in (line.id, line.says) if part)
    gap = 2 if column else 0
    # a note too long for the column makes a line of its own kind
    note = f"{line.note:<{column}}{' ' * gap}" if len(line.note) <= column else f"{line.note}: "
    yield from (
        wrap(f"{note}{text}", width, 2, column + gap + 2)
        if line.note
        else wrap(text, width, 2 + column + gap, 2)
    )
    for detail in line.detail:
        yield from wrap(detail, width, column + gap + 4)
