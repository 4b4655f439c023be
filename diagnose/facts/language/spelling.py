"""Mending of typed words: abbreviations spelled out, misspelt words of the vocabulary put right.

Takes the language, gives a function from typed to meant word; may import tokens and knowledge. Tags and numbers
never come here. A word is mended only when it is not known, long enough, and exactly one known word is near: its
first two letters typed right, at most one letter more or less; or two neighbours swapped.
"""

from __future__ import annotations

from functools import lru_cache

from diagnose.facts.language.tokens import Mend, fold_word
from diagnose.knowledge.language import Language

SHORTEST = 5
LONG = 9


def build_mend(language: Language) -> Mend:
    """Build the mending function of a language; what it mends it remembers."""
    known = _vocabulary(language)
    by_start: dict[str, list[str]] = {}
    for word in sorted(known):
        if len(word) >= SHORTEST - 1:
            by_start.setdefault(word[0], []).append(word)
    stems = frozenset(map(fold_word, (*known, *language.well_spelt)))
    abbreviations = {short.lower(): meant for short, meant in language.abbreviations.items()}

    @lru_cache(maxsize=100_000)
    def mend(word: str) -> str:
        plain = word.lower().replace("'", "").replace("’", "")
        if plain in abbreviations:
            return abbreviations[plain]
        if plain in known or len(plain) < SHORTEST or fold_word(plain) in stems:
            return plain
        return _nearest(plain, by_start.get(plain[0], [])) or plain

    return mend


def _nearest(word: str, candidates: list[str]) -> str | None:
    """Find the one known word within one change, two from nine letters on; a swap of neighbours is one change."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    most = 2 if len(word) >= LONG else 1
    found = process.extract(word, candidates, scorer=OSA.distance, score_cutoff=most, limit=None)
    near = sorted((distance, meant) for meant, distance, _ in found if _is_alike(word, meant, int(distance)))
    if not near or (len(near) > 1 and near[0][0] == near[1][0]):
        return None
    return near[0][1]


def _is_alike(word: str, meant: str, distance: int) -> bool:
    is_swap = distance == 1 and sorted(word) == sorted(meant)
    return is_swap or (word[:2] == meant[:2] and abs(len(word) - len(meant)) <= 1)


def _vocabulary(language: Language) -> frozenset[str]:
    words = {word for phrases in language.classes.values() for phrase in phrases for word in phrase.split()}
    every = [p for said in language.phrases.values() for p in (*said.present, *said.absent)]
    every += [p for said in language.either_end for p in (*said.present, *said.absent)]
    words |= {
        option
        for phrase in every
        for item in phrase.split()
        for option in item.lstrip("!").replace("_", "|").split("|")
    }
    words |= {word for meant in language.abbreviations.values() for word in meant.split()}
    words |= {word for phrase in language.scope.words for word in phrase.split()}
    return frozenset(word.lower() for word in words if word.isalpha())
