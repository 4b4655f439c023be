"""How a phrase is meant: denied, doubted, or told of another time.

Takes a sentence and the tokens of a match, gives its sense; may import tokens and patterns.

After NegEx (Chapman, Bridewell, Hanbury, Cooper, Buchanan, J. Biomed. Inform. 34, 2001): phrases before and
behind a term deny it within five words, pseudo phrases do not, termination words end the reach. Taken over: the
three kinds of phrases, the window, termination. Left out: everything of the clinic. Added: the trade's own words,
doubt and other times by the same windows. Terms are found first, so "no power" is a symptom, not a denial.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from diagnose.facts.language.tokens import Sentence, fold_word

WINDOW = 5
SPEAKER_REACH = 3
LONGEST_PSEUDO = 4

# Rows of stems by their first stem, longest first.
Rows = Mapping[str, tuple[tuple[str, ...], ...]]
NO_ROWS: Rows = MappingProxyType({})


class Sense(NamedTuple):
    """How a phrase is meant; all false is a plain statement."""

    denied: bool
    doubted: bool
    of_another_time: bool


@dataclass(frozen=True)
class SenseWords:
    """The trigger phrases as rows of stems.

    Attributes:
        before: Deny what follows.
        behind: Deny what went before.
        pseudo: Look like denials and are none.
        ends: End the reach of a trigger.
        doubt: Make what is near hearsay.
        speech: Make it hearsay where a person speaks: "the plate says" is none.
        people: Who may speak.
        past: Tell of another time.
    """

    before: Rows
    behind: Rows
    pseudo: Rows
    ends: Rows
    doubt: Rows
    speech: Rows
    people: frozenset[str]
    past: Rows


def compile_sense_words(phrases: Mapping[str, Iterable[str]]) -> SenseWords:
    """Fold trigger phrases by kind into rows of stems."""

    def rows(kind: str) -> Rows:
        folded = {tuple(fold_word(word) for word in phrase.split()) for phrase in phrases.get(kind, ())}
        by_first: dict[str, tuple[tuple[str, ...], ...]] = {}
        for row in sorted(folded, key=lambda row: (-len(row), row)):
            by_first[row[0]] = (*by_first.get(row[0], ()), row)
        return by_first

    people = frozenset(map(fold_word, phrases.get("people", ())))
    return SenseWords(
        rows("before"),
        rows("behind"),
        rows("pseudo"),
        rows("ends"),
        rows("doubt"),
        rows("speech"),
        people,
        rows("past"),
    )


def read_sense(
    sentence: Sentence, used: Collection[int], words: SenseWords, asked: Collection[int] = ()
) -> Sense:
    """Read how a match is meant from the words around it.

    Args:
        sentence: The sentence.
        used: Tokens that the phrase itself consists of.
        words: The trigger phrases.
        asked: Tokens between them that the phrase asks for too: what it needs to be said does not deny it.
    """
    stems = [token.stem for token in sentence]
    first, last = min(used), max(used) + 1
    start = _reach_back(stems, first, words)
    stop = _reach_on(stems, last, words)
    ahead = [n for n in range(start, last) if n not in used and n not in asked]
    behind = list(range(last, stop))
    around = [*ahead, *behind]
    return Sense(
        denied=any(
            _is_open(stems, place, used, words) for place in _find(stems, ahead, words.before, words.pseudo)
        )
        or bool(_find(stems, behind, words.behind, words.pseudo)),
        doubted=bool(_find(stems, around, words.doubt))
        or any(_is_by_person(stems, place, words) for place in _find(stems, around, words.speech)),
        of_another_time=bool(_find(stems, around, words.past)),
    )


def _is_open(stems: list[str], place: int, used: Collection[int], words: SenseWords) -> bool:
    """Tell whether a denial still holds at the next word of the match: "no heat and hums" does not deny humming."""
    start = place + _starts(stems, place, words.before)
    following = min(token for token in used if token > place)
    return not any(_starts(stems, between, words.ends) for between in range(start, following))


def _is_by_person(stems: list[str], place: int, words: SenseWords) -> bool:
    """Tell whether "says" has a person shortly before or right behind it, or nobody at all."""
    near = stems[max(0, place - SPEAKER_REACH) : place + SPEAKER_REACH]
    return place == 0 or not words.people.isdisjoint(near)


def _reach_back(stems: list[str], first: int, words: SenseWords) -> int:
    for place in range(first - 1, max(-1, first - 1 - WINDOW), -1):
        if _starts(stems, place, words.ends):
            return place + 1
    return max(0, first - WINDOW)


def _reach_on(stems: list[str], last: int, words: SenseWords) -> int:
    for place in range(last, min(len(stems), last + WINDOW)):
        if _starts(stems, place, words.ends):
            return place
    return min(len(stems), last + WINDOW)


def _starts(stems: list[str], place: int, rows: Rows) -> int:
    """Give the length of the longest row that starts at a place; 0 for none."""
    for row in rows.get(stems[place], ()):
        if len(row) == 1 or tuple(stems[place : place + len(row)]) == row:
            return len(row)
    return 0


def _find(stems: list[str], places: list[int], rows: Rows, pseudo: Rows = NO_ROWS) -> list[int]:
    """Find where a row lies wholly within the places, not as part of a pseudo phrase."""
    within = set(places)
    found = []
    for place in places:
        length = _starts(stems, place, rows)
        is_whole = length and within.issuperset(range(place, place + length))
        if is_whole and not _is_pseudo(stems, place, pseudo):
            found.append(place)
    return found


def _is_pseudo(stems: list[str], place: int, pseudo: Rows) -> bool:
    """Tell whether a place lies in a pseudo phrase."""
    starts = range(max(0, place - LONGEST_PSEUDO + 1), place + 1)
    return any(start + _starts(stems, start, pseudo) > place for start in starts)
