"""The triage document as one self-contained page: opens offline, for screen and print.

Takes a Triage and its plots, gives HTML without script or outside links; imports the document and its parts only.
Pure: nothing is looked up, and everything that comes from the document is escaped.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape

from diagnose.explanation.triage import Triage
from diagnose.explanation.triage_details import (
    render_asks,
    render_measured,
    render_rejects,
    render_stock,
    render_visits,
)
from diagnose.explanation.triage_markup import set_card, set_tag
from diagnose.explanation.triage_overview import (
    render_causes,
    render_cautions,
    render_first,
    render_places,
    render_repeats,
)
from diagnose.explanation.triage_style import STYLE

_STATUS_WORDS = {
    "ranked": "ranked",
    "ask_first": "too little told: ask first",
    "other_equipment": "another device",
    "cause_not_listed": "no listed cause fits",
}
_PARTS = (
    ("cautions", "Before any work"),
    ("first", "Action first"),
    ("causes", "Causes"),
    ("places", "Sites, assets, months"),
    ("repeats", "Same cause again"),
    ("visits", "Visits to join"),
    ("stock", "Tools and parts"),
    ("asks", "Call back"),
    ("measured", "How good the ranking was"),
    ("rejects", "Rejected rows"),
)


def render_triage(document: Triage, plots: Mapping[str, str]) -> str:
    """Render a triage report as a page.

    Args:
        document: What the backlog means.
        plots: SVG by name; its text is escaped by whoever drew it.

    Returns:
        A whole HTML document.
    """
    bodies = {
        "cautions": render_cautions(document),
        "first": render_first(document),
        "causes": render_causes(document, plots),
        "places": render_places(document, plots),
        "repeats": render_repeats(document),
        "visits": render_visits(document),
        "stock": render_stock(document),
        "asks": render_asks(document),
        "measured": render_measured(document.measured, plots),
        "rejects": render_rejects(document),
    }
    sections = [
        f'<section id="{name}">\n<h2>{title}</h2>\n' + "\n".join(bodies[name]) + "\n</section>"
        for name, title in _PARTS
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(document.title)}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n"
        + "\n".join([*_head(document), *sections, *_foot(document)])
        + "\n</body>\n</html>\n"
    )


def _head(document: Triage) -> Iterator[str]:
    levels = {count.name: count.count for count in document.levels}
    yield "<header>"
    yield set_tag("h1", document.title)
    statuses = ", ".join(f"{count.count:,} {_STATUS_WORDS[count.name]}" for count in document.statuses)
    read = document.scored + document.rejected
    told = f"{read:,} rows read: {document.scored:,} scored, {document.rejected:,} rejected. {statuses}."
    yield set_tag("p", told)
    yield '<div class="cards">'
    yield set_card(f"{document.open:,}", "open tickets")
    yield set_card(f"{levels['now']:,}", "wanted now", "now")
    yield set_card(f"{levels['next_shift']:,}", "by the next shift", "next_shift")
    yield set_card(f"{levels['next_outage']:,}", "at the next outage")
    yield set_card(f"{document.saved / 60:,.1f} h", "saved by joining visits")
    yield "</div>"
    links = "".join(f'<a href="#{name}">{title}</a>' for name, title in _PARTS)
    yield f"<nav>{links}</nav>"
    yield "</header>"


def _foot(document: Triage) -> Iterator[str]:
    yield "<footer>"
    note = (
        f"Rules {document.rules_version}. Scores are advice to a trained person. A cause stands for a ticket when "
        "it was confirmed, or else ranked first; chances of causes are estimates until learned from closed tickets."
    )
    yield set_tag("p", note, "small")
    yield "</footer>"
