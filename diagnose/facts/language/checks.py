"""Checks of the phrases that need the tokens: classes nobody defines, words that no text can give.

Takes the language, gives faults with file and line; may import knowledge and the language helpers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache

from diagnose.errors import Fault
from diagnose.facts.language.patterns import compile_pattern
from diagnose.facts.language.quantities import NUMBER_CLASSES
from diagnose.facts.language.tokens import fold_word, split_sentences
from diagnose.knowledge.language import Language, Spot
from diagnose.knowledge.validate import suggest


def check_language(language: Language) -> Iterator[Fault]:
    """Check every word class and every pattern.

    Args:
        language: A language that loaded without fault.

    Returns:
        Faults: unknown classes, classes that contain themselves, patterns that are none, words no text can give.
    """
    for spot in language.class_spots:
        yield from _check_class(spot, language)
    for spot in language.pattern_spots:
        yield from _check_pattern(spot, language)


def _check_class(spot: Spot, language: Language) -> Iterator[Fault]:
    known = True
    for place, phrase in enumerate(language.classes[spot.text]):
        at = Spot(spot.document, (*spot.key, place), phrase)
        if phrase.startswith("#"):
            yield from _check_number_class(at)
        elif phrase.startswith("@"):
            faults = list(_check_named(at, phrase[1:], language.classes))
            known = known and not faults
            yield from faults
        else:
            yield from (fault for word in phrase.split() for fault in _check_word(at, word, language))
    if known and _contains_itself(spot.text, language.classes):
        wrong = f"the class '{spot.text}' contains itself"
        yield spot.document.fault(spot.key, "class-in-itself", wrong, "take one of its classes out")


def _contains_itself(name: str, classes: Mapping[str, tuple[str, ...]]) -> bool:
    seen: set[str] = set()
    waiting = [name]
    while waiting:
        inner = [p[1:] for p in classes.get(waiting.pop(), ()) if p.startswith("@")]
        if name in inner:
            return True
        waiting += [one for one in inner if one not in seen]
        seen.update(inner)
    return False


def _check_pattern(spot: Spot, language: Language) -> Iterator[Fault]:
    try:
        compile_pattern(spot.text, None)
    except ValueError as error:
        yield spot.document.fault(spot.key, "no-pattern", str(error), "write words")
        return
    for item in spot.text.split():
        options = item.lstrip("!").split("|")
        if item not in {"..", "&"}:
            yield from (fault for option in options for fault in _check_option(spot, option, language))
            yield from _check_twice(spot, options)


def _check_twice(spot: Spot, options: list[str]) -> Iterator[Fault]:
    """Find an option that stands twice in one item: mostly half of two words that a space has torn apart."""
    for option, count in Counter(options).items():
        if count > 1:
            wrong = f"'{option}' stands twice in one item of '{spot.text}'"
            cure = "take one out, or join the words of one option by an underscore"
            yield spot.document.fault(spot.key, "twice-in-item", wrong, cure)


def _check_option(spot: Spot, option: str, language: Language) -> Iterator[Fault]:
    if not option:
        wrong = f"'{spot.text}' has a bar with nothing beside it"
        yield spot.document.fault(spot.key, "no-pattern", wrong, "write a word on both sides of each bar")
    elif option.startswith("@"):
        yield from _check_named(spot, option[1:], {**language.classes, **dict.fromkeys(NUMBER_CLASSES, ())})
    elif option != "<tag>":
        words = option.split("_")
        yield from (fault for word in words for fault in _check_word(spot, word, language))


def _check_named(spot: Spot, name: str, known: Mapping[str, object]) -> Iterator[Fault]:
    if name not in known:
        cure = suggest(name, known, "define it under classes")
        yield spot.document.fault(spot.key, "unknown-class", f"no class '{name}' of words or numbers", cure)


def _check_number_class(spot: Spot) -> Iterator[Fault]:
    name = spot.text[1:]
    if name not in NUMBER_CLASSES:
        cure = suggest(name, NUMBER_CLASSES, "name a class of numbers")
        yield spot.document.fault(spot.key, "unknown-class", f"no class '{name}' of numbers", cure)


def _check_word(spot: Spot, word: str, language: Language) -> Iterator[Fault]:
    """Find words that no text gives as one token: "20mA" is two, "fbk" is read as "feedback"."""
    meant = language.abbreviations.get(word.lower())
    if meant is not None and meant != word:
        wrong = f"'{word}' in '{spot.text}' is never met: it is read as '{meant}'"
        yield spot.document.fault(spot.key, "never-met", wrong, f"write '{meant}'")
    elif not _is_one_token(word):
        wrong = f"'{word}' in '{spot.text}' is never met: no text is read as that one word"
        yield spot.document.fault(
            spot.key, "never-met", wrong, "write plain words, without the marks between"
        )


@cache
def _is_one_token(word: str) -> bool:
    return [token.stem for sentence in split_sentences(word) for token in sentence] == [fold_word(word)]
