"""The command `check --fix`: brings every rule file into the one look; and the lines on drafts.

Takes a rules directory, rewrites files, prints; may import everything above.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from diagnose.errors import Fault, FaultsFound, RulesFaulty
from diagnose.interfaces.writing import write_whole
from diagnose.knowledge.drafts import FOLDER, Draft, home_of, lint_drafts
from diagnose.knowledge.file_kinds import NOT_RULES
from diagnose.knowledge.formatting import format_text, kind_of_file
from diagnose.knowledge.yaml_nodes import Document, read_yaml

# Folders beside the rules whose files have a form of their own.
_NOT_OURS = NOT_RULES - {FOLDER}


def run_fix(directory: Path) -> None:
    """Write every rule file and draft of a directory in the one look; all or none.

    Raises:
        RulesFaulty: A file is no YAML; nothing was written.
    """
    changed = format_files(directory)
    for path, text in changed.items():
        write_whole(path, text)
        print(path)
    print(f"{len(changed)} files rewritten", file=sys.stderr)


def format_files(directory: Path) -> dict[Path, str]:
    """Give the text of every file that would look otherwise.

    Raises:
        RulesFaulty: Listing the files that are no YAML.
    """
    changed: dict[Path, str] = {}
    faults: list[Fault] = []
    for path in sorted(directory.rglob("*.yaml")):
        if path.relative_to(directory).parts[0] in _NOT_OURS:
            continue
        try:
            document = read_yaml(path)
        except FaultsFound as error:
            faults.extend(error.faults)
            continue
        if isinstance(document.data, dict):
            text = format_text(document, kind_of_file(_place(document, path.relative_to(directory))))
            if text != document.text:
                changed[path] = text
    if faults:
        raise RulesFaulty(faults)
    return changed


def _place(document: Document, relative: Path) -> Path:
    """Give the place of a file, of a draft the place it is to go."""
    return Path(home_of(document)) if relative.parts[0] == FOLDER else relative


def print_drafts(directory: Path) -> None:
    """Print what each draft still lacks, which are ready, and which have lain too long."""
    for draft in lint_drafts(directory, datetime.now(tz=UTC).date()):
        print("\n".join(say_draft(draft)))


def say_draft(draft: Draft) -> Iterator[str]:
    """Say of one draft whether it is ready, how old it is, and what it lacks; never an error."""
    if draft.is_ready:
        yield f"draft {draft.path}: ready; move it to {draft.home} and take `drafted` out"
    if draft.is_old:
        yield f"draft {draft.path}: {draft.age_days} days old; finish it or drop it"
    yield from (f"draft {fault}" for fault in draft.faults)
