"""Bounded lists: the first so many entries by a key, and how many came in all.

Takes entries with keys, gives them in order; imports nothing of ours.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from heapq import heappush, heappushpop, nlargest
from typing import Generic, TypeVar

T = TypeVar("T")


class Shortlist(Generic[T]):
    """The entries with the smallest keys, however many are offered; memory stays that of the list.

    Attributes:
        offered: Entries offered so far.
    """

    def __init__(self, most: int) -> None:
        """Start with none.

        Args:
            most: Entries to keep.
        """
        self._most = most
        self._kept: list[tuple[_Reversed, T]] = []
        self.offered = 0

    def add(self, key: tuple[object, ...], entry: T) -> None:
        """Offer an entry; of equal keys the earlier one stands first."""
        ranked = _Reversed((*key, self.offered))
        self.offered += 1
        if len(self._kept) < self._most:
            heappush(self._kept, (ranked, entry))
        elif self._kept[0][0] < ranked:
            heappushpop(self._kept, (ranked, entry))

    @property
    def left_out(self) -> int:
        """Count the entries that are not kept."""
        return self.offered - len(self._kept)

    def entries(self) -> list[T]:
        """List what is kept, smallest key first."""
        return [entry for _, entry in sorted(self._kept, key=lambda kept: kept[0], reverse=True)]


class _Reversed(tuple[object, ...]):
    """A key that sorts backwards, so that the heap gives up the largest first."""

    __slots__ = ()

    def __lt__(self, other: tuple[object, ...]) -> bool:
        return tuple.__gt__(self, other)


def list_most(counts: Counter[str], most: int) -> list[tuple[str, int]]:
    """List the commonest names, ties by name."""
    return sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))[:most]


def name_commonest(counts: Iterable[tuple[str, int]]) -> str:
    """Name what came twice at least and more often than anything else; empty where nothing stands out."""
    first, second = [*nlargest(2, ((count, name) for name, count in counts)), (1, ""), (1, "")][:2]
    return first[1] if first[0] > max(1, second[0]) else ""
