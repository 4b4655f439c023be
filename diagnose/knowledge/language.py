"""The language of tickets: word classes, phrases for observations, circumstances and work done, scope.

Takes `rules/language/`, gives `Language`; may import the rest of knowledge. Read only where text is read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from diagnose.errors import Fault, FaultsFound, RulesFaulty
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.validate import suggest, validate
from diagnose.knowledge.words import Id, Model
from diagnose.knowledge.yaml_nodes import Document, Key, read_yaml

# Folder of the language files in a rules directory.
LANGUAGE = "language"
# The second reader's fitted model, in that folder.
CLAUSE_MODEL = "clauses.npz"

Phrase = Annotated[str, Field(min_length=1, max_length=500)]
Phrases = tuple[Phrase, ...]
Urgency = Literal["process_down", "person_at_risk", "repeated"]


class Said(Model):
    """How people say that an observation is present, and that it is absent."""

    present: Phrases = ()
    absent: Phrases = ()


class Sided(Model):
    """How people say a thing of an end of travel without naming the end: the observation for each end."""

    open: Id
    closed: Id
    present: Phrases = ()
    absent: Phrases = ()


class PhraseFile(Model):
    """One file of phrases; its classes serve all files."""

    classes: dict[Id, Phrases] = Field(default_factory=dict)
    phrases: dict[Id, Said] = Field(default_factory=dict)
    either_end: dict[Id, Sided] = Field(default_factory=dict)


class WordsFile(Model):
    """Word classes, abbreviations, set phrases, and words that spelling repair leaves alone."""

    classes: dict[Id, Phrases]
    abbreviations: dict[str, str]
    set_phrases: Phrases = ()
    well_spelt: Phrases = ()


class SensesFile(Model):
    """Trigger phrases of denial, doubt and other times."""

    before: Phrases
    behind: Phrases
    pseudo: Phrases
    ends: Phrases
    doubt: Phrases
    speech: Phrases
    people: Phrases
    past: Phrases


class CircumstancesFile(Model):
    """How people tell circumstances: phrases by circumstance and value."""

    circumstances: dict[Id, dict[Id, Phrases]]


class WorkFile(Model):
    """Work that changed nothing: phrases by the cause it would have put right."""

    done: dict[Id, Phrases]


class UrgencyFile(Model):
    """Phrases for what makes a ticket urgent whatever its cause."""

    urgent: dict[Urgency, Phrases]


class ScopeFile(Model):
    """Words of our units and of other devices, each with its weight in decibans for "another device"."""

    start: float
    limit: float
    words: dict[Phrase, float]


@dataclass(frozen=True, slots=True)
class Spot:
    """A pattern or a word class and where it stands.

    Attributes:
        document: File it was read from.
        key: Place in the file.
        text: The pattern, or the name of the class.
    """

    document: Document
    key: Key
    text: str


@dataclass(frozen=True)
class Language:
    """Everything that reading a ticket needs.

    Attributes:
        clause_model: File of the fitted second reader, which a rule base may lack.
        pattern_spots: Every pattern with its place.
        class_spots: Every word class with its place.
    """

    classes: dict[str, Phrases]
    abbreviations: dict[str, str]
    set_phrases: Phrases
    well_spelt: Phrases
    senses: SensesFile
    phrases: dict[str, Said]
    either_end: tuple[Sided, ...]
    circumstances: dict[str, dict[str, Phrases]]
    work: WorkFile
    urgency: UrgencyFile
    scope: ScopeFile
    clause_model: Path
    pattern_spots: tuple[Spot, ...]
    class_spots: tuple[Spot, ...]


def load_language(directory: Path, knowledge: Knowledge) -> Language:
    """Read the language files of a rules directory.

    Raises:
        RulesFaulty: Listing every fault found.
    """
    faults: list[Fault] = []
    folder = directory / LANGUAGE
    words = _read(folder / "words.yaml", WordsFile, faults)
    senses = _read(folder / "senses.yaml", SensesFile, faults)
    told = _read(folder / "circumstances.yaml", CircumstancesFile, faults)
    work = _read(folder / "work_done.yaml", WorkFile, faults)
    urgency = _read(folder / "urgency.yaml", UrgencyFile, faults)
    scope = _read(folder / "scope.yaml", ScopeFile, faults)
    files = [_read(path, PhraseFile, faults) for path in sorted((folder / "phrases").glob("*.yaml"))]
    if faults:
        raise RulesFaulty(faults)
    of_classes = (words, *files)
    classes = {name: words for _, file in of_classes for name, words in file.classes.items()}
    class_spots = tuple(
        Spot(document, ("classes", name), name) for document, file in of_classes for name in file.classes
    )
    faults.extend(_check_named_twice(class_spots))
    phrases: dict[str, Said] = {}
    either_end = tuple(sided for _, file in files for sided in file.either_end.values())
    for document, file in files:
        faults.extend(_merge(phrases, document, file, knowledge))
    faults.extend(_check_ids(told[0], told[1], work[0], work[1], knowledge))
    if faults:
        raise RulesFaulty(faults)
    return Language(
        classes,
        words[1].abbreviations,
        words[1].set_phrases,
        words[1].well_spelt,
        senses[1],
        phrases,
        either_end,
        told[1].circumstances,
        work[1],
        urgency[1],
        scope[1],
        folder / CLAUSE_MODEL,
        (*_spot_patterns(files, told, work), *_spot_urgency(*urgency)),
        class_spots,
    )


def _read(path: Path, kind: type[Any], faults: list[Fault]) -> Any:  # noqa: ANN401 - one of several models
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        faults.extend(error.faults)
        return None
    return document, validate(kind, document, (), faults)


def _spot_patterns(
    files: list[tuple[Document, PhraseFile]],
    told: tuple[Document, CircumstancesFile],
    work: tuple[Document, WorkFile],
) -> Iterator[Spot]:
    """Give every pattern with its place."""
    for document, file in files:
        entries: list[tuple[Key, Said | Sided]] = [
            (("phrases", name), said) for name, said in file.phrases.items()
        ]
        entries += [(("either_end", name), sided) for name, sided in file.either_end.items()]
        for key, entry in entries:
            yield from _spot_list(document, (*key, "present"), entry.present)
            yield from _spot_list(document, (*key, "absent"), entry.absent)
    for name, values in told[1].circumstances.items():
        for value, phrases in values.items():
            yield from _spot_list(told[0], ("circumstances", name, value), phrases)
    for cause, phrases in work[1].done.items():
        yield from _spot_list(work[0], ("done", cause), phrases)


def _spot_urgency(document: Document, file: UrgencyFile) -> Iterator[Spot]:
    for kind, phrases in file.urgent.items():
        yield from _spot_list(document, ("urgent", kind), phrases)


def _spot_list(document: Document, key: Key, texts: Phrases) -> Iterator[Spot]:
    yield from (Spot(document, (*key, place), text) for place, text in enumerate(texts))


def _check_named_twice(spots: tuple[Spot, ...]) -> Iterator[Fault]:
    first: dict[str, Spot] = {}
    for spot in spots:
        known = first.setdefault(spot.text, spot)
        if known is not spot:
            wrong = f"the class '{spot.text}' stands in {known.document.path} too"
            yield spot.document.fault(spot.key, "class-twice", wrong, "give it a name of its own")


def _merge(
    phrases: dict[str, Said], document: Document, file: PhraseFile, knowledge: Knowledge
) -> list[Fault]:
    faults = []
    keys: list[tuple[tuple[str, ...], str]] = [(("phrases", name), name) for name in file.phrases]
    for entry, sided in file.either_end.items():
        keys += [(("either_end", entry, "open"), sided.open), (("either_end", entry, "closed"), sided.closed)]
    for key, name in keys:
        if name not in knowledge.observations or knowledge.observations[name].derived:
            cure = suggest(name, knowledge.observations, "name an observation that is seen")
            faults.append(document.fault(key, "vocabulary", f"no observation '{name}'", cure))
    for name, said in file.phrases.items():
        known = phrases.get(name, Said())
        merged = Said(present=known.present + said.present, absent=known.absent + said.absent)
        for text in sorted({*merged.present} & {*merged.absent} & {*said.present, *said.absent}):
            state = "absent" if text in said.absent else "present"
            key = ("phrases", name, state, getattr(said, state).index(text))
            wrong = f"'{text}' says that '{name}' is present and that it is absent"
            faults.append(document.fault(key, "phrase-of-both", wrong, "keep one"))
        phrases[name] = merged
    return faults


def _check_ids(
    told_in: Document, told: CircumstancesFile, done_in: Document, done: WorkFile, knowledge: Knowledge
) -> list[Fault]:
    faults = []
    for name, values in told.circumstances.items():
        known = knowledge.circumstances.get(name)
        for value in values:
            if known is None or value not in known.values:
                cure = suggest(
                    value, known.values if known else (), "name a circumstance and one of its values"
                )
                key = ("circumstances", name, value)
                faults.append(told_in.fault(key, "vocabulary", f"no circumstance '{name}: {value}'", cure))
    for cause in done.done:
        if cause not in knowledge.causes:
            cure = suggest(cause, knowledge.causes, "name a cause")
            faults.append(done_in.fault(("done", cause), "vocabulary", f"no cause '{cause}'", cure))
    return faults
