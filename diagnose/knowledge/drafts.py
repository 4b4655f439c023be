"""Drafts: rules not yet finished, read like rules and never ranked.

Takes a rules directory, gives what each file in its `_draft` folder still lacks; may import the loader.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from diagnose.errors import Fault, FaultsFound
from diagnose.knowledge.file_kinds import SECTIONS
from diagnose.knowledge.loader import check_beside
from diagnose.knowledge.yaml_nodes import Document, read_yaml

FOLDER = "_draft"
OLD_AFTER_DAYS = 90


@dataclass(frozen=True)
class Draft:
    """One draft and what it still lacks.

    Attributes:
        path: The file.
        home: Where it goes once it is ready, from the rules directory; empty where nobody can tell.
        age_days: Days since the date it bears; None without a date.
        faults: What the checks say of it; empty when it is ready.
    """

    path: Path
    home: str
    age_days: int | None
    faults: tuple[Fault, ...]

    @property
    def is_ready(self) -> bool:
        """Tell whether nothing keeps it from being a rule."""
        return not self.faults

    @property
    def is_old(self) -> bool:
        """Tell whether it has lain for longer than a draft should."""
        return self.age_days is not None and self.age_days > OLD_AFTER_DAYS


def lint_drafts(directory: Path, today: date) -> tuple[Draft, ...]:
    """Read every draft of a rules directory as if it were a rule.

    Args:
        directory: A rules directory without faults.
        today: The day that ages are counted to.

    Returns:
        The drafts in order of their paths.

    Raises:
        RulesFaulty: The rules themselves have faults.
    """
    paths = sorted((directory / FOLDER).rglob("*.yaml"))
    if not paths:
        return ()
    faults: dict[str, list[Fault]] = {str(path): [] for path in paths}
    documents = [document for path in paths if (document := _read(path, faults)) is not None]
    homes = {document.path: home_of(document) for document in documents}
    dates = {document.path: _read_date(document, faults) for document in documents}
    bare = [
        (_without_date(document), Path(homes[document.path]))
        for document in documents
        if homes[document.path]
    ]
    for fault in check_beside(directory, bare):
        if fault.path in faults:
            faults[fault.path].append(fault)
    return tuple(
        Draft(path, homes.get(str(path), ""), _age(dates.get(str(path)), today), _sorted(faults[str(path)]))
        for path in paths
    )


def home_of(document: Document) -> str:
    """Tell from what a draft holds where it belongs in the rules directory; empty where nobody can tell."""
    data = document.data if isinstance(document.data, dict) else {}
    if "cause" in data:
        return f"{data.get('part')}/{data['cause']}.yaml"
    name = Path(document.path).name
    if "rules" in data:
        return f"derived/{name}"
    if "inspections" in data:
        return f"inspections/{name}"
    return next((file for file, sections in SECTIONS.items() if set(sections) & set(data)), "")


def _read(path: Path, faults: dict[str, list[Fault]]) -> Document | None:
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        faults[str(path)].extend(error.faults)
        return None
    if not home_of(document):
        wrong, cure = (
            "nobody can tell what this draft is to be",
            "start it with `cause:`, `rules:` or `inspections:`",
        )
        faults[str(path)].append(document.fault((), "draft", wrong, cure))
    return document


def _read_date(document: Document, faults: dict[str, list[Fault]]) -> date | None:
    written = document.data.get("drafted") if isinstance(document.data, dict) else None
    try:
        return date.fromisoformat(str(written))
    except ValueError:
        wrong = "the draft bears no date" if written is None else f"'{str(written)[:40]}' is no date"
        fault = document.fault(("drafted",), "draft-date", wrong, "add for example `drafted: 2026-03-31`")
        faults[document.path].append(fault)
        return None


def _without_date(document: Document) -> Document:
    data = document.data if isinstance(document.data, dict) else {}
    return replace(document, data={key: value for key, value in data.items() if key != "drafted"})


def _age(drafted: date | None, today: date) -> int | None:
    return (today - drafted).days if drafted else None


def _sorted(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(set(faults)))
