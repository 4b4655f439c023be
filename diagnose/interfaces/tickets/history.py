"""The closed tickets of each asset in a file, so that later ones know what was done before.

Takes rows, gives the last closed ticket before each; may import facts and the readers.

Memory stays bounded: only closed tickets are kept, cut to what tells, and of those the newest fifty thousand.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from heapq import heappop, heappush
from operator import attrgetter

from diagnose.errors import InputFaulty
from diagnose.facts.from_history import EarlierTicket, is_closed, parse_moment
from diagnose.interfaces.tickets.reading import TicketFile
from diagnose.interfaces.tickets.row import Row

# Closed tickets kept, about 1 kB each.
MOST = 50_000
MOST_CHARACTERS = 500
NEEDED = ("asset", "opened")
_TELLING = ("confirmed_cause", "done", "parts")
_opened = attrgetter("opened")


class History:
    """Closed tickets by asset, in the order in which they were opened."""

    def __init__(self, most: int = MOST) -> None:
        """Start with none.

        Args:
            most: How many to keep; the oldest ones go first.
        """
        self._most = most
        self._of_asset: dict[str, list[EarlierTicket]] = {}
        self._ages: list[tuple[datetime, str]] = []

    def __len__(self) -> int:
        return len(self._ages)

    def add(self, row: Row) -> None:
        """Keep a row if it is a closed ticket of an asset that tells what was found or done."""
        asset, opened = _name_asset(row), parse_moment(row.values.get("opened", ""))
        if not asset or opened is None or not is_closed(row.values) or not any(map(row.values.get, _TELLING)):
            return
        told = {
            name: row.values.get(name, "").strip()[:MOST_CHARACTERS] for name in ("text", "done", "parts")
        }
        cause = row.values.get("confirmed_cause", "").strip()[:MOST_CHARACTERS]
        insort(
            self._of_asset.setdefault(asset, []),
            EarlierTicket(ticket=row.values["id"], opened=opened, cause=cause, **told),
            key=_opened,
        )
        heappush(self._ages, (opened, asset))
        if len(self._ages) > self._most:
            self._drop_oldest()

    def _drop_oldest(self) -> None:
        _, asset = heappop(self._ages)
        self._of_asset[asset].pop(0)
        if not self._of_asset[asset]:
            del self._of_asset[asset]

    def find(self, row: Row) -> EarlierTicket | None:
        """Give the last closed ticket of the row's asset that was opened before it."""
        asset, opened = _name_asset(row), parse_moment(row.values.get("opened", ""))
        known = self._of_asset.get(asset, ())
        place = bisect_left(known, opened, key=_opened) if opened is not None else 0
        return known[place - 1] if place else None


def load_history(path: str, mapping: Mapping[str, str]) -> History:
    """Read the closed tickets of a file beforehand, for a file need not be in the order of time.

    Args:
        path: The file; of a stream nothing can be read beforehand.
        mapping: Our column by theirs.
    """
    history = History()
    if path == "-":
        return history
    # what is wrong with the file is told where its rows are scored, and the rows before it are not lost
    with suppress(InputFaulty):
        for row in TicketFile(path, mapping).rows():
            if row.fault:
                continue
            if not all(name in row.values for name in NEEDED):
                break
            history.add(row)
    return history


def attach_earlier(rows: Iterator[Row], history: History, *, learns: bool) -> Iterator[Row]:
    """Give each row the last closed ticket of its asset.

    Args:
        rows: Rows in the order of the file.
        history: What is known beforehand.
        learns: Whether rows that pass are kept as well; for a stream, where nothing else is known.
    """
    for row in rows:
        earlier = None if row.fault else history.find(row)
        if learns and not row.fault:
            history.add(row)
        yield replace(row, earlier=earlier) if earlier else row


def _name_asset(row: Row) -> str:
    return row.values.get("asset", "").strip()
