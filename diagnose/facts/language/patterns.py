"""Patterns over stemmed words: compiled once, matched in a sentence by looking up the rarest item.

Takes pattern texts and word classes, gives matches with their spans; may import tokens.

A pattern is a row of items. An item is a word, alternatives `a|b`, or a class `@name`; it may be any of
several at once, `@stop|park`; words joined by `_` stand for that row of words (`jam_nut|bolt`). Between two items up to two other words may stand; `..` allows six. `&` between
items lifts the order: all of them somewhere in the sentence. `!item` forbids: no match with it among the tokens
used or within four words of them. Words are compared by their stems.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagnose.facts.language.tokens import Sentence, fold_word

GAP = 2
WIDE_GAP = 6
FORBIDDEN_REACH = 4

Span = tuple[int, int]
Places = Mapping[str, list[Span]]


@dataclass(frozen=True, slots=True)
class Item:
    """One item: the stems and classes that satisfy it, in order and as a set, and the gap allowed before it."""

    options: tuple[str, ...]
    wanted: frozenset[str]
    gap: int


@dataclass(frozen=True, slots=True)
class Pattern:
    """One compiled pattern.

    Attributes:
        means: What a match means, whatever the caller wants it to.
        ordered: False where the items may stand in any order.
        forbidden: What must not stand in or near the match.
    """

    means: object
    text: str
    items: tuple[Item, ...]
    ordered: bool
    forbidden: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Match:
    """A pattern found in a sentence.

    Attributes:
        tokens: The tokens it used.
        asked: Tokens between them that an item of it asks for too: the second "no" of "no sound, no movement".
    """

    pattern: Pattern
    tokens: tuple[int, ...]
    asked: tuple[int, ...] = ()

    @property
    def span(self) -> Span:
        """Give the first token and one past the last."""
        return min(self.tokens), max(self.tokens) + 1


def compile_pattern(text: str, means: object) -> Pattern:
    """Compile one pattern text.

    Raises:
        ValueError: Empty, or gaps without items around them.
    """
    ordered = "&" not in text.split()
    items: list[Item] = []
    forbidden: list[str] = []
    gap = GAP
    for part in text.split():
        if part == "..":
            gap = WIDE_GAP
        elif part.startswith("!"):
            forbidden += [_fold_option(option) for option in part[1:].split("|") if option]
        elif part != "&":
            options = tuple(_fold_option(option) for option in part.split("|") if option)
            items.append(Item(options, frozenset(options), gap))
            gap = GAP
    if not items or gap != GAP:
        raise ValueError(f"'{text}' is no pattern: it needs words, and a word after each gap")
    return Pattern(means, text, tuple(items), ordered, tuple(forbidden))


def _fold_option(option: str) -> str:
    if "_" in option and not option.startswith("@"):
        return f"@{option}"
    return option if option.startswith(("@", "<")) else fold_word(option)


def joined_words(texts: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Give the word classes that joined words in pattern texts stand for: `jam_nut` is "jam nut"."""
    options = {option for text in texts for item in text.split() for option in item.lstrip("!").split("|")}
    return {o: (o.replace("_", " "),) for o in sorted(options) if "_" in o and not o.startswith("@")}


class Lexicon:
    """Word classes: a stem, or a row of stems, stands for the classes it is listed in.

    Attributes:
        fixed: Set phrases by their first stem.
        rows: Rows of stems by their first stem, each with its class.
        numbers: Classes that stand for each class of numbers.
    """

    def __init__(self, classes: Mapping[str, Iterable[str]], set_phrases: Iterable[str] = ()) -> None:
        """Take classes of words and of short phrases; a class may name another with @.

        Args:
            classes: Words and phrases by class.
            set_phrases: Phrases whose words mean nothing alone: "rock solid" neither rocks nor is loose.
        """
        self.fixed: dict[str, list[tuple[str, ...]]] = {}
        for phrase in set_phrases:
            fixed = tuple(map(fold_word, phrase.split()))
            self.fixed.setdefault(fixed[0], []).append(fixed)
        self.rows: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        self.numbers: dict[str, list[str]] = {}
        for name in classes:
            for phrase in _expand(classes, name, frozenset()):
                if phrase.startswith("#"):
                    self.numbers.setdefault(f"@{phrase[1:]}", []).append(f"@{name}")
                    continue
                stems = tuple(fold_word(word) for word in phrase.split())
                self.rows.setdefault(stems[0], []).append((stems, f"@{name}"))

    def find_places(self, sentence: Sentence) -> dict[str, list[Span]]:
        """Find where each stem and each class stands in a sentence."""
        places: dict[str, list[Span]] = {}
        stems = [token.stem for token in sentence]
        fixed = self._find_fixed(stems)
        for start, stem in enumerate(stems):
            if start not in fixed:
                places.setdefault(stem, []).append((start, start + 1))
            for row, name in self.rows.get(stem, ()):
                end = start + len(row)
                if (len(row) == 1 or tuple(stems[start:end]) == row) and not (
                    fixed and _cuts(fixed, start, end)
                ):
                    places.setdefault(name, []).append((start, end))
        return places

    def _find_fixed(self, stems: list[str]) -> dict[int, Span]:
        """Find the tokens of set phrases, each with the span of its phrase."""
        fixed: dict[int, Span] = {}
        for start, stem in enumerate(stems):
            for row in self.fixed.get(stem, ()):
                end = start + len(row)
                if tuple(stems[start:end]) == row:
                    fixed.update(dict.fromkeys(range(start, end), (start, end)))
        return fixed

    def list_classes(self, stems: tuple[str, ...]) -> tuple[str, ...]:
        """List the classes that exactly this row of stems stands for, and those of a number class alone."""
        of_row = [name for row, name in self.rows.get(stems[0], ()) if row == stems]
        return tuple(of_row) if len(stems) > 1 else (*of_row, *self.numbers.get(stems[0], ()))

    def add_number_classes(self, places: dict[str, list[Span]]) -> None:
        """Add the classes that stand for number classes, written `#name` in the word list."""
        for number, names in self.numbers.items():
            for name in names:
                if number in places:
                    places.setdefault(name, []).extend(places[number])


def _cuts(fixed: Mapping[int, Span], start: int, end: int) -> bool:
    """Tell whether a row takes in a part of a set phrase without the whole."""
    spans = {fixed[token] for token in range(start, end) if token in fixed}
    return any(first < start or end < last for first, last in spans)


def _expand(classes: Mapping[str, Iterable[str]], name: str, above: frozenset[str]) -> Iterator[str]:
    if name in above:
        raise ValueError(f"the word class '{name}' contains itself")
    for phrase in classes[name]:
        if phrase.startswith("@"):
            yield from _expand(classes, phrase[1:], above | {name})
        else:
            yield phrase


def order_items(patterns: Collection[Pattern]) -> Iterator[tuple[Pattern, list[Item]]]:
    """Give each pattern with its items, rarest first: those whose options fewest items of all patterns have."""
    uses = Counter(option for p in patterns for item in p.items for option in item.options)
    for pattern in patterns:
        yield pattern, sorted(pattern.items, key=lambda item: sum(uses[option] for option in item.options))


class PatternBook:
    """Many patterns, indexed by their rarest item."""

    def __init__(self, patterns: Iterable[Pattern]) -> None:
        """Index the patterns; each stands under the options of its rarest item."""
        self._index: dict[str, list[tuple[Pattern, tuple[frozenset[str], ...]]]] = {}
        for pattern, (rarest, *others) in order_items(list(patterns)):
            # what else must be there, rarest first: nearly every pattern is turned down by this alone
            wanted = tuple(item.wanted for item in others)
            for option in rarest.wanted:
                self._index.setdefault(option, []).append((pattern, wanted))

    def find_matches(self, places: Places) -> Iterator[Match]:
        """Find every pattern in a sentence, each at its first place."""
        seen: set[int] = set()
        names = frozenset(places)
        for name in places:
            for pattern, wanted in self._index.get(name, ()):
                for options in wanted:
                    if options.isdisjoint(names):
                        break
                else:
                    if id(pattern) in seen:
                        continue
                    seen.add(id(pattern))
                    tokens = _match(pattern, places)
                    if tokens is not None and not _is_forbidden(pattern, places, tokens):
                        yield Match(pattern, tokens, _list_asked(pattern, places, tokens))


def _is_forbidden(pattern: Pattern, places: Places, tokens: tuple[int, ...]) -> bool:
    first, last = min(tokens) - FORBIDDEN_REACH, max(tokens) + FORBIDDEN_REACH
    return any(first <= start <= last for name in pattern.forbidden for start, _ in places.get(name, ()))


def _list_asked(pattern: Pattern, places: Places, tokens: tuple[int, ...]) -> tuple[int, ...]:
    """List the tokens within a match that an item of its pattern asks for, but did not use."""
    first, end = min(tokens), max(tokens) + 1
    if len(tokens) == end - first:
        return ()
    spans = [span for item in pattern.items for option in item.options for span in places.get(option, ())]
    within = {
        token for start, stop in spans if first <= start and stop <= end for token in range(start, stop)
    }
    return tuple(sorted(within.difference(tokens)))


def _match(pattern: Pattern, places: Places) -> tuple[int, ...] | None:
    spans = [[s for option in item.options for s in places.get(option, ())] for item in pattern.items]
    if not pattern.ordered:
        return tuple(sorted({t for of_item in spans for t in range(*of_item[0])}))
    for of_item in spans:
        of_item.sort(key=_first_token)
    failed: set[tuple[int, int]] = set()
    for first in spans[0]:
        rest = _follow(pattern, spans, 1, first[1], failed)
        if rest is not None:
            return (*range(*first), *rest)
    return None


def _first_token(span: Span) -> int:
    return span[0]


def _follow(
    pattern: Pattern, spans: list[list[Span]], number: int, end: int, failed: set[tuple[int, int]]
) -> tuple[int, ...] | None:
    """Find the items from `number` on after token `end`, each within its gap; what failed is not tried again."""
    if number == len(spans):
        return ()
    if (number, end) in failed:
        return None
    of_item = spans[number]
    earliest = bisect_left(of_item, end, key=_first_token)
    latest = bisect_right(of_item, end + pattern.items[number].gap, lo=earliest, key=_first_token)
    for start, stop in of_item[earliest:latest]:
        rest = _follow(pattern, spans, number + 1, stop, failed)
        if rest is not None:
            return (*range(start, stop), *rest)
    failed.add((number, end))
    return None
