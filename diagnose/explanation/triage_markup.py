"""Pieces of markup that the parts of the triage page share; every text is escaped here.

Takes texts and rows, gives markup; imports the document and html only.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape

from diagnose.explanation.triage import ActionRow, AskRow, Triage

LEVEL_WORDS = {
    "now": "now",
    "next_shift": "next shift",
    "next_outage": "next outage",
    "monitor": "monitor",
    "no level": "no level",
    "": "-",
}


def set_tag(name: str, text: str, kind: str = "") -> str:
    """Wrap a text in an element, with a class where one is named."""
    of_kind = f' class="{kind}"' if kind else ""
    return f"<{name}{of_kind}>{escape(text)}</{name}>"


def set_name(name: str) -> str:
    """Set an id so that a narrow column breaks it after an underscore."""
    return escape(name).replace("_", "_<wbr>")


def set_level(level: str) -> str:
    """Mark how soon something wants action."""
    return f'<span class="level {escape(level.replace(" ", "_"))}">{escape(LEVEL_WORDS[level])}</span>'


def set_table(heads: Sequence[str], rows: Iterable[Sequence[str]], numbers: Iterable[int] = ()) -> str:
    """Lay out cells that are already markup; `numbers` names the columns set to the right."""
    right = frozenset(numbers)
    kinds = [' class="number"' if place in right else "" for place in range(len(heads))]
    top = "".join(f"<th{kind}>{escape(head)}</th>" for kind, head in zip(kinds, heads, strict=True))
    lines = [
        "<tr>" + "".join(f"<td{kind}>{cell}</td>" for kind, cell in zip(kinds, row, strict=True)) + "</tr>"
        for row in rows
    ]
    body = "\n".join(lines)
    return (
        f'<div class="wide"><table>\n<thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table></div>'
    )


def say_left_out(document: Triage, name: str, what: str) -> Iterator[str]:
    """Say how many entries of a list are not shown, where any are not."""
    if count := document.left_out.get(name):
        yield set_tag("p", f"{count:,} more {what} are not shown.", "small")


def say_tickets(count: int) -> str:
    """Say a number of tickets."""
    return "1 ticket" if count == 1 else f"{count:,} tickets"


def set_figure(plots: Mapping[str, str], name: str) -> Iterator[str]:
    """Set a plot, where it was drawn."""
    if name in plots:
        yield f"<figure>{plots[name]}</figure>"


def set_card(number: str, what: str, kind: str = "") -> str:
    """Set one figure of the whole with what it counts."""
    return f'<div class="card {kind}"><b>{escape(number)}</b><span>{escape(what)}</span></div>'


def set_unit(row: ActionRow | AskRow) -> str:
    """Name ticket, asset, site and day in one cell."""
    day = f"<span class='day'>{escape(row.opened)}</span>" * bool(row.opened)
    where = ", ".join(filter(None, (escape(row.asset), escape(row.site), day)))
    return f"<b>{escape(row.ticket)}</b>" + (f"<br><span class='small'>{where}</span>" if where else "")
