"""The one loader: a rules directory becomes a `Knowledge`, or one error with every fault.

Takes a directory, gives Knowledge; may import the rest of knowledge.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.errors import Fault, FaultsFound, RulesFaulty, fault_in_file
from diagnose.knowledge.acting import Access, Cautions, Inspection
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Consequence, Exclusives, RuleFile
from diagnose.knowledge.references import check_references
from diagnose.knowledge.seeing import (
    Circumstance,
    Family,
    Group,
    Observation,
    Reading,
    SightCondition,
)
from diagnose.knowledge.settings import FORMAT_VERSION, Settings
from diagnose.knowledge.validate import suggest, validate
from diagnose.knowledge.yaml_nodes import Document, Key, read_yaml

# One file each: its sections, and the model of each entry of a section.
_SECTIONS: dict[str, dict[str, Any]] = {
    "observations.yaml": {
        "conditions": dict[str, SightCondition],
        "families": dict[str, Family],
        "groups": dict[str, Group],
        "observations": dict[str, Observation],
    },
    "circumstances.yaml": {"circumstances": dict[str, Circumstance]},
    "readings.yaml": {"readings": dict[str, Reading]},
    "consequences.yaml": {"consequences": dict[str, Consequence]},
}
_WHOLE: dict[str, Any] = {
    "format.yaml": Settings,
    "access.yaml": Access,
    "cautions.yaml": Cautions,
    "exclusive.yaml": Exclusives,
}
# Folders that hold no causes; drafts are linted by the checks and never ranked.
_NOT_PARTS = {"inspections", "derived", "_draft", "language"}


@dataclass
class _Found:
    """What has been read so far: models by id, the place of each, and the faults."""

    models: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[tuple[str, str], tuple[Document, Key]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def add(self, section: str, name: str, model: object, document: Document, key: Key) -> None:
        entries = self.models.setdefault(section, {})
        if name in entries:
            first = self.places[section, name][0].path
            self.faults.append(
                document.fault(
                    key, "doubled-id", f"'{name}' is also defined in {first}", "rename one of them"
                )
            )
            return
        entries[name] = model
        self.places[section, name] = (document, key)


def load_knowledge(directory: Path) -> Knowledge:
    """Read every rule file of a directory.

    Args:
        directory: The rules directory.

    Returns:
        The frozen knowledge base.

    Raises:
        RulesFaulty: Listing every fault found, sorted by file and line.
    """
    if not directory.is_dir():
        raise RulesFaulty(
            [
                fault_in_file(
                    directory,
                    "no-rules",
                    "no such rules directory",
                    "give --rules a folder that holds format.yaml",
                )
            ]
        )
    found = _Found()
    for path in sorted(directory.rglob("*.yaml")):
        relative = path.relative_to(directory)
        if relative.parts[0] not in {"_draft", "language"}:
            _read_file(path, relative, found)
    _require_files(directory, found)
    if not found.faults:
        found.faults.extend(check_references(found.models, found.places))
    if found.faults:
        raise RulesFaulty(found.faults)
    return _assemble(directory, found)


def _require_files(directory: Path, found: _Found) -> None:
    for name in (*_SECTIONS, *_WHOLE):
        if not (directory / name).is_file():
            found.faults.append(
                fault_in_file(directory / name, "missing-file", "the file is missing", "add it")
            )


def _read_file(path: Path, relative: Path, found: _Found) -> None:
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        found.faults.extend(error.faults)
        return
    if not isinstance(document.data, dict):
        found.faults.append(document.fault((), "model", "the file holds no mapping", "start it with a key"))
    elif str(relative) in _WHOLE:
        _read_whole(str(relative), document, found)
    elif str(relative) in _SECTIONS:
        _read_sections(document, _SECTIONS[str(relative)], found)
    elif relative.parts[0] == "inspections":
        _read_sections(document, {"inspections": dict[str, Inspection]}, found)
    elif relative.parts[0] == "derived":
        _read_rules(document, found)
    elif len(relative.parts) == 2 and relative.parts[0] not in _NOT_PARTS:
        _read_cause(document, relative, found)
    else:
        found.faults.append(
            document.fault((), "stray-file", "no rule file belongs here", "move it into a part's folder")
        )


def _read_whole(name: str, document: Document, found: _Found) -> None:
    if name == "format.yaml" and not _is_our_version(document, found):
        return
    model = validate(_WHOLE[name], document, (), found.faults)
    if model is not None:
        found.add("whole", name, model, document, ())


def _is_our_version(document: Document, found: _Found) -> bool:
    version = document.data.get("format_version") if isinstance(document.data, dict) else None
    if version == FORMAT_VERSION:
        return True
    newer = isinstance(version, int) and version > FORMAT_VERSION
    cure = "update the program" if newer else "bring the rules to the program's format"
    found.faults.append(
        document.fault(
            ("format_version",),
            "format-version",
            f"rules of format {version!r}; this program reads {FORMAT_VERSION}",
            cure,
        )
    )
    return False


def _read_sections(document: Document, sections: dict[str, Any], found: _Found) -> None:
    assert isinstance(document.data, dict)  # noqa: S101 - told to the type checker; checked by the caller
    for name in document.data:
        if name not in sections:
            line, column = document.key_place((), name)
            found.faults.append(
                Fault(
                    document.path,
                    line,
                    column,
                    "unknown-key",
                    f"'{name}' is no section here",
                    suggest(name, sections, "remove it"),
                )
            )
            continue
        entries = validate(sections[name], document, (name,), found.faults)
        for key, model in (entries or {}).items():
            found.add(name, key, model, document, (name, key))


def _read_rules(document: Document, found: _Found) -> None:
    file: RuleFile | None = validate(RuleFile, document, (), found.faults)
    for number, rule in enumerate(file.rules if file else ()):
        found.add("rules", rule.id, rule, document, ("rules", number))


def _read_cause(document: Document, relative: Path, found: _Found) -> None:
    cause = validate(Cause, document, (), found.faults)
    if cause is None:
        return
    if (cause.part, f"{cause.cause}.yaml") != relative.parts:
        found.faults.append(
            document.fault(
                ("cause",),
                "file-name",
                f"cause '{cause.cause}' of part '{cause.part}' stands in {relative}",
                f"move it to {cause.part}/{cause.cause}.yaml",
            )
        )
    found.add("causes", cause.cause, cause, document, ())


def _assemble(directory: Path, found: _Found) -> Knowledge:
    def section(name: str) -> dict[str, Any]:
        return dict(sorted(found.models.get(name, {}).items()))

    whole = found.models["whole"]
    return Knowledge(
        version=_digest(directory),
        settings=whole["format.yaml"],
        access=whole["access.yaml"],
        cautions=whole["cautions.yaml"],
        exclusives=whole["exclusive.yaml"],
        **{
            name: section(name)
            for name in (
                "conditions",
                "families",
                "groups",
                "observations",
                "circumstances",
                "readings",
                "inspections",
                "causes",
                "consequences",
                "rules",
            )
        },
    )


def _digest(directory: Path) -> str:
    """Digest all rule files, so that a result tells which rules made it."""
    digest = hashlib.sha256()
    for path in _rule_paths(directory):
        digest.update(path.relative_to(directory).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:12]


def _rule_paths(directory: Path) -> Iterator[Path]:
    return (p for p in sorted(directory.rglob("*.yaml")) if "_draft" not in p.parts)
