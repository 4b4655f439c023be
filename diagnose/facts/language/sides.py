"""Which end of the travel a phrase speaks of, where it names none itself.

Takes the places of a sentence and a match, gives a side; may import patterns. People name the end once ("stops
at 70 on opening") and then leave it out ("the wheel goes solid there"): the nearest word of an end in the sentence
decides, otherwise what the rest of the ticket is about.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import Literal

from diagnose.facts.language.patterns import Places, Span

Side = Literal["open", "closed"]

OPEN_WORDS = "@side_open"
CLOSED_WORDS = "@side_closed"
HINT_OPEN = "@hint_open"
HINT_CLOSED = "@hint_closed"
SIDE_CLASSES = (OPEN_WORDS, CLOSED_WORDS, HINT_OPEN, HINT_CLOSED)
REACH = 9


def find_side(places: Places, span: Span) -> Side | None:
    """Find the side named nearest to a match in its own sentence, within nine words."""
    named: list[tuple[int, int, Side]] = []
    for name, side in ((OPEN_WORDS, "open"), (CLOSED_WORDS, "closed")):
        for start, end in places.get(name, ()):
            distance = max(0, span[0] - end, start - span[1])
            named.append((distance, int(start > span[0]), side))  # type: ignore[arg-type]
    if not named or min(named)[0] > REACH:
        return None
    return min(named)[2]


def hint_side(places: Places) -> Side | None:
    """Guess the side from a number near an end: "halts at 78" was on its way to open."""
    is_open, is_closed = HINT_OPEN in places, HINT_CLOSED in places
    if is_open == is_closed:
        return None
    return "open" if is_open else "closed"


def last_side(places: Places) -> Side | None:
    """Give the side a sentence names last."""
    opens, closes = places.get(OPEN_WORDS, ()), places.get(CLOSED_WORDS, ())
    if not opens and not closes:
        return None
    return "open" if max(opens, default=(-1, -1)) > max(closes, default=(-1, -1)) else "closed"


def choose_side(told: AbstractSet[Side], before: Side | None, hint: Side | None) -> Side | None:
    """Choose where the sentence names no side.

    Args:
        told: Sides that the ticket's own facts speak of.
        before: The side named last in earlier sentences.
        hint: The side a number of the sentence hints at.
    """
    if len(told) == 1:
        return next(iter(told))
    return hint or before
