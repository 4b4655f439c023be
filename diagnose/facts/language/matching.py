"""Matches of patterns among the places of a sentence, and the sense of each, by compiled loops, for a backlog.

Takes places, patterns and triggers as numbers, gives matches; may import finding. The equal of `patterns.py`
and `senses.py`, which say what is meant.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

from diagnose.facts.language.finding import (
    Book,
    Floats,
    Ints,
    Places,
    Rows,
    Words,
    find_places,
    holds_row,
    list_candidates,
)
from diagnose.facts.language.patterns import FORBIDDEN_REACH
from diagnose.facts.language.senses import LONGEST_PSEUDO, SPEAKER_REACH, WINDOW

Bools = NDArray[np.bool_]

# Kinds of trigger phrases; bits of a sense.
BEFORE, BEHIND, PSEUDO, ENDS, DOUBT, SPEECH, PAST = range(7)
KINDS = ("before", "behind", "pseudo", "ends", "doubt", "speech", "past")
DENIED, DOUBTED, OF_ANOTHER_TIME = 1, 2, 4


@njit(cache=True)
def list_spans(item: int, places: Places, book: Book) -> Ints:
    """List the spans of an item's options, in the order of the options."""
    count = 0
    for option in range(book.options[item], book.options[item + 1]):
        span = places.first[book.names[option]]
        while span >= 0:
            count += 1
            span = places.following[span]
    spans = np.empty((count, 2), dtype=np.int32)
    count = 0
    for option in range(book.options[item], book.options[item + 1]):
        span = places.first[book.names[option]]
        while span >= 0:
            spans[count, 0], spans[count, 1] = places.spans[span, 0], places.spans[span, 1]
            count += 1
            span = places.following[span]
    return spans


@njit(cache=True)
def sort_spans(spans: Ints) -> None:
    """Sort spans by their first token, equal ones left in their order, in place."""
    for place in range(1, len(spans)):
        start, end = spans[place, 0], spans[place, 1]
        before = place - 1
        while before >= 0 and spans[before, 0] > start:
            spans[before + 1, 0], spans[before + 1, 1] = spans[before, 0], spans[before, 1]
            before -= 1
        spans[before + 1, 0], spans[before + 1, 1] = start, end


@njit(cache=True)
def match_anywhere(pattern: int, places: Places, book: Book, used: Bools) -> None:
    """Mark the tokens of a pattern whose items stand in any order: the first place of each."""
    for item in range(book.items[pattern], book.items[pattern + 1]):
        for option in range(book.options[item], book.options[item + 1]):
            span = places.first[book.names[option]]
            if span >= 0:
                used[places.spans[span, 0] : places.spans[span, 1]] = True
                break


@njit(cache=True)
def match_in_order(pattern: int, places: Places, book: Book, used: Bools) -> bool:
    """Mark the tokens of the first place where the items of a pattern stand in order, each within its gap.

    From the last item back, each span gets the first span of the next item from which the rest can be found.
    """
    first, last = book.items[pattern], book.items[pattern + 1]
    every: list[Ints] = []
    leads: list[Ints] = []
    for item in range(last - 1, first - 1, -1):
        spans = list_spans(item, places, book)
        sort_spans(spans)
        lead = np.zeros(len(spans), dtype=np.int32)
        if item < last - 1:
            later, goes = every[-1], leads[-1]
            for number in range(len(spans)):
                lead[number] = -1
                for after in range(len(later)):
                    start = later[after, 0]
                    if start > spans[number, 1] + book.gaps[item + 1]:
                        break
                    if start >= spans[number, 1] and goes[after] >= 0:
                        lead[number] = after
                        break
        every.append(spans)
        leads.append(lead)
    number = 0
    while number < len(leads[-1]) and leads[-1][number] < 0:
        number += 1
    if number == len(leads[-1]):
        return False
    for item in range(len(every) - 1, -1, -1):
        used[every[item][number, 0] : every[item][number, 1]] = True
        number = leads[item][number]
    return True


@njit(cache=True)
def mark_asked(pattern: int, places: Places, book: Book, first: int, last: int, asked: Bools) -> None:
    """Mark the tokens within the first and last one of a match that an item of its pattern asks for."""
    asked[:] = False
    for option in range(book.options[book.items[pattern]], book.options[book.items[pattern + 1]]):
        span = places.first[book.names[option]]
        while span >= 0:
            if first <= places.spans[span, 0] and places.spans[span, 1] <= last + 1:
                asked[places.spans[span, 0] : places.spans[span, 1]] = True
            span = places.following[span]


@njit(cache=True)
def is_forbidden(pattern: int, places: Places, book: Book, first: int, last: int) -> bool:
    """Tell whether what a pattern forbids stands in or near its first and last token."""
    for option in range(book.forbidden[pattern], book.forbidden[pattern + 1]):
        span = places.first[book.forbidden_names[option]]
        while span >= 0:
            if first - FORBIDDEN_REACH <= places.spans[span, 0] <= last + FORBIDDEN_REACH:
                return True
            span = places.following[span]
    return False


@njit(cache=True)
def starts_kind(stems: Ints, place: int, kind: int, triggers: Rows) -> int:
    """Give the length of the longest trigger of a kind that starts at a place; 0 for none."""
    for row in range(triggers.of_stem[stems[place]], triggers.of_stem[stems[place] + 1]):
        if triggers.names[row] == kind and holds_row(stems, place, triggers, row):
            return int(triggers.starts[row + 1] - triggers.starts[row])
    return 0


@njit(cache=True)
def is_pseudo(stems: Ints, place: int, triggers: Rows) -> bool:
    """Tell whether a place lies in a pseudo phrase."""
    for start in range(max(0, place - LONGEST_PSEUDO + 1), place + 1):
        if start + starts_kind(stems, start, PSEUDO, triggers) > place:
            return True
    return False


@njit(cache=True)
def is_whole(place: int, length: int, within: Bools) -> bool:
    """Tell whether a trigger lies wholly within the places looked at."""
    if place + length > len(within):
        return False
    for token in range(place, place + length):
        if not within[token]:
            return False
    return length > 0


@njit(cache=True)
def is_open(stems: Ints, place: int, used: Bools, triggers: Rows) -> bool:
    """Tell whether a denial still holds at the next word of the match."""
    following = place + 1
    while not used[following]:
        following += 1
    for between in range(place + starts_kind(stems, place, BEFORE, triggers), following):
        if starts_kind(stems, between, ENDS, triggers):
            return False
    return True


@njit(cache=True)
def is_by_person(stems: Ints, place: int, people: Bools) -> bool:
    """Tell whether "says" has a person shortly before or right behind it, or nobody at all."""
    if place == 0:
        return True
    for near in range(max(0, place - SPEAKER_REACH), min(len(stems), place + SPEAKER_REACH)):
        if people[stems[near]]:
            return True
    return False


@njit(cache=True)
def find_reach(stems: Ints, first: int, end: int, triggers: Rows) -> tuple[int, int]:
    """Give the first token before a match that triggers are looked for at, and the end behind it."""
    start = max(0, first - WINDOW)
    for place in range(first - 1, start - 1, -1):
        if starts_kind(stems, place, ENDS, triggers):
            start = place + 1
            break
    stop = min(len(stems), end + WINDOW)
    for place in range(end, stop):
        if starts_kind(stems, place, ENDS, triggers):
            stop = place
            break
    return start, stop


@njit(cache=True)
def read_sense(stems: Ints, used: Bools, asked: Bools, first: int, end: int, words: Words) -> int:
    """Read how a match is meant from the words around it, as the bits of a number."""
    triggers = words.triggers
    start, stop = find_reach(stems, first, end, triggers)
    ahead, behind, around = np.zeros_like(used), np.zeros_like(used), np.zeros_like(used)
    for token in range(start, end):
        ahead[token] = around[token] = not used[token] and not asked[token]
    for token in range(end, stop):
        behind[token] = around[token] = True
    sense = 0
    for place in range(start, stop):
        if not around[place]:
            continue
        for row in range(triggers.of_stem[stems[place]], triggers.of_stem[stems[place] + 1]):
            kind = triggers.names[row]
            length = starts_kind(stems, place, kind, triggers)
            if kind == BEFORE and is_whole(place, length, ahead):
                if not is_pseudo(stems, place, triggers) and is_open(stems, place, used, triggers):
                    sense |= DENIED
            elif kind == BEHIND and is_whole(place, length, behind):
                if not is_pseudo(stems, place, triggers):
                    sense |= DENIED
            elif not is_whole(place, length, around):
                continue
            elif kind == DOUBT or (kind == SPEECH and is_by_person(stems, place, words.people)):
                sense |= DOUBTED
            elif kind == PAST:
                sense |= OF_ANOTHER_TIME
    return sense


@njit(cache=True)
def find_matches(
    stems: Ints, places: Places, words: Words, book: Book, got: Ints, found: Ints
) -> list[list[int]]:
    """Find the matches in a sentence: pattern, first token, one past the last, sense."""
    used, asked = np.empty(len(stems), dtype=np.bool_), np.empty(len(stems), dtype=np.bool_)
    matches = []
    for candidate in range(list_candidates(places, book, got, found)):
        pattern = found[candidate]
        used[:] = False
        if not book.ordered[pattern]:
            match_anywhere(pattern, places, book, used)
        elif not match_in_order(pattern, places, book, used):
            continue
        first, last = 0, len(stems) - 1
        while not used[first]:
            first += 1
        while not used[last]:
            last -= 1
        if not is_forbidden(pattern, places, book, first, last):
            mark_asked(pattern, places, book, first, last, asked)
            sense = read_sense(stems, used, asked, first, last + 1, words)
            matches.append([int(pattern), first, last + 1, sense])
    return matches


@njit(cache=True)
def weigh_scope(stems: Ints, scope: Floats) -> float:
    """Weigh by which the words of a sentence, each once, speak of another device."""
    weight = 0.0
    for place in range(len(stems)):
        if scope[stems[place]] != 0 and not np.any(stems[:place] == stems[place]):
            weight += scope[stems[place]]
    return weight


@njit(cache=True)
def find_in_text(
    stems: Ints,
    sentences: Ints,
    quantities: Ints,
    words: Words,
    book: Book,
    places: Places,
    got: Ints,
    found: Ints,
) -> tuple[float, Ints, Ints]:
    """Find what the sentences of a text say.

    Args:
        stems: The tokens of all sentences.
        sentences: Where each sentence starts, and the end.
        quantities: Sentence, number class, first token and one past the last, in order of the sentences.
        words: The language.
        book: The patterns.
        places: Room for places.
        got: Room for patterns, and a count of sentences.
        found: Room for candidates.

    Returns:
        The weight of the words that speak of another device; matches (sentence, pattern, first token, one past the
        last, sense); and places of the sides (sentence, which of them, first token, one past the last).
    """
    weight, matches, sides = 0.0, [[0] * 0], [[0] * 0]
    matches.clear()
    sides.clear()
    at = 0
    for sentence in range(len(sentences) - 1):
        own = stems[sentences[sentence] : sentences[sentence + 1]]
        first = at
        while at < len(quantities) and quantities[at, 0] == sentence:
            at += 1
        find_places(own, quantities[first:at, 1:], words, places)
        weight += weigh_scope(own, words.scope)
        for match in find_matches(own, places, words, book, got, found):
            matches.append([sentence, *match])
        for side in range(len(words.sides)):
            span = places.first[words.sides[side]]
            while span >= 0:
                sides.append([sentence, side, int(places.spans[span, 0]), int(places.spans[span, 1])])
                span = places.following[span]
    return weight, join_rows(matches, 5), join_rows(sides, 4)


@njit(cache=True)
def join_rows(rows: list[list[int]], width: int) -> Ints:
    """Join rows of equal width to one table."""
    out = np.empty((len(rows), width), dtype=np.int32)
    for number in range(len(rows)):
        for column in range(width):
            out[number, column] = rows[number][column]
    return out
