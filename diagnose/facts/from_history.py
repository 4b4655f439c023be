"""The last closed ticket of an asset becomes evidence in the next one: its cause, its work, the parts swapped.

Takes a reading and an earlier ticket, gives a reading; may import knowledge, facts and the reader of tickets.

A like complaint soon after the earlier ticket is taken for the same trouble: what was repaired or swapped
then has not cured it, and weighs less by the chance that the repair failed or the new part was bad or set
wrong. A different complaint says nothing against it; the work itself is then only recent work.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from diagnose.facts.from_ticket import TicketReader, TicketReading
from diagnose.facts.model import CircumstanceFact, Evidence, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.settings import Backlog

RECENT_WORK = "recent_work"


@dataclass(frozen=True, slots=True)
class EarlierTicket:
    """What is kept of a closed ticket.

    Attributes:
        ticket: Its id.
        cause: Id of the confirmed cause, with its mode where one was told; or empty.
        text: The complaint.
        done: What was tried or done.
        parts: Parts that were fitted.
    """

    ticket: str
    opened: datetime
    cause: str
    text: str
    done: str
    parts: str


@dataclass(frozen=True)
class WithHistory:
    """A reading with what the earlier ticket adds.

    Attributes:
        note: What was added, in a clause; empty where nothing was.
        is_same: Whether the earlier trouble is back.
    """

    reading: TicketReading
    note: str = ""
    is_same: bool = False


class HistoryReader:
    """Adds the last closed ticket of the same asset to a reading."""

    def __init__(self, knowledge: Knowledge, reader: TicketReader) -> None:
        """Keep what reads the words of earlier tickets."""
        self._knowledge = knowledge
        self._reader = reader
        self._backlog: Backlog = knowledge.settings.backlog

    def add_earlier(self, reading: TicketReading, earlier: EarlierTicket, opened: datetime) -> WithHistory:
        """Add an earlier ticket.

        Args:
            reading: What was understood of the ticket itself.
            earlier: The last closed ticket of its asset.
            opened: When the ticket was opened.

        Returns:
            The reading with recent work, and with what was repaired in vain where the trouble is the same.
        """
        days = (opened - earlier.opened).days
        is_same = days <= self._backlog.same_trouble_days and self._is_like(reading, earlier)
        repaired = tuple(self._list_repaired(earlier)) if is_same else ()
        work = self._list_work(reading, earlier) if days <= self._backlog.recent_work_days else ()
        evidence = reading.evidence
        joined = replace(
            evidence,
            circumstances=(*evidence.circumstances, *work),
            repaired=tuple(dict.fromkeys((*evidence.repaired, *repaired))),
        )
        note = _say_note(earlier, repaired, work, is_same=is_same)
        return WithHistory(replace(reading, evidence=joined), note, is_same)

    def _is_like(self, reading: TicketReading, earlier: EarlierTicket) -> bool:
        """Tell whether the two complaints have something in common that was seen."""
        before = self._reader.read({"text": earlier.text}).evidence
        return bool(_list_seen(before) & _list_seen(reading.evidence))

    def _list_repaired(self, earlier: EarlierTicket) -> Iterator[str]:
        """Name what the earlier work would have put right; the trouble's return says that it did not."""
        if earlier.cause.partition(".")[0] in self._knowledge.causes:
            yield earlier.cause
        told = {"done": f"{earlier.done}, same", "parts": f"new {earlier.parts}, same"}
        given = {name: told[name] for name in told if getattr(earlier, name)}
        yield from self._reader.read(given).evidence.repaired

    def _list_work(self, reading: TicketReading, earlier: EarlierTicket) -> tuple[CircumstanceFact, ...]:
        """Read the earlier work as recent work, unless the ticket itself tells of some."""
        if any(fact.circumstance == RECENT_WORK for fact in reading.evidence.circumstances):
            return ()
        parts = f"new {earlier.parts}" if earlier.parts else ""
        found = self._reader.read({"done": earlier.done, "parts": parts}).evidence.circumstances
        # a value told in several ways is one fact
        by_value = {fact.value: fact for fact in found if fact.circumstance == RECENT_WORK}
        return tuple(
            replace(fact, origin=Origin(OriginKind.TICKET, f"{earlier.ticket}: {fact.origin.words}"))
            for value, fact in by_value.items()
            if value != "none"
        )


def is_closed(values: Mapping[str, str]) -> bool:
    """Tell whether a ticket is closed: by its state, or without one by its confirmed cause."""
    state = values.get("state", "").strip().lower()
    return state == "closed" if state else bool(values.get("confirmed_cause", "").strip())


def parse_moment(text: str) -> datetime | None:
    """Read a date or a moment as ISO 8601 writes it; nothing else, for 3/4 is two days."""
    try:
        moment = datetime.fromisoformat(text.strip())
        return moment.astimezone(UTC).replace(tzinfo=None) if moment.tzinfo else moment
    except (ValueError, OverflowError):
        # the first and the last day of the calendar have no other zone
        return None


def _list_seen(evidence: Evidence) -> frozenset[str]:
    return frozenset(fact.observation for fact in evidence.facts if fact.state is State.PRESENT)


def _say_note(
    earlier: EarlierTicket, repaired: tuple[str, ...], work: tuple[CircumstanceFact, ...], *, is_same: bool
) -> str:
    """Say what the earlier ticket adds; nothing where it adds nothing."""
    told = [f"the same trouble is back after {', '.join(dict.fromkeys(repaired)) or 'other work'}"] * is_same
    told += [f"recent work: {', '.join(fact.value for fact in work)}"] * bool(work)
    return f"earlier ticket {earlier.ticket} ({earlier.opened.date()}): {'; '.join(told)}" if told else ""
