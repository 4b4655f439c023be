"""The second half of the triage page: visits, tools and parts, questions, measures, rejected rows.

Takes a Triage and its plots, gives markup; imports the document and the markup only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape

from diagnose.explanation.triage import Measured, Stock, Triage, VisitRow
from diagnose.explanation.triage_markup import (
    say_left_out,
    say_tickets,
    set_card,
    set_figure,
    set_level,
    set_name,
    set_table,
    set_tag,
    set_unit,
)


def render_visits(document: Triage) -> Iterator[str]:
    """List the visits that can be joined, with the arithmetic."""
    if document.by_call:
        told = "Open tickets whose next step needs nobody at the unit: ask before anybody goes"
        yield set_tag("p", f"{told}; the visit below is for their likeliest repair: {document.by_call:,}.")
    if not document.visits:
        yield set_tag("p", "No two open tickets of one site need the same access, permit and persons.")
        return
    told = (
        "One visit serves tickets of one site that need the same access, permit and persons. Each visit costs "
        f"{document.travel_minutes:g} min travel and, where the unit is opened, {document.permit_minutes:g} min "
        "for the permit (estimates of the rule base); joined, they are spent once."
    )
    yield set_tag("p", told, "small")
    for visit in document.visits:
        yield from _visit(visit, document.cautions)
    yield from say_left_out(document, "visits", "joined visits")


def _visit(visit: VisitRow, cautions: Sequence[str]) -> Iterator[str]:
    yield '<article class="visit">'
    persons = "1 person" if visit.persons == 1 else f"{visit.persons} persons"
    permit = "permit to work" if visit.needs_permit else "no permit"
    needs = f"{visit.access.replace('_', ' ')}, {permit}, {persons}, {visit.minutes:.0f} min"
    yield f"<h3>{escape(visit.site)}: {len(visit.stops)} tickets, {visit.saved:.0f} min saved</h3>"
    yield set_tag("p", f"{needs}. Saved: {visit.arithmetic}.", "small")
    yield set_table(
        ("When", "Ticket", "Asset", "Work", "Minutes"),
        (
            (
                set_level(stop.level),
                escape(stop.ticket),
                escape(stop.asset) or "-",
                escape(stop.work),
                f"{stop.minutes:.0f}",
            )
            for stop in visit.stops
        ),
        numbers=(4,),
    )
    for label, names in (("Tools", visit.tools), ("Parts", visit.parts)):
        if names:
            yield set_tag("p", f"{label}: {', '.join(names)}", "small")
    numbers = sorted(cautions.index(line) + 1 for line in visit.cautions)
    yield set_tag("p", f"Safety lines: {', '.join(map(str, numbers))} of those above.", "small")
    yield "</article>"


def render_stock(document: Triage) -> Iterator[str]:
    """List the tools and parts to take."""
    if not document.tools and not document.parts:
        yield set_tag("p", "No open ticket is ranked.")
        return
    yield set_tag("p", "For the next step of each open ticket and for the repair of causes with at least one chance "
                    "in five. Expected: the sum of those chances.", "small")  # fmt: skip
    yield '<div class="two">'
    for head, rows, name in (("Tool", document.tools, "tools"), ("Part", document.parts, "parts")):
        yield "<div>"
        yield _stock_table(head, rows, has_expected=name == "parts")
        yield from say_left_out(document, name, name)
        yield "</div>"
    yield "</div>"


def _stock_table(head: str, rows: Sequence[Stock], *, has_expected: bool) -> str:
    if not has_expected:
        return set_table((head, "Tickets"), ((escape(r.name), f"{r.tickets:,}") for r in rows), numbers=(1,))
    return set_table(
        (head, "Tickets", "Expected"),
        ((escape(r.name), f"{r.tickets:,}", f"{r.expected:,.1f}") for r in rows),
        numbers=(1, 2),
    )


def render_asks(document: Triage) -> Iterator[str]:
    """List the tickets that want a call back, and what to ask."""
    if not document.asks:
        yield set_tag("p", "No open ticket tells too little.")
        return
    yield set_tag("p", "These tickets tell too little to rank; the questions are those that would help most.",
               "small")  # fmt: skip
    yield set_table(
        ("Question", "Tickets"),
        ((escape(q.name), f"{q.count:,}") for q in document.questions),
        numbers=(1,),
    )
    yield from say_left_out(document, "questions", "questions")
    yield set_table(
        ("Ticket", "Ask"),
        (
            (set_unit(row), "<br>".join(escape(question) for question in row.questions))
            for row in document.asks
        ),
    )
    yield from say_left_out(document, "asks", "tickets that want a call back")


def render_measured(measured: Measured | None, plots: Mapping[str, str]) -> Iterator[str]:
    """Show how good the ranking was on confirmed tickets."""
    if measured is None:
        yield set_tag("p", "No ticket has a confirmed cause.")
        return
    yield set_tag("p", f"{say_tickets(measured.count)} with a confirmed cause of the rules; {measured.not_in_rules:,} more "
                    f"name a cause that is not in them, {measured.turned_away:,} more were taken for another device.")  # fmt: skip
    if not measured.count:
        return
    yield '<div class="cards">'
    for place, part in measured.within:
        yield set_card(f"{part:.1%}", "confirmed cause first" if place == 1 else f"within {place}")
    yield set_card(f"{measured.brier:.3f}", "Brier score (0 best, 2 worst)")
    yield set_card(f"{measured.log_score:.3f}", "log score (0 best)")
    yield "</div>"
    if measured.timed:
        yield set_tag("p", _say_minutes(measured))
    yield from set_figure(plots, "reliability")
    yield set_table(
        ("Share of the first cause", "Tickets", "Mean share", "Right"),
        ((t.span, f"{t.count:,}", f"{t.share:.2f}", f"{t.right:.2f}") for t in measured.tenths),
        numbers=(1, 2, 3),
    )
    if measured.confused:
        yield set_tag("h3", "Most often taken for another cause")
        yield set_table(
            ("Confirmed", "Ranked first", "Tickets"),
            ((set_name(c.confirmed), set_name(c.first), f"{c.count:,}") for c in measured.confused),
            numbers=(2,),
        )
    if measured.confused_left_out:
        yield set_tag("p", f"{measured.confused_left_out:,} more pairs are not shown.", "small")


def _say_minutes(measured: Measured) -> str:
    saved = measured.spent - measured.planned
    return (
        f"Minutes on {say_tickets(measured.timed)} with their minutes spent: {measured.spent:,.0f} spent in the "
        f"order they were really worked, {measured.planned:,.0f} expected in the order of the plan: "
        f"{measured.spent:,.0f} - {measured.planned:,.0f} = {saved:,.0f} saved, {saved / measured.timed:,.1f} a ticket."
    )


def render_rejects(document: Triage) -> Iterator[str]:
    """List the rows that could not be scored."""
    if not document.rejects:
        yield set_tag("p", "No row was rejected.")
        return
    yield set_table(
        ("Reason", "Rows"), ((escape(r.name), f"{r.count:,}") for r in document.reasons), numbers=(1,)
    )
    yield from say_left_out(document, "reasons", "reasons")
    yield set_table(
        ("Row", "Ticket", "Reason"),
        ((f"{r.row:,}", escape(r.ticket) or "-", escape(r.reason)) for r in document.rejects),
        numbers=(0,),
    )
    yield from say_left_out(document, "rejects", "rejected rows")
