"""The triage document: what a scored backlog means, complete enough to render without the rules.

Takes nothing, gives frozen models; may import document only. Long lists are cut, with the number left out said.
"""

from __future__ import annotations

from typing import Literal

from diagnose.explanation.document import Part

Level = Literal["now", "next_shift", "next_outage", "monitor"]


class Count(Part):
    """How often one thing came."""

    name: str
    count: int


class CauseRow(Part):
    """One cause over the whole backlog.

    Attributes:
        tickets: Tickets it is the cause of: confirmed, or else ranked first.
        confirmed: How many of them are confirmed.
        cumulative: Part of all such tickets that this cause and those before it make up.
        verdict: How soon it wants action.
    """

    cause: str
    says: str
    part: str
    tickets: int
    confirmed: int
    cumulative: float
    verdict: Level


class PlaceRow(Part):
    """One site or one asset over the whole backlog.

    Attributes:
        soon: Open tickets that want action now or by the next shift.
        cause: The cause that more of its tickets have than any other, two at least; else empty.
    """

    name: str
    tickets: int
    open: int
    soon: int
    cause: str


class MonthRow(Part):
    """Tickets opened in one month, as "2026-03"."""

    month: str
    tickets: int
    open: int


class ActionRow(Part):
    """One open ticket that wants action first."""

    ticket: str
    asset: str
    site: str
    opened: str
    level: Level
    why: str
    urgent: bool
    repeat_of: str
    cause: str
    says: str
    probability: float
    next: str
    cautions: tuple[str, ...]


class RepeatRow(Part):
    """One asset that came back with the same cause; the first few tickets are named."""

    asset: str
    cause: str
    says: str
    count: int
    first: str
    last: str
    tickets: tuple[str, ...]


class Stop(Part):
    """One ticket's work within a visit."""

    ticket: str
    asset: str
    level: str
    work: str
    minutes: float


class VisitRow(Part):
    """Tickets of one site that one visit can serve: same access, same permit, same persons.

    Attributes:
        minutes: Minutes of the joined visit.
        saved: Minutes saved against a visit for each ticket.
        arithmetic: How that is reckoned, with its numbers.
    """

    site: str
    access: str
    needs_permit: bool
    persons: int
    stops: tuple[Stop, ...]
    minutes: float
    saved: float
    arithmetic: str
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    cautions: tuple[str, ...]


class Stock(Part):
    """One tool or part over all open tickets.

    Attributes:
        tickets: Open tickets that may need it.
        expected: Parts that are expected to be needed: the sum of the probabilities of the causes.
    """

    name: str
    tickets: int
    expected: float


class AskRow(Part):
    """One open ticket that wants a call back, with the questions that would help most."""

    ticket: str
    asset: str
    site: str
    opened: str
    urgent: bool
    questions: tuple[str, ...]


class RejectRow(Part):
    """One row that could not be scored."""

    row: int
    ticket: str
    reason: str


class TenthRow(Part):
    """Confirmed tickets whose first cause had a share within one tenth."""

    span: str
    count: int
    share: float
    right: float


class ConfusedRow(Part):
    """How often one cause came first where another was confirmed."""

    confirmed: str
    first: str
    count: int


class Measured(Part):
    """How good the ranking was on tickets with a confirmed cause.

    Attributes:
        within: Part of the tickets whose confirmed cause came first, within three, within five.
        spent: Minutes that were really spent on the tickets that say so.
        planned: Minutes that the plan expects for the same ones.
    """

    count: int
    not_in_rules: int
    turned_away: int
    within: tuple[tuple[int, float], ...] = ()
    brier: float = 0.0
    log_score: float = 0.0
    tenths: tuple[TenthRow, ...] = ()
    confused: tuple[ConfusedRow, ...] = ()
    confused_left_out: int = 0
    timed: int = 0
    spent: float = 0.0
    planned: float = 0.0


class Triage(Part):
    """The whole report on a backlog.

    Attributes:
        statuses: Scored tickets by status.
        levels: Open tickets by how soon they want action.
        by_call: Open tickets whose next step needs nobody at the unit.
        left_out: By list, how many entries are not shown.
        cautions: Every safety line of the work that the report names, each once.
    """

    format: Literal[1] = 1
    title: str
    rules_version: str
    scored: int
    rejected: int
    open: int
    statuses: tuple[Count, ...]
    levels: tuple[Count, ...]
    causes: tuple[CauseRow, ...]
    sites: tuple[PlaceRow, ...]
    assets: tuple[PlaceRow, ...]
    months: tuple[MonthRow, ...]
    actions: tuple[ActionRow, ...]
    repeats: tuple[RepeatRow, ...]
    visits: tuple[VisitRow, ...]
    saved: float
    by_call: int
    travel_minutes: float
    permit_minutes: float
    tools: tuple[Stock, ...]
    parts: tuple[Stock, ...]
    asks: tuple[AskRow, ...]
    questions: tuple[Count, ...]
    rejects: tuple[RejectRow, ...]
    reasons: tuple[Count, ...]
    measured: Measured | None
    left_out: dict[str, int]
    cautions: tuple[str, ...]
    deferral: str
