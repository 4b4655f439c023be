"""Ticket text becomes sentences of tokens: words folded to stems, numbers, tags and marks.

Takes text and a word list, gives sentences; imports nothing of ours.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import Literal, NamedTuple

Kind = Literal["word", "number", "tag", "mark"]

MAX_CHARACTERS = 20_000
# What makes the number behind "no" a quantity: "no 4-20", "no 5 V".
_MEASURED = (
    r"[ -]?(?:[-/–] ?\d|[.,]\d|[%°Ω]|to \d|"
    r"(?i:m?a|amps?|m?v|volts?|v?[ad]c|[km]?ohms?|k|deg\w*|phase|s|secs?|ms|bar)\b)"
)
# Alternatives in this order: "No 3" where it names one of several, tags such as V-12 (typed small only with a dash,
# spaced only after a V), numbers (a dash behind a digit or letter is a range, no sign), words with apostrophes,
# "w/o", single marks.
_TOKEN = re.compile(
    r"(?P<numbered>\b[nN][oO](?:\. ?\d{1,3}| (?:1[013-9]|[1-9]))\b(?!" + _MEASURED + r"))|"
    r"(?P<tag>\b(?:[A-Z]{1,5}[-/]?\d{1,5}[A-Z]?|(?<!\d\s)[A-Z]{0,3}V \d{1,4}|[a-z]{1,4}-\d{1,5})\b(?![.,]\d))"
    r"|(?P<number>(?:(?<![^\W_])(?<!\d )[+-])?\d{1,9}(?:[.,]\d{1,6})?)"
    r"|(?P<word>[wW]/[oO]?(?![^\W_])|[^\W\d_]{1,40}(?:['’][^\W\d_]{1,3})?)"
    r"|(?P<mark>[^\w\s]|\n)"
)
_ENDS = frozenset(".;!?\n")


class Token(NamedTuple):
    """One piece of text.

    Attributes:
        text: As typed.
        stem: What patterns compare: the stem of a mended word, or the mark itself.
        start: First character in the ticket's text.
        end: One past the last character.
    """

    kind: Kind
    text: str
    stem: str
    start: int
    end: int


Sentence = tuple[Token, ...]
Mend = Callable[[str], str]


@cache
def _stemmer() -> Callable[[str], str]:
    import snowballstemmer

    stem: Callable[[str], str] = snowballstemmer.stemmer("english").stemWord
    return stem


@cache
def fold_word(word: str) -> str:
    """Fold a word to its stem: lower case, without apostrophes, English Snowball stemming (Porter 2)."""
    plain = word.lower().replace("'", "").replace("’", "")
    return _stemmer()(plain)


def split_sentences(text: str, mend: Mend = str) -> tuple[Sentence, ...]:
    """Split text into sentences of tokens.

    Args:
        text: The ticket; only its first 20,000 characters are read.
        mend: Gives the word meant by a typed word: abbreviations and spelling.

    Returns:
        Sentences without their end marks; a full stop inside a number ends nothing.
    """
    sentences: list[Sentence] = []
    current: list[Token] = []
    for token in _tokenise(text[:MAX_CHARACTERS], mend):
        if token.kind == "mark" and token.text in _ENDS:
            if current:
                sentences.append(tuple(current))
            current = []
        else:
            current.append(token)
    if current:
        sentences.append(tuple(current))
    return tuple(sentences)


@lru_cache(maxsize=100_000)
def _fold_typed(word: str, mend: Mend) -> tuple[str, ...]:
    """Give the stems of a typed word; a mended abbreviation may be two."""
    return tuple(fold_word(part) for part in mend(word).split())


def _tokenise(text: str, mend: Mend) -> list[Token]:
    found: list[Token] = []
    for match in _TOKEN.finditer(text):
        group, word = match.lastgroup, match.group()
        start, end = match.span()
        if group == "word":
            # several stems of one word keep its place
            found += [Token("word", word, stem, start, end) for stem in _fold_typed(word, mend)]
        elif group in {"numbered", "tag"}:
            found.append(Token("tag", word, "<tag>", start, end))
        else:
            found.append(Token("number" if group == "number" else "mark", word, word, start, end))
    return found
