"""Sentences cut into clauses, each with the words it came from, for readers that weigh a clause as a whole.

Takes sentences of tokens, gives clauses; may import tokens.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from diagnose.facts.language.tokens import Sentence

# What may part two clauses; a dash only where it stands free.
_MARKS = frozenset(",()")
_DASHES = frozenset("-–—")
_WORDS = frozenset(["and", "but"])
# Shorter pieces, counted in characters, say too little alone.
SHORTEST = 9


@dataclass(frozen=True, slots=True)
class Clause:
    """A row of tokens that is read as one.

    Attributes:
        weight: How much of the sentence's word it has: a sentence and its pieces together count once.
        is_sentence: Whether it is a whole sentence.
    """

    tokens: Sentence
    weight: float
    is_sentence: bool

    @property
    def start(self) -> int:
        """Give its first character in the text."""
        return self.tokens[0].start

    @property
    def end(self) -> int:
        """Give one past its last character."""
        return self.tokens[-1].end


def cut_clauses(sentences: Iterable[Sentence]) -> Iterator[Clause]:
    """Give every sentence whole, and its pieces where it has several: half of its weight for either reading."""
    for sentence in sentences:
        pieces = [piece for piece in _cut(sentence) if piece[-1].end - piece[0].start >= SHORTEST]
        if len(pieces) < 2:
            yield Clause(sentence, 1.0, is_sentence=True)
            continue
        yield Clause(sentence, 0.5, is_sentence=True)
        yield from (Clause(piece, 0.5, is_sentence=False) for piece in pieces)


def _cut(sentence: Sentence) -> Iterator[Sentence]:
    first = 0
    for place in range(len(sentence)):
        if _parts(sentence, place):
            if place > first:
                yield sentence[first:place]
            first = place + 1
    if first < len(sentence):
        yield sentence[first:]


def _parts(sentence: Sentence, place: int) -> bool:
    token = sentence[place]
    if token.kind == "word":
        return token.text.lower() in _WORDS
    return token.text in _MARKS or (token.text in _DASHES and _is_free(sentence, place))


def _is_free(sentence: Sentence, place: int) -> bool:
    """Tell whether a mark stands apart from what is before and behind it."""
    near = sentence[max(0, place - 1) : place + 2]
    return all(one.end < other.start for one, other in pairwise(near))
