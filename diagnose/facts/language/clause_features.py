"""What of a clause is weighed: its stems, pairs of stems, word classes, and letters in a row against typing errors.

Takes tokens and a lexicon, gives names of features; may import tokens, patterns and quantities.

Every feature belongs to one token, to two neighbours, or to a number; what a token or a pair of neighbours brings
never depends on the rest of the clause, so it is looked up once and remembered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from diagnose.facts.language.patterns import Lexicon
from diagnose.facts.language.quantities import find_number_places
from diagnose.facts.language.tokens import Sentence, Token

_ROWS_OF_LETTERS = (3, 4, 5)
# Stands before the first and behind the last word.
EDGE = "^"
Key = tuple[str, ...]


def list_keys(clause: Sentence) -> Iterator[Key]:
    """Give a key for each token, each pair of neighbours and each number class; what a key brings is `expand`.

    A key of a token is (stem, word as typed), of a pair (stem, stem), of a number class (class,).
    """
    words = [token for token in clause if token.kind != "mark"]
    yield from (_key(token) for token in words)
    stems = [EDGE, *map(_stem, words), EDGE]
    yield from (("", one, other) for one, other in pairwise(stems))
    if any(token.kind == "number" for token in words):
        yield from ((name,) for name in find_number_places(clause))


def _stem(token: Token) -> str:
    return "#" if token.kind == "number" else token.stem


def _key(token: Token) -> Key:
    return (_stem(token), token.text.lower() if token.kind == "word" else "")


def expand(key: Key, lexicon: Lexicon) -> tuple[str, ...]:
    """Give the features that a key brings: `w:` a stem, `b:` a pair, `c:` a class, `g:` letters in a row."""
    if len(key) == 1:
        return (f"c:{key[0]}", *(f"c:{name}" for name in lexicon.list_classes(key)))
    if len(key) == 3:
        _, one, other = key
        return (f"b:{one}_{other}", *(f"c:{name}" for name in lexicon.list_classes((one, other))))
    stem, typed = key
    classes = (f"c:{name}" for name in lexicon.list_classes((stem,)))
    return (f"w:{stem}", *classes, *(f"g:{letters}" for letters in sorted(set(_letters(typed)))))


def _letters(typed: str) -> Iterable[str]:
    if not typed:
        return
    edged = f" {typed} "
    for length in _ROWS_OF_LETTERS:
        for start in range(len(edged) - length + 1):
            yield edged[start : start + length]
