"""The language as numbers: stems, classes and patterns laid out for the compiled loops.

Takes a lexicon, patterns and trigger phrases, gives a Finder for texts; may import the language helpers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, starmap
from typing import NamedTuple

import numpy as np

from diagnose.facts.language.finding import Book, Floats, Ints, Places, Rows, Words
from diagnose.facts.language.matching import DENIED, DOUBTED, KINDS, OF_ANOTHER_TIME, find_in_text
from diagnose.facts.language.patterns import Lexicon, Pattern, Span, order_items
from diagnose.facts.language.quantities import find_number_places
from diagnose.facts.language.senses import Sense, SenseWords
from diagnose.facts.language.tokens import Sentence

_NUMBER = "number"
_SENSES = tuple(
    Sense(bool(bits & DENIED), bool(bits & DOUBTED), bool(bits & OF_ANOTHER_TIME)) for bits in range(8)
)


class FoundMatch(NamedTuple):
    """A pattern found: its sentence, its number in the book, its first token, one past its last, and its sense."""

    sentence: int
    pattern: int
    first: int
    end: int
    sense: int

    @property
    def span(self) -> Span:
        """Give the first token and one past the last."""
        return self.first, self.end

    @property
    def meant(self) -> Sense:
        """Give how it is meant."""
        return _SENSES[self.sense]


class Finder:
    """Finds the patterns in texts; the equal of the pattern book and `read_sense`."""

    def __init__(
        self,
        lexicon: Lexicon,
        patterns: Sequence[Pattern],
        senses: SenseWords,
        scope: Mapping[str, float],
        sides: Sequence[str],
    ) -> None:
        """Number the stems first, from 1, then the classes.

        Args:
            lexicon: The word classes.
            patterns: The patterns, in the order of the book.
            senses: The trigger phrases.
            scope: Decibans by stem by which it speaks of another device.
            sides: Classes whose places are wanted.
        """
        triggers = _list_triggers(senses)
        stems = {stem for rows in (*lexicon.rows.values(),) for row, _ in rows for stem in row}
        stems |= {stem for rows in lexicon.fixed.values() for row in rows for stem in row}
        stems |= {stem for row, _ in triggers for stem in row} | senses.people | set(scope)
        options = {o for p in patterns for item in p.items for o in item.options}
        options |= {o for p in patterns for o in p.forbidden}
        stems |= {o for o in options if not o.startswith("@")}
        classes = {name for rows in lexicon.rows.values() for _, name in rows}
        classes |= {o for o in options if o.startswith("@")} | set(sides)
        classes |= {name for pair in lexicon.numbers.items() for name in (pair[0], *pair[1])}
        self._stems = {stem: number for number, stem in enumerate(sorted(stems), start=1)}
        first = len(self._stems) + 1
        self._names = self._stems | {name: n for n, name in enumerate(sorted(classes), start=first)}
        self._words = self._lay_words(lexicon, triggers, senses.people, scope, sides)
        self._book = self._lay_book(patterns)
        self._got = np.zeros(len(patterns) + 1, dtype=np.int32)
        self._found = np.empty(len(patterns), dtype=np.int32)
        self._places = self._make_room(1_000)

    def find(self, sentences: Sequence[Sentence]) -> tuple[float, list[FoundMatch], list[list[int]]]:
        """Find what the sentences of a text say.

        Returns:
            The decibans of another device, the matches, and the places of the sides (sentence, which, first token,
            one past the last).
        """
        if not sentences:
            return 0.0, [], []
        known = self._stems
        stems = np.array([known.get(t.stem, 0) for s in sentences for t in s], dtype=np.int32)
        quantities = self._list_quantities(sentences)
        rows = self._words.classes.of_stem
        room = len(stems) + int((rows[stems + 1] - rows[stems]).sum())
        room += len(quantities) * (1 + len(self._words.numbers))
        if room > len(self._places.following):
            self._places = self._make_room(room)
        weight, matches, sides = find_in_text(
            stems, _list_starts(map(len, sentences)), quantities, self._words, self._book, self._places, self._got,
            self._found,
        )  # fmt: skip
        return weight, list(starmap(FoundMatch, matches.tolist())), sides.tolist()

    def _list_quantities(self, sentences: Sequence[Sentence]) -> Ints:
        """List the places of number classes that the language speaks of."""
        found = [
            (number, self._names[name], start, end)
            for number, sentence in enumerate(sentences)
            if _NUMBER in [token.kind for token in sentence]
            for name, spans in find_number_places(sentence).items()
            if name in self._names
            for start, end in spans
        ]
        return np.array(found, dtype=np.int32).reshape(-1, 4)

    def _lay_words(
        self,
        lexicon: Lexicon,
        triggers: Sequence[tuple[tuple[str, ...], int]],
        people: Iterable[str],
        scope: Mapping[str, float],
        sides: Sequence[str],
    ) -> Words:
        names = self._names
        spoken = np.zeros(len(self._stems) + 1, dtype=np.bool_)
        spoken[[names[stem] for stem in people]] = True
        weights: Floats = np.zeros(len(self._stems) + 1)
        for stem, weight in scope.items():
            weights[names[stem]] = weight
        pairs = [(names[number], names[name]) for number, every in lexicon.numbers.items() for name in every]
        return Words(
            classes=self._lay_rows([(row, names[n]) for rows in lexicon.rows.values() for row, n in rows]),
            fixed=self._lay_rows([(row, 0) for rows in lexicon.fixed.values() for row in rows]),
            numbers=np.array(pairs, dtype=np.int32).reshape(-1, 2),
            triggers=self._lay_rows(triggers),
            people=spoken,
            scope=weights,
            sides=_array(names[name] for name in sides),
        )

    def _lay_rows(self, rows: Sequence[tuple[tuple[str, ...], int]]) -> Rows:
        """Lay rows out by their first stem, those of one stem left in their order."""
        ordered = sorted(rows, key=lambda row: self._stems[row[0][0]])
        counts = np.zeros(len(self._stems) + 1, dtype=np.int32)
        for row, _ in ordered:
            counts[self._stems[row[0]]] += 1
        return Rows(
            of_stem=_list_starts(counts.tolist()),
            starts=_list_starts(len(row) for row, _ in ordered),
            stems=_array(self._stems[stem] for row, _ in ordered for stem in row),
            names=_array(name for _, name in ordered),
        )

    def _lay_book(self, patterns: Sequence[Pattern]) -> Book:
        every = [item for pattern in patterns for item in pattern.items]
        starts = _list_starts(len(pattern.items) for pattern in patterns)
        users: list[list[int]] = [[] for _ in range(len(self._names) + 1)]
        others: list[int] = []
        for number, (pattern, (rarest, *rest)) in enumerate(order_items(patterns)):
            for option in sorted(rarest.wanted):
                users[self._names[option]].append(number)
            others += [int(starts[number]) + pattern.items.index(item) for item in rest]
        return Book(
            items=starts,
            options=_list_starts(len(item.options) for item in every),
            names=_array(self._names[option] for item in every for option in item.options),
            gaps=_array(item.gap for item in every),
            ordered=np.array([pattern.ordered for pattern in patterns], dtype=np.bool_),
            others=_array(others),
            forbidden=_list_starts(len(pattern.forbidden) for pattern in patterns),
            forbidden_names=_array(self._names[name] for pattern in patterns for name in pattern.forbidden),
            uses=_list_starts(map(len, users)),
            used_by=_array(pattern for of_name in users for pattern in of_name),
        )

    def _make_room(self, spans: int) -> Places:
        names = len(self._names) + 1
        return Places(
            first=np.full(names, -1, dtype=np.int32),
            last=np.zeros(names, dtype=np.int32),
            following=np.zeros(spans, dtype=np.int32),
            spans=np.zeros((spans, 2), dtype=np.int32),
            order=np.zeros(names, dtype=np.int32),
            rank=np.zeros(names, dtype=np.int32),
            counts=np.zeros(2, dtype=np.int32),
        )


def _list_triggers(senses: SenseWords) -> list[tuple[tuple[str, ...], int]]:
    """List the trigger phrases with the number of their kind, those of one first stem longest first."""
    return [
        (row, number)
        for number, kind in enumerate(KINDS)
        for rows in getattr(senses, kind).values()
        for row in rows
    ]


def _array(numbers: Iterable[int]) -> Ints:
    return np.array(list(numbers), dtype=np.int32)


def _list_starts(lengths: Iterable[int]) -> Ints:
    return _array([0, *accumulate(lengths)])
