"""The page document: one entry of the knowledge base with its links both ways.

Takes nothing, gives frozen models; may import document only. Complete enough to render without the rules.
"""

from __future__ import annotations

from typing import Literal

from diagnose.explanation.document import Part

Kind = Literal[
    "cause", "observation", "inspection", "rule", "circumstance", "reading", "consequence", "caution"
]


class Line(Part):
    """One line of a page: what is linked, and how.

    Attributes:
        note: How it is linked, for example a strength; shown before the id.
        id: The id that `show` answers to, or empty.
        says: The linked entry's sentence, or a plain fact.
        detail: Further sentences on the link: its source, the way through a state.
    """

    note: str = ""
    id: str = ""
    says: str = ""
    detail: tuple[str, ...] = ()


class Section(Part):
    """Lines under one title."""

    title: str
    lines: tuple[Line, ...]


class Page(Part):
    """Everything the knowledge base holds on one id."""

    format: Literal[1] = 1
    id: str
    kind: Kind
    says: str
    sections: tuple[Section, ...]
    cautions: tuple[str, ...] = ()
    deferral: str
    source: str
    rules_version: str
