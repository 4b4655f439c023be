"""The first half of the triage page: what wants action, causes, places, causes that come back.

Takes a Triage and its plots, gives markup; imports the document and the markup only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape

from diagnose.explanation.triage import ActionRow, PlaceRow, Triage
from diagnose.explanation.triage_markup import (
    say_left_out,
    set_figure,
    set_level,
    set_name,
    set_table,
    set_tag,
    set_unit,
)


def render_cautions(document: Triage) -> Iterator[str]:
    """List every safety line of the work that the page names, in full, before that work."""
    yield set_tag("p", document.deferral, "caution")
    if document.cautions:
        yield set_tag(
            "p", "Safety lines of all work named below, none left out; each visit names its own.", "small"
        )
        yield "<ol class='cautions'>" + "".join(set_tag("li", line) for line in document.cautions) + "</ol>"


def render_first(document: Triage) -> Iterator[str]:
    """List the open tickets that want action first."""
    if not document.actions:
        yield set_tag("p", "No open ticket wants action now or by the next shift.")
        return
    yield set_tag("p", "Open tickets wanted now or by the next shift: a person at risk or a process that is down "
                    "first, then by how long the likely causes may stay in service, repeats before others, "
                    "oldest first.", "small")  # fmt: skip
    heads = ("When", "Ticket", "Likely cause", "Why")
    has_next = any(row.next for row in document.actions)
    rows = (_show_action(row) for row in document.actions)
    # without the planner no ticket has a next step
    yield set_table((*heads, "Next"), rows) if has_next else set_table(heads, (row[:-1] for row in rows))
    yield from say_left_out(document, "actions", "tickets wanted now or by the next shift")


def _show_action(row: ActionRow) -> tuple[str, ...]:
    chance = f" {row.probability:.0%}<br><span class='small'>{escape(row.says)}</span>"
    return (
        set_level(row.level),
        set_unit(row),
        set_name(row.cause) + chance if row.cause else "-",
        set_name(row.why),
        escape(row.next) or "-",
    )


def render_causes(document: Triage, plots: Mapping[str, str]) -> Iterator[str]:
    """Show the causes by number of tickets."""
    if not document.causes:
        yield set_tag("p", "No ticket has a cause that is confirmed or ranked.")
        return
    yield from set_figure(plots, "causes")
    yield set_table(
        ("Cause", "Meaning", "Part", "In service", "Tickets", "Confirmed", "Together"),
        (
            (
                set_name(row.cause),
                escape(row.says),
                escape(row.part),
                set_level(row.verdict),
                f"{row.tickets:,}",
                f"{row.confirmed:,}",
                f"{row.cumulative:.0%}",
            )
            for row in document.causes
        ),
        numbers=(4, 5, 6),
    )


def render_places(document: Triage, plots: Mapping[str, str]) -> Iterator[str]:
    """Show sites, assets and months."""
    for name, rows in (("sites", document.sites), ("assets", document.assets)):
        yield set_tag("h3", f"By {name[:-1]}")
        if not rows:
            yield set_tag("p", f"No ticket names its {name[:-1]}.")
            continue
        yield from set_figure(plots, name)
        yield _place_table(name[:-1].capitalize(), rows)
        yield from say_left_out(document, name, f"{name} with less to do")
    yield set_tag("h3", "By month")
    if not document.months:
        yield set_tag("p", "No ticket has a date of the form 2026-03-01 in its column `opened`.")
    yield from set_figure(plots, "months")
    yield from say_left_out(document, "months", "earlier months")


def _place_table(head: str, rows: Sequence[PlaceRow]) -> str:
    return set_table(
        (head, "Wanted soon", "Open", "Tickets", "Commonest cause"),
        (
            (
                escape(row.name),
                f"{row.soon:,}",
                f"{row.open:,}",
                f"{row.tickets:,}",
                set_name(row.cause) or "-",
            )
            for row in rows
        ),
        numbers=(1, 2, 3),
    )


def render_repeats(document: Triage) -> Iterator[str]:
    """List the assets that came back with the same cause."""
    if not document.repeats:
        yield set_tag("p", "No asset came back with the same cause.")
        return
    yield set_tag("p", "A cause that comes back was not cured, or has a root behind it.", "small")
    yield set_table(
        ("Asset", "Cause", "Times", "First", "Last", "Tickets"),
        (
            (
                escape(row.asset),
                f"{set_name(row.cause)}<br><span class='small'>{escape(row.says)}</span>",
                f"{row.count:,}",
                escape(row.first) or "-",
                escape(row.last) or "-",
                escape(", ".join(row.tickets)) + (" ..." if row.count > len(row.tickets) else ""),
            )
            for row in document.repeats
        ),
        numbers=(2,),
    )
    yield from say_left_out(document, "repeats", "assets with a cause that came back")
