"""Typed words become facts of a case, each shown with the words it came from, to be struck out where wrong.

Takes what a reader of tickets made of words, gives sentences and a case; may import knowledge and facts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.explanation.reasons import state_sentence
from diagnose.explanation.text import shorten
from diagnose.facts.case_file import Case, CaseFact, Repair
from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import LANGUAGE, load_language

# Makes the reader of words when the first ones are typed; None where the rule base has no language.
BuildReader = Callable[[], TicketReader | None]
UNTITLED: str = Case.model_fields["title"].default
_TITLE_WIDTH = 60
# The parts of evidence that are said one by one; a case has a place of their own for each.
_SAID = ("facts", "circumstances", "repaired")


@dataclass(frozen=True)
class Heard:
    """Words that were read and not yet looked over.

    Attributes:
        before: The case as it stood before them.
        evidence: What was read, without what the case knew already.
        begin: Place of its first character among all words typed so far.
    """

    before: Case
    evidence: Evidence
    begin: int = 0

    @property
    def count(self) -> int:
        """Count what can be struck out."""
        told = self.evidence
        return len(told.facts) + len(told.circumstances) + len(told.repaired)


def build_reader(knowledge: Knowledge, rules: Path) -> TicketReader | None:
    """Make the reader of words of a rule base; None where it has no language."""
    return TicketReader(knowledge, load_language(rules, knowledge)) if (rules / LANGUAGE).is_dir() else None


def build_no_reader() -> None:
    """Stand in for a reader where no words are to be read."""


def keep_new(evidence: Evidence, known: Collection[str], knowledge: Knowledge) -> Evidence:
    """Leave out of what was read the circumstances that are known, and all but one value where one holds.

    Args:
        evidence: As read.
        known: Circumstances that were told outright; the direct answer stands.
        knowledge: Tells which circumstances take several values.

    Returns:
        The evidence with each circumstance and value once.
    """
    kept: dict[tuple[str, str], CircumstanceFact] = {}
    for fact in evidence.circumstances:
        is_taken = any(name == fact.circumstance for name, _ in kept)
        several = knowledge.circumstances[fact.circumstance].several
        if fact.circumstance not in known and (several or not is_taken):
            kept.setdefault((fact.circumstance, fact.value), fact)
    return replace(evidence, circumstances=tuple(kept.values()))


def say_each(evidence: Evidence, knowledge: Knowledge) -> Iterator[str]:
    """Say each thing that was read in the words of the rule base, then the words it came from."""
    for fact in evidence.facts:
        yield _quote(state_sentence(knowledge, fact.observation, fact.state), fact)
    for told in evidence.circumstances:
        record = knowledge.circumstances[told.circumstance]
        yield _quote(f"{record.question} {record.values[told.value]}", told)
    for name in evidence.repaired:
        remedy = knowledge.named_remedy(name)
        yield f"Done, and it changed nothing: {remedy.says if remedy else name}"


def _quote(says: str, told: Fact | CircumstanceFact) -> str:
    doubt = "" if told.origin.kind.value == "ticket" else f", {told.origin.kind.value}"
    return f'{says} ("{told.origin.words}"{doubt})'


def strike_out(evidence: Evidence, numbers: Collection[int]) -> Evidence:
    """Leave out what is wrong, counted from 0 in the order in which it was said."""
    parts, first = {}, 0
    for name in _SAID:
        items = getattr(evidence, name)
        parts[name] = tuple(item for number, item in enumerate(items, first) if number not in numbers)
        first += len(items)
    return replace(evidence, **parts)


def blank_out(words: str, heard: Heard, numbers: Collection[int]) -> str:
    """Put spaces in place of the words from which something wrong was read, so that they count no more.

    Args:
        words: All words typed so far.
        heard: What was read of the last ones.
        numbers: What is wrong of it, counted from 0 in the order in which it was said.

    Returns:
        Words of the same length.
    """
    quoted: tuple[Fact | CircumstanceFact, ...] = (*heard.evidence.facts, *heard.evidence.circumstances)
    for number, item in enumerate(quoted):
        if number in numbers and item.origin.start is not None and item.origin.end is not None:
            start, end = heard.begin + item.origin.start, heard.begin + item.origin.end
            words = f"{words[:start]}{' ' * (end - start)}{words[end:]}"
    return words


def keep_unsaid(evidence: Evidence) -> Evidence:
    """Keep of what was read only what is not said one by one."""
    return replace(evidence, **dict.fromkeys(_SAID, ()))


def list_doubtful(evidence: Evidence, struck: Collection[int] = ()) -> tuple[str, ...]:
    """Name the observations to ask outright: those struck out, and those read both ways."""
    named = [fact.observation for number, fact in enumerate(evidence.facts) if number in struck]
    return tuple(dict.fromkeys((*named, *_list_told_both_ways(evidence))))


def _list_told_both_ways(evidence: Evidence) -> list[str]:
    """List what one origin tells both ways: a case holds neither."""
    told = {(fact.observation, fact.origin.kind, fact.state) for fact in evidence.facts}
    present = {(name, kind) for name, kind, state in told if state is State.PRESENT}
    return sorted({name for name, kind, state in told if state is State.ABSENT and (name, kind) in present})


def add_words(case: Case, evidence: Evidence, knowledge: Knowledge, *, is_confirmed: bool = False) -> Case:
    """Write what was read into a case.

    Work that changed nothing was done before the call: it comes first, and what was seen as found
    was seen after it.

    Args:
        case: The case as it stands.
        evidence: What was read of the words.
        knowledge: Names the remedies.
        is_confirmed: Whether it was looked over: then what was stated counts like an answer; hearsay stays so.

    Returns:
        The case with facts, circumstances and repairs; what is read both ways is left out.
    """
    done = {repair.cause for repair in case.repairs}
    tried = tuple(name for name in evidence.repaired if name not in done and knowledge.named_remedy(name))
    if tried:
        case = _put_first(case, tried)
    told = dict(case.circumstances)
    for fact in evidence.circumstances:
        told[fact.circumstance] = tuple(dict.fromkeys((*told.get(fact.circumstance, ()), fact.value)))
    after = case.repairs[-1].cause if case.repairs else ""
    doubtful = _list_told_both_ways(evidence)
    stated = OriginKind.CASE if is_confirmed else OriginKind.TICKET
    new = tuple(_write_fact(f, after, stated) for f in evidence.facts if f.observation not in doubtful)
    same = {(fact.observation, fact.origin, fact.after) for fact in new}
    kept = tuple(f for f in case.facts if (f.observation, f.origin, f.after) not in same)
    return case.model_copy(update={"circumstances": told, "facts": (*kept, *new)})


def add_call(case: Case, text: str) -> Case:
    """Keep typed words in the call, one line each."""
    return case.model_copy(update={"call": f"{case.call.rstrip()}\n{text}".strip()})


def name_case(case: Case, words: str) -> Case:
    """Give a case that has no title one of its first words."""
    first = re.split(r"[.!?](?:\s|$)", words.strip(" .!?"), maxsplit=1)[0].strip()
    if case.title != UNTITLED or not first:
        return case
    title = shorten(first, _TITLE_WIDTH)
    return case.model_copy(update={"title": f"{title[0].upper()}{title[1:]}"})


def _put_first(case: Case, tried: tuple[str, ...]) -> Case:
    """Put repairs before all that the case holds."""
    return case.model_copy(
        update={
            "repairs": (*(Repair(cause=name) for name in tried), *case.repairs),
            **{
                part: tuple(
                    told if told.after else told.model_copy(update={"after": tried[-1]})
                    for told in getattr(case, part)
                )
                for part in ("facts", "readings")
            },
        }
    )


def _write_fact(fact: Fact, after: str, stated: OriginKind) -> CaseFact:
    return CaseFact(
        observation=fact.observation,
        state=fact.state.value,
        words=fact.origin.words,
        origin=stated if fact.origin.kind is OriginKind.TICKET else fact.origin.kind,
        after=after,
    )
