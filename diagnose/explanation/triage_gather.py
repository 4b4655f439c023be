"""A scored backlog gathered ticket by ticket into the triage document; memory stays that of its counts.

Takes the knowledge base and scored tickets, gives a Triage; may import next_step and above.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, get_args

from diagnose.explanation.triage import (
    ActionRow,
    AskRow,
    CauseRow,
    Count,
    Level,
    Measured,
    MonthRow,
    PlaceRow,
    RejectRow,
    RepeatRow,
    Triage,
    VisitRow,
)
from diagnose.explanation.triage_lists import Shortlist, list_most, name_commonest
from diagnose.explanation.triage_visits import VisitGather
from diagnose.facts.from_history import is_closed, parse_moment
from diagnose.knowledge.base import Knowledge

LEVELS: tuple[Level, ...] = get_args(Level)
SOON = ("now", "next_shift")
AT_ONCE = ("person_at_risk", "process_down")
MOST_ACTIONS = MOST_ASKS = 40
MOST_PLACES = MOST_VISITS = MOST_REPEATS = MOST_STOCK = 25
MOST_REJECTS = MOST_QUESTIONS = 20
MOST_MONTHS = 60
MOST_NAMED = 5
NO_LEVEL = "no level"
_LAST = "9999"


@dataclass(slots=True)
class _Place:
    """Counts of one site or asset."""

    tickets: int = 0
    open: int = 0
    soon: int = 0
    causes: Counter[str] = field(default_factory=Counter)


@dataclass(slots=True)
class _Repeat:
    """Tickets of one asset with one cause."""

    count: int = 0
    first: str = _LAST
    last: str = ""
    tickets: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Seen:
    """What is used of one scored ticket.

    Attributes:
        cause: Confirmed, or else ranked first; empty where neither is known.
        day: When it was opened, as ISO 8601 writes a day; empty where nobody knows.
        key: How urgent it is, for sorting.
    """

    asset: str
    site: str
    day: str
    is_open: bool
    level: str
    is_urgent: bool
    cause: str
    is_confirmed: bool
    key: tuple[object, ...]


class TriageGather:
    """Gathers scored and rejected rows of one backlog."""

    def __init__(self, knowledge: Knowledge) -> None:
        """Start with nothing."""
        self._knowledge = knowledge
        self._visits = VisitGather(knowledge)
        self._statuses, self._levels, self._reasons = Counter[str](), Counter[str](), Counter[str]()
        self._causes, self._confirmed, self._questions = Counter[str](), Counter[str](), Counter[str]()
        self._sites: dict[str, _Place] = {}
        self._assets: dict[str, _Place] = {}
        self._months: dict[str, _Place] = {}
        self._repeats: dict[tuple[str, str], _Repeat] = {}
        self._actions = Shortlist[ActionRow](MOST_ACTIONS)
        self._asks = Shortlist[AskRow](MOST_ASKS)
        self._rejects = Shortlist[RejectRow](MOST_REJECTS)

    def add(self, scored: Mapping[str, Any]) -> None:
        """Add one scored ticket, as the lines of a score say it."""
        seen = self._look_at(scored)
        self._statuses[scored["reason"] or scored["status"]] += 1
        self._count(seen)
        self._count_repeat(scored["ticket"], seen)
        if not seen.is_open:
            return
        self._levels[seen.level or NO_LEVEL] += 1
        if seen.level in SOON:
            self._actions.add(seen.key, self._build_action(scored, seen))
        if scored["status"] == "ranked":
            self._visits.add(scored, seen.site or seen.asset, seen.key)
        if scored["status"] == "ask_first":
            self._add_ask(scored, seen)

    def add_rejected(self, rejected: Mapping[str, Any]) -> None:
        """Add one rejected row."""
        reason = str(rejected["reason"])
        # the number of the line differs from row to row, the reason behind it does not
        self._reasons[reason.partition(": ")[2] if reason.startswith("line ") else reason] += 1
        row = RejectRow(row=rejected["row"], ticket=rejected["ticket"] or "", reason=reason)
        self._rejects.add((rejected["row"],), row)

    def _look_at(self, scored: Mapping[str, Any]) -> _Seen:
        given = scored["given"]
        confirmed = (scored.get("confirmed") or {}).get("cause", "")
        is_known = confirmed in self._knowledge.causes
        first = scored["causes"][0]["cause"] if scored["status"] == "ranked" else ""
        moment = parse_moment(given.get("opened", ""))
        level = scored["priority"]["level"] or ""
        is_urgent = any(kind in scored.get("urgent", {}) for kind in AT_ONCE)
        place = LEVELS.index(level) if level in LEVELS else len(LEVELS)
        day = moment.date().isoformat() if moment else ""
        return _Seen(
            asset=given.get("asset", "").strip(),
            site=given.get("site", "").strip(),
            day=day,
            is_open=not is_closed(given),
            level=level,
            is_urgent=is_urgent,
            cause=confirmed if is_known else first,
            is_confirmed=is_known,
            key=(place, not is_urgent, "repeat_of" not in scored, day or _LAST),
        )

    def _count(self, seen: _Seen) -> None:
        if seen.cause:
            self._causes[seen.cause] += 1
            self._confirmed[seen.cause] += seen.is_confirmed
        is_soon = seen.is_open and seen.level in SOON
        of_month = (self._months, seen.day[:7])
        for places, name in ((self._sites, seen.site), (self._assets, seen.asset), of_month):
            if name:
                place = places.get(name) or places.setdefault(name, _Place())
                place.tickets += 1
                place.open += seen.is_open
                place.soon += is_soon
                if seen.cause:
                    place.causes[seen.cause] += 1

    def _count_repeat(self, ticket: str, seen: _Seen) -> None:
        if not seen.asset or not seen.cause:
            return
        pair = (seen.asset, seen.cause)
        repeat = self._repeats.get(pair) or self._repeats.setdefault(pair, _Repeat())
        repeat.count += 1
        if seen.day:
            repeat.first, repeat.last = min(repeat.first, seen.day), max(repeat.last, seen.day)
        if len(repeat.tickets) < MOST_NAMED:
            repeat.tickets.append(ticket)

    def _build_action(self, scored: Mapping[str, Any], seen: _Seen) -> ActionRow:
        first = scored["causes"][0] if scored["causes"] and scored["status"] == "ranked" else {}
        return ActionRow(
            ticket=scored["ticket"],
            asset=seen.asset,
            site=seen.site,
            opened=seen.day,
            level=scored["priority"]["level"],
            why=scored["priority"]["why"],
            urgent=seen.is_urgent,
            repeat_of=scored.get("repeat_of", ""),
            cause=first.get("cause", ""),
            says=self._knowledge.causes[first["cause"]].says if first else "",
            probability=first.get("probability", 0.0),
            next=scored["next"]["says"] if scored["next"] else "",
            cautions=tuple(scored["next"]["cautions"]) if scored["next"] else (),
        )

    def _add_ask(self, scored: Mapping[str, Any], seen: _Seen) -> None:
        questions = tuple(one["question"] for one in scored["ask"])
        self._questions.update(questions)
        ask = AskRow(
            ticket=scored["ticket"],
            asset=seen.asset,
            site=seen.site,
            opened=seen.day,
            urgent=seen.is_urgent,
            questions=questions,
        )
        self._asks.add(seen.key, ask)

    def build(self, title: str, measured: Measured | None) -> Triage:
        """Build the document of what was added.

        Args:
            title: What the backlog is called.
            measured: How good the ranking was, where causes are confirmed.
        """
        visits, repeats = self._visits.list_visits(), self._list_repeats()
        tools, parts = self._visits.list_tools(), self._visits.list_parts()
        shown: tuple[ActionRow | VisitRow, ...] = (*self._actions.entries(), *visits[:MOST_VISITS])
        backlog = self._knowledge.settings.backlog
        return Triage(
            title=title,
            rules_version=self._knowledge.version,
            scored=self._statuses.total(),
            rejected=self._rejects.offered,
            open=self._levels.total(),
            statuses=_list_counts(self._statuses),
            levels=tuple(Count(name=n, count=self._levels[n]) for n in (*LEVELS, NO_LEVEL)),
            causes=tuple(self._list_causes()),
            sites=_list_places(self._sites),
            assets=_list_places(self._assets),
            months=self._list_months(),
            actions=tuple(self._actions.entries()),
            repeats=tuple(repeats[:MOST_REPEATS]),
            visits=tuple(visits[:MOST_VISITS]),
            saved=sum(visit.saved for visit in visits),
            by_call=self._visits.by_call,
            travel_minutes=backlog.travel_minutes,
            permit_minutes=backlog.permit_minutes,
            tools=tuple(tools[:MOST_STOCK]),
            parts=tuple(parts[:MOST_STOCK]),
            asks=tuple(self._asks.entries()),
            questions=_list_counts(self._questions, MOST_QUESTIONS),
            rejects=tuple(self._rejects.entries()),
            reasons=_list_counts(self._reasons, MOST_QUESTIONS),
            measured=measured,
            left_out=self._count_left_out(
                visits=len(visits), repeats=len(repeats), tools=len(tools), parts=len(parts)
            ),
            cautions=tuple(dict.fromkeys(line for row in shown for line in row.cautions)),
            deferral=self._knowledge.cautions.deferral,
        )

    def _count_left_out(self, *, visits: int, repeats: int, tools: int, parts: int) -> dict[str, int]:
        """Count what is not shown of each list, from how long each is in full."""
        full = {
            "sites": (len(self._sites), MOST_PLACES),
            "assets": (len(self._assets), MOST_PLACES),
            "months": (len(self._months), MOST_MONTHS),
            "repeats": (repeats, MOST_REPEATS),
            "visits": (visits, MOST_VISITS),
            "tools": (tools, MOST_STOCK),
            "parts": (parts, MOST_STOCK),
            "questions": (len(self._questions), MOST_QUESTIONS),
            "reasons": (len(self._reasons), MOST_QUESTIONS),
        }
        kept: dict[str, Shortlist[Any]] = {
            "actions": self._actions,
            "asks": self._asks,
            "rejects": self._rejects,
        }
        return {name: max(0, n - most) for name, (n, most) in full.items()} | {
            name: shortlist.left_out for name, shortlist in kept.items()
        }

    def _list_causes(self) -> list[CauseRow]:
        total, sofar, rows = self._causes.total(), 0, []
        for name, tickets in list_most(self._causes, len(self._causes)):
            sofar += tickets
            cause = self._knowledge.causes[name]
            rows.append(
                CauseRow(
                    cause=name,
                    says=cause.says,
                    part=cause.part,
                    tickets=tickets,
                    confirmed=self._confirmed[name],
                    cumulative=sofar / total,
                    verdict=cause.in_service.verdict,
                )
            )
        return rows

    def _list_months(self) -> tuple[MonthRow, ...]:
        latest = sorted(self._months.items())[-MOST_MONTHS:]
        return tuple(MonthRow(month=m, tickets=count.tickets, open=count.open) for m, count in latest)

    def _list_repeats(self) -> list[RepeatRow]:
        back = [(key, repeat) for key, repeat in self._repeats.items() if repeat.count > 1]
        back.sort(key=lambda pair: (-pair[1].count, pair[0]))
        return [
            RepeatRow(
                asset=asset,
                cause=cause,
                says=self._knowledge.causes[cause].says,
                count=repeat.count,
                first=repeat.first if repeat.last else "",
                last=repeat.last,
                tickets=tuple(repeat.tickets),
            )
            for (asset, cause), repeat in back
        ]


def _list_counts(counts: Counter[str], most: int = 100) -> tuple[Count, ...]:
    return tuple(Count(name=name, count=n) for name, n in list_most(counts, most))


def _list_places(places: Mapping[str, _Place]) -> tuple[PlaceRow, ...]:
    """List the places that want action soon first, then those with most open tickets."""
    order = sorted(places.items(), key=lambda pair: (-pair[1].soon, -pair[1].open, -pair[1].tickets, pair[0]))
    return tuple(
        PlaceRow(
            name=name,
            tickets=place.tickets,
            open=place.open,
            soon=place.soon,
            cause=name_commonest(place.causes.items()),
        )
        for name, place in order[:MOST_PLACES]
    )
