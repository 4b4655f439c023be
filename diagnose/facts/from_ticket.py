"""A ticket becomes evidence: every fact with the exact words it came from.

Takes ticket text and columns, gives evidence; may import knowledge, facts and the language helpers.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.facts.language.patterns import Lexicon, Match, Pattern, PatternBook, compile_pattern
from diagnose.facts.language.quantities import find_number_places
from diagnose.facts.language.senses import Sense, compile_sense_words, read_sense
from diagnose.facts.language.spelling import build_mend
from diagnose.facts.language.tokens import Sentence, fold_word, split_sentences
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import Language

# Columns of a ticket that hold more text to read.
TEXT_COLUMNS = ("text", "recent_work", "done", "parts")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a pattern says when it is found."""

    kind: str
    name: str
    value: str


@dataclass(frozen=True)
class TicketReading:
    """What was understood of one ticket.

    Attributes:
        other_device: Decibans by which the words speak of another device; above the limit it is one.
        is_other: Whether that limit is passed.
    """

    evidence: Evidence
    other_device: float
    is_other: bool


class TicketReader:
    """Reads tickets by the phrases of a rule base; made once, reads many."""

    def __init__(self, knowledge: Knowledge, language: Language) -> None:
        """Compile the phrases.

        Raises:
            ValueError: A phrase is no pattern.
        """
        self._knowledge = knowledge
        self._lexicon = Lexicon(language.classes)
        self._book = PatternBook(_compile_all(language))
        self._senses = compile_sense_words(language.senses.model_dump())
        self._mend = build_mend(language)
        self._scope = {fold_word(word): weight for word, weight in language.scope.words.items()}
        self._start, self._limit = language.scope.start, language.scope.limit

    def read(self, ticket: Mapping[str, str]) -> TicketReading:
        """Read the text columns of a ticket and its `duty` and `motor`."""
        facts: list[Fact] = []
        told: list[CircumstanceFact] = list(_columns(ticket))
        repaired: list[str] = []
        weight = self._start
        for column in TEXT_COLUMNS:
            text = ticket.get(column) or ""
            for sentence in split_sentences(text, self._mend):
                weight += self._weigh_scope(sentence)
                for match, sense in self._find(sentence):
                    self._take(text, sentence, match, sense, facts, told, repaired)
        return TicketReading(
            Evidence(tuple(_settle(facts)), tuple(dict.fromkeys(told)), tuple(dict.fromkeys(repaired))),
            weight,
            weight > self._limit,
        )

    def _weigh_scope(self, sentence: Sentence) -> float:
        return sum(self._scope.get(stem, 0.0) for stem in {token.stem for token in sentence})

    def _find(self, sentence: Sentence) -> Iterator[tuple[Match, Sense]]:
        places = self._lexicon.find_places(sentence)
        for name, spans in find_number_places(sentence).items():
            places.setdefault(name, []).extend(spans)
        self._lexicon.add_number_classes(places)
        for match in self._book.find_matches(places):
            yield match, read_sense(sentence, match.tokens, self._senses)

    def _take(
        self,
        text: str,
        sentence: Sentence,
        match: Match,
        sense: Sense,
        facts: list[Fact],
        told: list[CircumstanceFact],
        repaired: list[str],
    ) -> None:
        meaning = match.pattern.means
        assert isinstance(meaning, Meaning)  # noqa: S101 - every pattern of the book is compiled here
        first, last = match.span
        start, end = sentence[first].start, sentence[last - 1].end
        if meaning.kind == "observation":
            if not sense.of_another_time:
                facts.append(self._fact(meaning, sense, text[start:end], start, end))
        elif sense.denied:
            return
        elif meaning.kind == "circumstance":
            origin = Origin(OriginKind.TICKET, text[start:end], start, end)
            told.append(CircumstanceFact(meaning.name, meaning.value, certain=False, origin=origin))
        else:
            repaired.append(meaning.name)

    def _fact(self, meaning: Meaning, sense: Sense, words: str, start: int, end: int) -> Fact:
        state = State(meaning.value)
        if sense.denied:
            state = State.ABSENT if state is State.PRESENT else State.UNKNOWN
        kind = OriginKind.HEARSAY if sense.doubted else OriginKind.TICKET
        likelihood = trust_pair(self._knowledge, kind, state)
        return Fact(meaning.name, state, Origin(kind, words, start, end), likelihood)


def _columns(ticket: Mapping[str, str]) -> Iterator[CircumstanceFact]:
    for name in ("duty", "motor"):
        value = ticket.get(name) or ""
        if value and value != "unknown":
            yield CircumstanceFact(
                name, value, certain=False, origin=Origin(OriginKind.TICKET, f"{name}: {value}")
            )


def _settle(facts: list[Fact]) -> Iterator[Fact]:
    """Say a thing once: of several phrases for one state of one observation keep the surest, then the longest."""
    best: dict[tuple[str, State], Fact] = {}
    for fact in facts:
        key = (fact.observation, fact.state)
        if fact.state is State.UNKNOWN:
            continue
        known = best.get(key)
        if known is None or _surety(fact) > _surety(known):
            best[key] = fact
    yield from best.values()


def _surety(fact: Fact) -> tuple[float, int]:
    return (max(fact.likelihood), len(fact.origin.words))


def _compile_all(language: Language) -> Iterator[Pattern]:
    for name, said in language.phrases.items():
        for state, phrases in ((State.PRESENT, said.present), (State.ABSENT, said.absent)):
            yield from (
                compile_pattern(phrase, Meaning("observation", name, state.value)) for phrase in phrases
            )
    for name, values in language.circumstances.items():
        for value, phrases in values.items():
            yield from (compile_pattern(phrase, Meaning("circumstance", name, value)) for phrase in phrases)
    for cause, phrases in language.work.done.items():
        yield from (compile_pattern(phrase, Meaning("repair", cause, "")) for phrase in phrases)
