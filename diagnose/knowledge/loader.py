"""The one loader: a rules directory becomes a `Knowledge`, or one error with every fault.

Takes a directory, gives Knowledge; may import the rest of knowledge.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

from diagnose.errors import Fault, FaultsFound, RulesFaulty, fault_in_file
from diagnose.knowledge.accepted import AcceptedFindings
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.file_kinds import INSPECTIONS, NOT_RULES, OPTIONAL, SECTIONS, WHOLE
from diagnose.knowledge.located import Located
from diagnose.knowledge.mentions import Mentions
from diagnose.knowledge.reasons import Cause, RuleFile
from diagnose.knowledge.references import check_references
from diagnose.knowledge.settings import FORMAT_VERSION
from diagnose.knowledge.structure import check_structure
from diagnose.knowledge.validate import suggest, validate
from diagnose.knowledge.yaml_nodes import Document, Key, read_yaml


@dataclass
class _Found:
    """What has been read so far: models by id, the place of each, and the faults."""

    models: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[tuple[str, str], tuple[Document, Key]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def add(self, section: str, name: str, model: object, document: Document, key: Key) -> None:
        entries = self.models.setdefault(section, {})
        if name in entries:
            first, first_key = self.places[section, name]
            where = f"{first.path}:{first.place(first_key)[0]}"
            self.faults.append(
                document.fault(
                    key, "doubled-id", f"'{name}' is also defined at {where}", "rename one of them"
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
    return _assemble(directory, _read_all(directory))


def load_located(directory: Path) -> Located:
    """Read every rule file of a directory and keep the place of every entry.

    Raises:
        RulesFaulty: Listing every fault found, sorted by file and line.
    """
    found = _read_all(directory)
    return Located(_assemble(directory, found), found.places)


def check_beside(directory: Path, drafts: Iterable[tuple[Document, Path]]) -> tuple[Fault, ...]:
    """Read drafts as if they stood among the rules, each where it is to go.

    Args:
        directory: A rules directory without faults.
        drafts: Documents, and the place of each from the rules directory.

    Returns:
        The faults of the drafts; what other files then say of them is left out.

    Raises:
        RulesFaulty: The rules themselves have faults.
    """
    found, paths = _read_all(directory), set()
    for document, place in drafts:
        paths.add(document.path)
        reader = _choose_reader(place)
        if reader is not None:
            reader(document, place, found)
    faults = list(found.faults)
    for check in (check_references, check_structure):
        if not faults:
            faults.extend(check(found.models, found.places))
    return tuple(fault for fault in faults if fault.path in paths)


def _read_all(directory: Path) -> _Found:
    """Read all files and check what they name.

    Raises:
        RulesFaulty: Listing every fault found.
    """
    if not directory.is_dir():
        cure = "give a folder that holds format.yaml"
        raise RulesFaulty([fault_in_file(directory, "no-rules", "no such rules directory", cure)])
    found = _Found()
    _ensure_our_version(directory / "format.yaml")
    for path in _rule_paths(directory):
        _read_file(path, path.relative_to(directory), found)
    _require_files(directory, found)
    # an entry that could not be read would look unknown wherever it is named
    for check in (check_references, check_structure):
        if not found.faults:
            found.faults.extend(check(found.models, found.places))
    if found.faults:
        raise RulesFaulty(found.faults)
    return found


def _rule_paths(directory: Path) -> list[Path]:
    """List the rule files, and files that only look like one, sorted."""
    return [
        path
        for path in sorted(directory.rglob("*"))
        if path.suffix.lower() in {".yaml", ".yml"}
        and not any(part in NOT_RULES or part.startswith(".") for part in path.relative_to(directory).parts)
    ]


def _ensure_our_version(path: Path) -> None:
    """Refuse rules of another format, where every further fault would be noise.

    Raises:
        RulesFaulty: Saying which side is old.
    """
    try:
        document = read_yaml(path)
    except FaultsFound:
        return  # told again when all files are read
    version = document.data.get("format_version") if isinstance(document.data, dict) else None
    if type(version) is not int or version != FORMAT_VERSION:
        is_newer = isinstance(version, int) and version > FORMAT_VERSION
        cure = "update the program" if is_newer else "bring the rules to the program's format"
        wrong = f"rules of format {str(version)[:20]}; this program reads {FORMAT_VERSION}"
        raise RulesFaulty([document.fault(("format_version",), "format-version", wrong, cure)])


def _require_files(directory: Path, found: _Found) -> None:
    for name in (*SECTIONS, *WHOLE):
        if not (directory / name).is_file():
            found.faults.append(
                fault_in_file(directory / name, "missing-file", "the file is missing", "add it")
            )


def _read_file(path: Path, relative: Path, found: _Found) -> None:
    reader = _choose_reader(relative)
    if reader is None:
        cure = "move it into a part's folder and end its name in .yaml"
        found.faults.append(fault_in_file(path, "stray-file", "no rule file belongs here", cure))
        return
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        found.faults.extend(error.faults)
        return
    if isinstance(document.data, dict):
        reader(document, relative, found)
    else:
        found.faults.append(document.fault((), "model", "the file holds no mapping", "start it with a key"))


def _choose_reader(relative: Path) -> Callable[[Document, Path, _Found], None] | None:
    name, folder = relative.as_posix(), relative.parts[0] if len(relative.parts) > 1 else ""
    if relative.suffix != ".yaml":
        return None
    if name in WHOLE or name in OPTIONAL:
        return _read_whole
    if name in SECTIONS or folder == "inspections":
        return _read_sections
    if folder == "derived":
        return _read_rules
    return _read_cause if len(relative.parts) == 2 else None


def _read_whole(document: Document, relative: Path, found: _Found) -> None:
    model = validate({**WHOLE, **OPTIONAL}[relative.name], document, (), found.faults)
    if model is not None:
        found.add("whole", relative.name, model, document, ())


def _read_sections(document: Document, relative: Path, found: _Found) -> None:
    sections = SECTIONS.get(relative.as_posix(), INSPECTIONS)
    for name in cast("dict[str, object]", document.data):
        if name not in sections:
            line, column = document.key_place((), name)
            wrong, cure = f"'{name[:60]}' is no section here", suggest(name, sections, "remove it")
            found.faults.append(Fault(document.path, line, column, "unknown-key", wrong, cure))
            continue
        entries = validate(sections[name], document, (name,), found.faults)
        for key, model in (entries or {}).items():
            found.add(name, key, model, document, (name, key))


def _read_rules(document: Document, _: Path, found: _Found) -> None:
    file: RuleFile | None = validate(RuleFile, document, (), found.faults)
    for number, rule in enumerate(file.rules if file else ()):
        found.add("rules", rule.id, rule, document, ("rules", number))


def _read_cause(document: Document, relative: Path, found: _Found) -> None:
    cause = validate(Cause, document, (), found.faults)
    if cause is None:
        return
    if (cause.part, f"{cause.cause}.yaml") != relative.parts:
        wrong = f"cause '{cause.cause}' of part '{cause.part}' stands in {relative.as_posix()}"
        cure = f"move it to {cause.part}/{cause.cause}.yaml"
        found.faults.append(document.fault(("cause",), "file-name", wrong, cure))
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
        accepted=whole.get("accepted.yaml", AcceptedFindings()),
        stroke_limits=whole.get("stroke_limits.yaml"),
        mentions=whole.get("mentions.yaml", Mentions()),
        **{
            name: section(name)
            for name in (
                "conditions",
                "families",
                "groups",
                "observations",
                "circumstances",
                "readings",
                "computed",
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
