"""Patterns found in the sentences of a text by loops compiled to machine code, for a backlog.

Takes stems and classes as numbers, gives matches with their sense; imports nothing of ours.

`patterns.py` and `senses.py` say what is found; here it is written out over flat arrays, with the same matches in the
same order. A name is a stem or a class. Lists of lists are one array beside the places where each list starts.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Ints = NDArray[np.int32]
Floats = NDArray[np.float64]


class Rows(NamedTuple):
    """Rows of stems by their first stem.

    Attributes:
        of_stem: Where the rows of each stem start, and their end.
        starts: Where the stems of each row start, and their end.
        stems: The stems of all rows.
        names: What each row stands for.
    """

    of_stem: Ints
    starts: Ints
    stems: Ints
    names: Ints


class Words(NamedTuple):
    """The language in numbers.

    Attributes:
        classes: Word classes.
        fixed: Set phrases.
        numbers: Pairs of a number class and the class that stands for it.
        triggers: Trigger phrases; the name of a row is its kind.
        people: Whether each stem is somebody who may speak.
        scope: Decibans by stem by which it speaks of another device.
        sides: Classes whose places are wanted: both sides, both hints.
    """

    classes: Rows
    fixed: Rows
    numbers: Ints
    triggers: Rows
    people: NDArray[np.bool_]
    scope: Floats
    sides: Ints


class Book(NamedTuple):
    """The patterns in numbers.

    Attributes:
        items: Where the items of each pattern start, and their end.
        options: Where the options of each item start, and their end.
        names: The options of all items.
        gaps: Tokens allowed before each item.
        ordered: Whether the items of each pattern stand in order.
        others: Items of each pattern but the rarest one, rarest first; as many as `items` less one a pattern.
        forbidden: Where what each pattern forbids starts, and the end.
        forbidden_names: What they forbid.
        uses: Where the patterns that each name may be the rarest item of start, and their end.
        used_by: Those patterns, in the order of the book.
    """

    items: Ints
    options: Ints
    names: Ints
    gaps: Ints
    ordered: NDArray[np.bool_]
    others: Ints
    forbidden: Ints
    forbidden_names: Ints
    uses: Ints
    used_by: Ints


class Places(NamedTuple):
    """Where each name stands in a sentence: spans chained in the order in which they were found.

    Attributes:
        first: Number of the first span of each name; -1 where it has none.
        last: Number of the last one.
        following: The span after each one of the same name; -1 behind the last.
        spans: First token and one past the last, by number.
        order: The names that stand in the sentence, in the order in which they were found.
        rank: Place of each name in that order.
        counts: How many spans, and how many names.
    """

    first: Ints
    last: Ints
    following: Ints
    spans: Ints
    order: Ints
    rank: Ints
    counts: Ints


@njit(cache=True)
def clear_places(places: Places) -> None:
    """Forget all spans."""
    for place in range(places.counts[1]):
        places.first[places.order[place]] = -1
    places.counts[:] = 0


@njit(cache=True)
def add_place(places: Places, name: int, start: int, end: int) -> None:
    """Add a span of a name."""
    number = places.counts[0]
    if number >= len(places.following):
        raise IndexError
    places.spans[number, 0], places.spans[number, 1] = start, end
    places.following[number] = -1
    if places.first[name] < 0:
        places.first[name] = number
        places.order[places.counts[1]] = name
        places.rank[name] = places.counts[1]
        places.counts[1] += 1
    else:
        places.following[places.last[name]] = number
    places.last[name] = number
    places.counts[0] += 1


@njit(cache=True)
def holds_row(stems: Ints, start: int, rows: Rows, row: int) -> bool:
    """Tell whether a row of stems stands at a place."""
    first, length = rows.starts[row], rows.starts[row + 1] - rows.starts[row]
    if start + length > len(stems):
        return False
    for place in range(1, length):
        if stems[start + place] != rows.stems[first + place]:
            return False
    return True


@njit(cache=True)
def mark_fixed(stems: Ints, rows: Rows) -> Ints:
    """Give, for each token, the first token and the end of the set phrase it stands in; 0 and 0 for none."""
    fixed = np.zeros((len(stems), 2), dtype=np.int32)
    for start in range(len(stems)):
        for row in range(rows.of_stem[stems[start]], rows.of_stem[stems[start] + 1]):
            if holds_row(stems, start, rows, row):
                end = start + rows.starts[row + 1] - rows.starts[row]
                for token in range(start, end):
                    fixed[token, 0], fixed[token, 1] = start, end
    return fixed


@njit(cache=True)
def cuts_phrase(fixed: Ints, start: int, end: int) -> bool:
    """Tell whether a row takes in a part of a set phrase without the whole."""
    for token in range(start, end):
        if fixed[token, 1] and (fixed[token, 0] < start or end < fixed[token, 1]):
            return True
    return False


@njit(cache=True)
def find_places(stems: Ints, quantities: Ints, words: Words, places: Places) -> None:
    """Find where each stem and each class stands in a sentence; stem 0 is any that no pattern knows."""
    clear_places(places)
    fixed = mark_fixed(stems, words.fixed)
    rows = words.classes
    for start in range(len(stems)):
        stem = stems[start]
        if stem and not fixed[start, 1]:
            add_place(places, stem, start, start + 1)
        for row in range(rows.of_stem[stem], rows.of_stem[stem + 1]):
            end = start + rows.starts[row + 1] - rows.starts[row]
            if holds_row(stems, start, rows, row) and not cuts_phrase(fixed, start, end):
                add_place(places, rows.names[row], start, end)
    for quantity in quantities:
        add_place(places, quantity[0], quantity[1], quantity[2])
    for pair in words.numbers:
        last = places.counts[0]
        span = places.first[pair[0]]
        while 0 <= span < last:
            add_place(places, pair[1], places.spans[span, 0], places.spans[span, 1])
            span = places.following[span]


@njit(cache=True)
def list_candidates(places: Places, book: Book, got: Ints, found: Ints) -> int:
    """List the patterns all of whose items are there, in the order of the rarest items, then of the book.

    Args:
        places: Where each name stands.
        book: The patterns.
        got: By pattern, the last sentence in which it was listed; the last entry counts the sentences.
        found: Filled in: the patterns.

    Returns:
        How many there are.
    """
    got[-1] += 1
    count = 0
    for place in range(places.counts[1]):
        name = places.order[place]
        for use in range(book.uses[name], book.uses[name + 1]):
            pattern = book.used_by[use]
            if got[pattern] != got[-1] and has_others(pattern, places, book):
                got[pattern] = got[-1]
                found[count] = pattern
                count += 1
    return count


@njit(cache=True)
def has_others(pattern: int, places: Places, book: Book) -> bool:
    """Tell whether each item of a pattern but the rarest is there; nearly every pattern is turned down here."""
    for number in range(book.items[pattern] - pattern, book.items[pattern + 1] - pattern - 1):
        item = book.others[number]
        is_there = False
        for option in range(book.options[item], book.options[item + 1]):
            if places.first[book.names[option]] >= 0:
                is_there = True
                break
        if not is_there:
            return False
    return True
