"""The commissioning sheet of one unit: stages in order, figures, blanks, and what each terminal should read.

Takes nothing, gives frozen models; may import document only. Complete enough to render without the rules.
"""

from __future__ import annotations

from diagnose.explanation.document import Part


class Figure(Part):
    """One computed figure.

    Attributes:
        value: The figure with its unit and tolerance; empty where the unit record lacks what it needs.
        basis: Formula with its inputs, and where it comes from.
    """

    label: str
    value: str
    basis: str


class Blank(Part):
    """One figure to write down, as found and as left; `expected` is empty where it cannot be told."""

    label: str
    expected: str = ""


class Stage(Part):
    """One stage of the work.

    Attributes:
        cautions: Safety lines of this stage, by id; their sentences stand on the sheet.
        notes: What this unit's record makes different.
    """

    title: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    steps: tuple[str, ...]
    figures: tuple[Figure, ...]
    blanks: tuple[Blank, ...]


class TerminalRow(Part):
    """What one place should read in each state of the unit; "?" where the unit record does not tell."""

    place: str
    rest: str
    opening: str
    closing: str
    at_open: str
    at_closed: str


class Known(Part):
    """One field of the unit record, in words, with its value and unit."""

    field: str
    says: str
    value: str


class Missing(Part):
    """One field of the unit record that is not known, in words, and what stays blank for it."""

    field: str
    says: str
    blank: str


class Sheet(Part):
    """The whole sheet."""

    asset: str
    record: tuple[Known, ...]
    unknown: tuple[Missing, ...]
    tools: tuple[str, ...]
    permits: tuple[str, ...]
    persons: str
    cautions: tuple[tuple[str, str], ...]
    deferral: str
    stages: tuple[Stage, ...]
    terminals: tuple[TerminalRow, ...]
    terminal_notes: tuple[str, ...]
    rules_version: str
