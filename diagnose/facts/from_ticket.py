"""A ticket becomes evidence: every fact with the exact words it came from.

Takes ticket text and columns, gives evidence; may import knowledge, facts and the language helpers.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from diagnose.errors import RulesFaulty
from diagnose.facts.language.checks import check_language
from diagnose.facts.language.clause_reader import ClauseReader, Heard, load_clause_model
from diagnose.facts.language.patterns import (
    Lexicon,
    Pattern,
    PatternBook,
    Places,
    Span,
    compile_pattern,
    joined_words,
)
from diagnose.facts.language.quantities import find_number_places
from diagnose.facts.language.senses import Sense, compile_sense_words, read_sense
from diagnose.facts.language.sides import SIDE_CLASSES, Side, choose_side, find_side, hint_side, last_side
from diagnose.facts.language.spelling import build_mend
from diagnose.facts.language.tokens import Sentence, fold_word, split_sentences
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import Language

if TYPE_CHECKING:
    from diagnose.facts.language.numbering import Finder

# In shorter texts the words that speak of another device count most.
FEW_TOKENS = 15
# Columns of a ticket that hold more text to read.
TEXT_COLUMNS = ("text", "recent_work", "done", "parts")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a pattern says when it is found."""

    kind: str
    name: str
    value: str


@dataclass(frozen=True, slots=True)
class SidedMeaning:
    """What a pattern says of an end of travel that it does not name."""

    open: str
    closed: str
    value: str


@dataclass
class Reading:
    """What was read so far of one ticket: `text` is the column being read, `waiting` lacks its side."""

    text: str = ""
    facts: list[Fact] = field(default_factory=list)
    told: list[CircumstanceFact] = field(default_factory=list)
    repaired: list[str] = field(default_factory=list)
    columns: list[tuple[str, tuple[Sentence, ...]]] = field(default_factory=list)
    urgent: dict[str, str] = field(default_factory=dict)
    waiting: list[tuple[SidedMeaning, Fact, Side | None, Side | None]] = field(default_factory=list)
    side: Side | None = None


@dataclass(frozen=True)
class TicketReading:
    """What was understood of one ticket.

    Attributes:
        other_device: Decibans by which the words speak of another device; above the limit it is one.
        is_other: Whether that limit is passed.
        urgent: What makes it urgent whatever its cause, each with the words that say so.
    """

    evidence: Evidence
    other_device: float
    is_other: bool
    urgent: tuple[tuple[str, str], ...] = ()


class TicketReader:
    """Reads tickets by the phrases of a rule base; made once, reads many.

    Attributes:
        lexicon: The word classes.
        mend: Gives the word meant by a typed word.
    """

    def __init__(self, knowledge: Knowledge, language: Language, *, for_many: bool = False) -> None:
        """Compile the phrases.

        Args:
            knowledge: The rule base.
            language: Its language.
            for_many: Find patterns by compiled loops: the same facts, several times faster, ready a second later.

        Raises:
            RulesFaulty: A phrase is no pattern, or names what nobody defines.
        """
        if faults := tuple(check_language(language)):
            raise RulesFaulty(faults)
        self._knowledge = knowledge
        self._patterns = tuple(_compile_all(language))
        joined = joined_words(pattern.text for pattern in self._patterns)
        self.lexicon = Lexicon({**language.classes, **joined}, language.set_phrases)
        self._book = PatternBook(self._patterns)
        self._sides: dict[str, Side] = {
            **{sided.open: "open" for sided in language.either_end},
            **{sided.closed: "closed" for sided in language.either_end},
        }
        self._senses = compile_sense_words(language.senses.model_dump())
        self.mend = build_mend(language)
        model = load_clause_model(language.clause_model)
        self._clauses = ClauseReader(model, self.lexicon) if model else None
        self._scope = {fold_word(word): weight for word, weight in language.scope.words.items()}
        self._start, self._limit = language.scope.start, language.scope.limit
        self._finder = self._build_finder() if for_many else None

    def _build_finder(self) -> Finder:
        from diagnose.facts.language.numbering import Finder

        return Finder(self.lexicon, self._patterns, self._senses, self._scope, SIDE_CLASSES)

    def read(self, ticket: Mapping[str, str]) -> TicketReading:
        """Read the text columns of a ticket and its `duty` and `motor`."""
        got = Reading(told=list(_columns(ticket)))
        weight = 0.0
        for column in TEXT_COLUMNS:
            got.text = ticket.get(column) or ""
            sentences = split_sentences(got.text, self.mend)
            got.columns.append((got.text, sentences))
            weight += (
                self._read_plain(sentences, got) if self._finder is None else self._read_many(sentences, got)
            )
        self._place_waiting(got)
        heard = self._clauses.read(got.columns) if self._clauses else Heard()
        tokens = sum(len(sentence) for _, sentences in got.columns for sentence in sentences)
        other = self._weigh_other(weight, heard, tokens)
        return TicketReading(
            Evidence(
                tuple(_settle(got.facts)),
                tuple(dict.fromkeys(got.told)),
                tuple(dict.fromkeys(got.repaired)),
                heard.mentions,
                heard.likeness,
            ),
            other,
            other > self._limit,
            tuple(sorted(got.urgent.items())),
        )

    def _weigh_other(self, words: float, heard: Heard, tokens: int) -> float:
        """Weigh what the words and the second reader say of another device, in decibans.

        The second reader knows whole tickets: of a few words it may only add to what the words say.
        """
        spoken = self._knowledge.mentions
        if self._clauses is None or tokens < FEW_TOKENS:
            return self._start + words + max(0.0, spoken.other_few * heard.other_device)
        return spoken.other_start + spoken.other_words * words + heard.other_device

    def _read_plain(self, sentences: Sequence[Sentence], got: Reading) -> float:
        """Take what the sentences of a text say; give the decibans by which they speak of another device."""
        weight = 0.0
        for sentence in sentences:
            weight += self._weigh_scope(sentence)
            places = self._find_places(sentence)
            for match in self._book.find_matches(places):
                sense = read_sense(sentence, match.tokens, self._senses, match.asked)
                self._take(sentence, places, match.span, match.pattern.means, sense, got)
            got.side = last_side(places) or got.side
        return weight

    def _read_many(self, sentences: Sequence[Sentence], got: Reading) -> float:
        """Do the same by compiled loops, which find the matches of all sentences at once."""
        assert self._finder is not None  # noqa: S101 - asked before
        weight, matches, sides = self._finder.find(sentences)
        places: list[dict[str, list[Span]]] = [{} for _ in sentences]
        for number, which, start, end in sides:
            places[number].setdefault(SIDE_CLASSES[which], []).append((start, end))
        waiting = deque(matches)
        for number, sentence in enumerate(sentences):
            while waiting and waiting[0].sentence == number:
                match = waiting.popleft()
                means = self._patterns[match.pattern].means
                self._take(sentence, places[number], match.span, means, match.meant, got)
            got.side = last_side(places[number]) or got.side
        return weight

    def _weigh_scope(self, sentence: Sentence) -> float:
        return sum(self._scope.get(stem, 0.0) for stem in {token.stem for token in sentence})

    def _find_places(self, sentence: Sentence) -> Places:
        places = self.lexicon.find_places(sentence)
        for name, spans in find_number_places(sentence).items():
            places.setdefault(name, []).extend(spans)
        self.lexicon.add_number_classes(places)
        return places

    def _take(  # noqa: PLR0917 - what a match is made of
        self, sentence: Sentence, places: Places, span: Span, meaning: object, sense: Sense, got: Reading
    ) -> None:
        first, last = span
        start, end = sentence[first].start, sentence[last - 1].end
        kind = OriginKind.HEARSAY if sense.doubted else OriginKind.TICKET
        origin = Origin(kind, got.text[start:end], start, end)
        if isinstance(meaning, SidedMeaning):
            if not sense.of_another_time:
                fact = self._fact(meaning.open, meaning.value, sense.denied, origin)
                self._take_sided(meaning, fact, places, span, got)
            return
        assert isinstance(meaning, Meaning)  # noqa: S101 - every pattern of the book is compiled here
        if meaning.kind == "observation":
            if not sense.of_another_time:
                got.facts.append(self._fact(meaning.name, meaning.value, sense.denied, origin))
        elif sense.denied:
            return
        elif meaning.kind == "urgency":
            if meaning.name == "repeated" or not sense.of_another_time:
                got.urgent.setdefault(meaning.name, origin.words)
        elif meaning.kind == "circumstance":
            got.told.append(CircumstanceFact(meaning.name, meaning.value, certain=False, origin=origin))
        else:
            got.repaired.append(meaning.name)

    def _take_sided(
        self, meaning: SidedMeaning, fact: Fact, places: Places, span: Span, got: Reading
    ) -> None:
        side = find_side(places, span)
        if side is None:
            got.waiting.append((meaning, fact, got.side, hint_side(places)))
        else:
            got.facts.append(_put_side(meaning, fact, side))

    def _place_waiting(self, got: Reading) -> None:
        """Give what names no end the end that the rest of the ticket speaks of; without one it is dropped."""
        told = {
            self._sides[fact.observation]
            for fact in got.facts
            if fact.state is State.PRESENT and fact.observation in self._sides
        }
        for meaning, fact, before, hint in got.waiting:
            side = choose_side(told, before, hint)
            if side is not None:
                got.facts.append(_put_side(meaning, fact, side))

    def _fact(self, name: str, value: str, is_denied: bool, origin: Origin) -> Fact:  # noqa: FBT001
        state = State(value)
        if is_denied:
            state = State.ABSENT if state is State.PRESENT else State.UNKNOWN
        return Fact(name, state, origin, trust_pair(self._knowledge, origin.kind, state))


def _put_side(meaning: SidedMeaning, fact: Fact, side: Side) -> Fact:
    return replace(fact, observation=meaning.open if side == "open" else meaning.closed)


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
    for sided in language.either_end:
        for state, phrases in ((State.PRESENT, sided.present), (State.ABSENT, sided.absent)):
            means = SidedMeaning(sided.open, sided.closed, state.value)
            yield from (compile_pattern(phrase, means) for phrase in phrases)
    for name, values in language.circumstances.items():
        for value, phrases in values.items():
            yield from (compile_pattern(phrase, Meaning("circumstance", name, value)) for phrase in phrases)
    for name, phrases in language.urgency.urgent.items():
        yield from (compile_pattern(phrase, Meaning("urgency", name, "")) for phrase in phrases)
    for cause, phrases in language.work.done.items():
        yield from (compile_pattern(phrase, Meaning("repair", cause, "")) for phrase in phrases)
