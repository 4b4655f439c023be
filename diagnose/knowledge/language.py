"""The language of tickets: word classes, phrases for observations, circumstances and work done, scope.

Takes `rules/language/`, gives `Language`; may import the rest of knowledge. Read only where text is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from diagnose.errors import Fault, FaultsFound, RulesFaulty
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.validate import suggest, validate
from diagnose.knowledge.words import Id, Model
from diagnose.knowledge.yaml_nodes import Document, read_yaml

Phrase = Annotated[str, Field(min_length=1, max_length=500)]
Phrases = tuple[Phrase, ...]


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

    no_change: Phrases
    done: dict[Id, Phrases]


class ScopeFile(Model):
    """Words of our units and of other devices, each with its weight in decibans for "another device"."""

    start: float
    limit: float
    words: dict[Phrase, float]


@dataclass(frozen=True)
class Language:
    """Everything that reading a ticket needs."""

    classes: dict[str, Phrases]
    abbreviations: dict[str, str]
    set_phrases: Phrases
    well_spelt: Phrases
    senses: SensesFile
    phrases: dict[str, Said]
    either_end: tuple[Sided, ...]
    circumstances: dict[str, dict[str, Phrases]]
    work: WorkFile
    scope: ScopeFile


def load_language(directory: Path, knowledge: Knowledge) -> Language:
    """Read the language files of a rules directory.

    Raises:
        RulesFaulty: Listing every fault found.
    """
    faults: list[Fault] = []
    folder = directory / "language"
    words = _read(folder / "words.yaml", WordsFile, faults)
    senses = _read(folder / "senses.yaml", SensesFile, faults)
    told = _read(folder / "circumstances.yaml", CircumstancesFile, faults)
    work = _read(folder / "work_done.yaml", WorkFile, faults)
    scope = _read(folder / "scope.yaml", ScopeFile, faults)
    files = [_read(path, PhraseFile, faults) for path in sorted((folder / "phrases").glob("*.yaml"))]
    if faults:
        raise RulesFaulty(faults)
    classes = {**words[1].classes, **{n: c for _, file in files for n, c in file.classes.items()}}
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
        scope[1],
    )


def _read(path: Path, kind: type[Any], faults: list[Fault]) -> Any:  # noqa: ANN401 - one of several models
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        faults.extend(error.faults)
        return None
    return document, validate(kind, document, (), faults)


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
        phrases[name] = Said(present=known.present + said.present, absent=known.absent + said.absent)
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
