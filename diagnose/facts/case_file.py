"""Case files: circumstances, facts and readings of one call and, kept apart, the confirmed cause.

Takes a YAML file, gives a checked `Case` and its `Evidence`; may import knowledge and facts.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Literal

import yaml
from pydantic import Field, field_validator

from diagnose.errors import Fault, FaultsFound, InputFaulty, fault_in_file
from diagnose.facts.case_readings import CaseReading, check_readings, decide_readings
from diagnose.facts.combine import merge_evidence
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.facts.unit_record import circumstances_of_unit
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import suggest, validate
from diagnose.knowledge.words import Id, Model, Text
from diagnose.knowledge.yaml_nodes import Document, Key, read_yaml

# Folder of the small cases that a rule names; they are no calls and nobody scores them.
NEAR_MISSES = "near_misses"
# Folder of the unit records beside the cases.
UNITS = "units"


class CaseFact(Model):
    """One observation as the case tells it."""

    observation: Id
    state: Literal["present", "absent", "unknown"]
    words: str = ""
    origin: OriginKind = OriginKind.CASE
    after: str = ""


class Repair(Model):
    """A repair that was done, by the cause, cause.mode or state it puts right."""

    cause: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?$")]
    still_faulty: bool = True
    words: str = ""


class Confirmed(Model):
    """What was really found; never read by the reasoning."""

    cause: Id
    mode: Id | None = None
    also: tuple[Id, ...] = ()
    found: Text
    misleading: Text | None = None


class CloseOut(Model):
    """How a call was closed."""

    root_cause: Id | None = None
    done: str = ""
    parts: str = ""
    minutes: Annotated[float, Field(ge=0)] | None = None
    left: str = ""


class Case(Model):
    """One call: what is known, and apart from it what was found.

    Attributes:
        unsure: What typed words may mean, as their reader weighs it, beside the facts that were read of them.
    """

    case: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_/-]{0,99}$")]
    title: Text = "untitled"
    call: str = ""
    unit: UnitRecord | None = None
    circumstances: dict[Id, tuple[Id, ...]] = Field(default_factory=dict)
    nameplate: dict[Id, tuple[Id, ...]] = Field(default_factory=dict)
    facts: Annotated[tuple[CaseFact, ...], Field(max_length=500)] = ()
    readings: Annotated[tuple[CaseReading, ...], Field(max_length=200)] = ()
    repairs: Annotated[tuple[Repair, ...], Field(max_length=50)] = ()
    confirmed: Confirmed | None = None
    closed: CloseOut | None = None
    unsure: Evidence = Field(default_factory=Evidence)

    @field_validator("circumstances", "nameplate", mode="before")
    @classmethod
    def _one_or_several(cls, given: Any) -> Any:  # noqa: ANN401 - data not yet checked
        if not isinstance(given, dict):
            return given
        return {name: (value,) if isinstance(value, str) else value for name, value in given.items()}

    @field_validator("unsure")
    @classmethod
    def _ensure_chances(cls, given: Evidence) -> Evidence:
        """Refuse what has a place of its own in a case, and chances that are none."""
        if given.facts or given.circumstances or given.repaired:
            raise ValueError("facts, circumstances and repairs stand in sections of their own")
        for mention in given.mentions:
            chances = (mention.weight, mention.nothing, *(chance for _, _, chance in mention.chances))
            if not all(0 <= chance <= 1 for chance in chances):
                raise ValueError("every weight and chance of a clause lies between 0 and 1")
        json.dumps(asdict(given), allow_nan=False)
        return given


def load_case(path: Path, knowledge: Knowledge) -> Case:
    """Read and check one case file.

    Raises:
        InputFaulty: Listing every fault with file, line and column.
    """
    document, case = _read_case(path)
    faults = tuple(check_case(case, document, knowledge))
    if faults:
        raise InputFaulty(faults)
    return case


def load_call(path: Path, knowledge: Knowledge) -> Case:
    """Read a case file as it stood before anybody knew the cause: what was found is dropped unread.

    Raises:
        InputFaulty: Listing every fault of the rest.
    """
    document, case = _read_case(path)
    call = case.model_copy(update={"confirmed": None, "closed": None})
    faults = tuple(check_case(call, document, knowledge))
    if faults:
        raise InputFaulty(faults)
    return call


def read_found(path: Path) -> tuple[str, str]:
    """Give the id of a case file and its confirmed cause, empty where none was found.

    Raises:
        InputFaulty: The file holds no case.
    """
    _, case = _read_case(path)
    return case.case, case.confirmed.cause if case.confirmed else ""


def _read_case(path: Path) -> tuple[Document, Case]:
    """Read a case file without looking at any rule.

    Raises:
        InputFaulty: The file cannot be read or holds no case.
    """
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        raise InputFaulty(error.faults) from None
    if not isinstance(document.data, dict):
        raise InputFaulty(
            [document.fault((), "model", "the file holds no case", "start it with `case: name`")]
        )
    faults: list[Fault] = []
    case: Case | None = validate(Case, document, (), faults)
    if case is None:
        raise InputFaulty(faults)
    return document, case


def check_case(case: Case, document: Document, knowledge: Knowledge) -> Iterator[Fault]:
    """Check every id, state and value of a case against the rule base."""
    yield from _check_circumstances(case, document, knowledge)
    yield from _check_facts(case, document, knowledge)
    yield from check_readings(case.readings, case.unit, document, knowledge)
    yield from _check_causes(case, document, knowledge)
    yield from _check_repairs(case, document, knowledge)


def _check_causes(case: Case, document: Document, knowledge: Knowledge) -> Iterator[Fault]:
    """Check what was found: the confirmed cause, its mode, what else, and the root in the close-out."""
    named: list[tuple[Key, str]] = []
    if case.confirmed:
        named.append((("confirmed", "cause"), case.confirmed.cause))
        named += [(("confirmed", "also", number), cause) for number, cause in enumerate(case.confirmed.also)]
    if case.closed and case.closed.root_cause:
        named.append((("closed", "root_cause"), case.closed.root_cause))
    for key, cause in named:
        if cause not in knowledge.causes and cause != "unlisted":
            cure = suggest(cause, knowledge.causes, "name a cause of the rule base, or `unlisted`")
            yield document.fault(key, "vocabulary", f"no cause '{cause}'", cure)
    if case.confirmed and case.confirmed.mode and case.confirmed.cause in knowledge.causes:
        modes, mode = knowledge.causes[case.confirmed.cause].modes, case.confirmed.mode
        if mode not in modes:
            wrong, cure = f"'{case.confirmed.cause}' has no mode '{mode}'", suggest(mode, modes, "remove it")
            yield document.fault(("confirmed", "mode"), "vocabulary", wrong, cure)


def _check_repairs(case: Case, document: Document, knowledge: Knowledge) -> Iterator[Fault]:
    done = [repair.cause for repair in case.repairs]
    for number, cause in enumerate(done):
        if knowledge.named_remedy(cause) is None:
            cure = suggest(
                cause, {*knowledge.causes, *knowledge.consequences}, "name a cause of the rule base"
            )
            yield document.fault(("repairs", number, "cause"), "vocabulary", f"no cause '{cause}'", cure)
    for section in ("facts", "readings"):
        for number, told in enumerate(getattr(case, section)):
            if told.after and told.after not in done:
                cure = suggest(told.after, done, "name a cause under `repairs`, or leave `after` out")
                wrong = f"'{told.after}' is no repair of this case"
                yield document.fault((section, number, "after"), "vocabulary", wrong, cure)


def _check_circumstances(case: Case, document: Document, knowledge: Knowledge) -> Iterator[Fault]:
    for section in ("circumstances", "nameplate"):
        for name, values in getattr(case, section).items():
            known = knowledge.circumstances.get(name)
            if known is None:
                cure = suggest(name, knowledge.circumstances, "remove it")
                yield document.fault((section, name), "vocabulary", f"no circumstance '{name}'", cure)
                continue
            for value in values:
                if value not in known.values:
                    cure = suggest(value, known.values, "use one of " + ", ".join(known.values))
                    yield document.fault(
                        (section, name), "vocabulary", f"'{name}' has no value '{value}'", cure
                    )
            if len(values) > 1 and not known.several:
                yield document.fault(
                    (section, name), "model", f"'{name}' takes one value", "keep one of them"
                )


def _check_facts(case: Case, document: Document, knowledge: Knowledge) -> Iterator[Fault]:
    told: dict[tuple[str, OriginKind, str], str] = {}
    for number, fact in enumerate(case.facts):
        key = ("facts", number, "observation")
        record = knowledge.observations.get(fact.observation)
        if record is None:
            cure = suggest(fact.observation, knowledge.observations, "use `diagnose show` to find it")
            yield document.fault(key, "vocabulary", f"no observation '{fact.observation}'", cure)
        elif record.derived:
            cure = "state what was seen; the rules conclude this"
            yield document.fault(key, "derived", f"'{fact.observation}' is concluded, never entered", cure)
        if fact.state == "unknown":
            continue
        same = (fact.observation, fact.origin, fact.after)
        if told.setdefault(same, fact.state) != fact.state:
            wrong = f"'{fact.observation}' is both {told[same]} and {fact.state} from the same origin"
            yield document.fault(key, "both-states", wrong, "keep the one that was seen")


def evidence_of_case(case: Case, knowledge: Knowledge) -> Evidence:
    """Turn a checked case into evidence; the confirmed cause plays no part."""
    facts = [*_facts(case, knowledge), *decide_readings(case.readings, case.unit, knowledge)]
    circumstances = [
        CircumstanceFact(name, value, section == "nameplate", Origin(OriginKind.CASE, section))
        for section in ("circumstances", "nameplate")
        for name, values in getattr(case, section).items()
        for value in values
    ]
    if case.unit is not None:
        circumstances.extend(circumstances_of_unit(case.unit, knowledge))
    repaired = tuple(repair.cause for repair in case.repairs if repair.still_faulty)
    told = Evidence(_still_valid(case, facts, knowledge), tuple(circumstances), repaired)
    return merge_evidence(told, case.unsure)


def _facts(case: Case, knowledge: Knowledge) -> Iterator[Fact]:
    for told in case.facts:
        state = State(told.state)
        likelihood = trust_pair(knowledge, told.origin, state)
        yield Fact(told.observation, state, Origin(told.origin, told.words), likelihood, told.after)


def _still_valid(case: Case, facts: list[Fact], knowledge: Knowledge) -> tuple[Fact, ...]:
    """Drop facts that a repair made stale, and facts told again after a later repair."""
    moments = ["", *(repair.cause for repair in case.repairs)]
    oldest = {fact.observation: 0 for fact in facts}
    for number, name in enumerate(moments[1:], start=1):
        oldest.update(dict.fromkeys(knowledge.observe_again(name), number))
    for fact in facts:
        oldest[fact.observation] = max(oldest[fact.observation], _moment(moments, fact))
    return tuple(fact for fact in facts if _moment(moments, fact) >= oldest[fact.observation])


def _moment(moments: list[str], fact: Fact) -> int:
    """Count the repairs that were done before a fact was seen; of the same repair twice, the last."""
    return len(moments) - 1 - moments[::-1].index(fact.after)


def write_case(case: Case) -> str:
    """Render a case as the YAML text that `load_case` reads back to an equal case."""
    data = case.model_dump(mode="json", exclude_defaults=True)
    if "unsure" in data:
        data["unsure"] = _Numbers(data["unsure"])
    return yaml.dump(
        data, Dumper=_CaseDumper, sort_keys=False, allow_unicode=True, width=100, default_flow_style=None
    )


class _Numbers(dict[str, Any]):
    """Figures that nobody reads line by line."""


class _CaseDumper(yaml.SafeDumper):
    """Writes text that reads back as it was."""

    def represent_text(self, text: str) -> yaml.ScalarNode:
        """Quote the line breaks of Unicode, which plain and single-quoted YAML would fold to spaces."""
        style = '"' if any(mark in text for mark in "\x85\u2028\u2029") else None
        return self.represent_scalar("tag:yaml.org,2002:str", text, style)


_CaseDumper.add_representer(
    _Numbers,
    lambda dumper, data: dumper.represent_mapping("tag:yaml.org,2002:map", data, flow_style=True),
)
_CaseDumper.add_representer(str, _CaseDumper.represent_text)


def known_circumstances(case: Case, knowledge: Knowledge) -> frozenset[str]:
    """Name the circumstances that the case or its unit record tells."""
    from_unit = circumstances_of_unit(case.unit, knowledge) if case.unit else ()
    return frozenset({*case.circumstances, *case.nameplate, *(fact.circumstance for fact in from_unit)})


def load_cases(directory: Path, knowledge: Knowledge) -> dict[str, Case]:
    """Read every case file of a directory but the near misses of its rules and the unit records.

    Returns:
        Cases by id, in order of id.

    Raises:
        InputFaulty: Listing the faults of all files.
    """
    return _load_each(list_case_files(directory), directory, knowledge)


def list_case_files(directory: Path) -> tuple[Path, ...]:
    """List the files of a directory that hold a call, in order of path."""
    paths = sorted(directory.rglob("*.yaml"))
    return tuple(path for path in paths if path.relative_to(directory).parts[0] not in {NEAR_MISSES, UNITS})


def load_near_misses(directory: Path, knowledge: Knowledge) -> dict[str, Case]:
    """Read the small cases on which each rule fires or just does not.

    Args:
        directory: The directory of the case files.
        knowledge: The rule base.

    Returns:
        Cases by id, `near_misses/` in front.

    Raises:
        InputFaulty: Listing the faults of all files.
    """
    return _load_each(sorted((directory / NEAR_MISSES).rglob("*.yaml")), directory, knowledge)


def _load_each(paths: Iterable[Path], directory: Path, knowledge: Knowledge) -> dict[str, Case]:
    cases: dict[str, Case] = {}
    faults: list[Fault] = []
    for path in paths:
        try:
            case = load_case(path, knowledge)
        except InputFaulty as error:
            faults.extend(error.faults)
            continue
        expected = path.relative_to(directory).with_suffix("").as_posix()
        if case.case != expected:
            wrong = f"case '{case.case}' stands in {expected}.yaml"
            faults.append(fault_in_file(path, "file-name", wrong, "give the case the name of its file"))
        cases[case.case] = case
    if faults:
        raise InputFaulty(faults)
    return cases
