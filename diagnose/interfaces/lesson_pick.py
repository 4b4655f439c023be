"""The case of a lesson: loaded by id or file, or picked by part and difficulty.

Takes what was asked for, gives a case; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from diagnose.errors import InputFaulty, fault_in_file

if TYPE_CHECKING:
    from diagnose.facts.case_file import Case
    from diagnose.training.scene import Tutor


@dataclass(frozen=True)
class Wanted:
    """What a picked case should be like; nothing asked for means any case."""

    part: str | None = None
    difficulty: int | None = None


def list_case_ids() -> tuple[str, ...]:
    """List the ids of the shipped cases that can be played."""
    from diagnose.facts.case_file import list_case_files
    from diagnose.knowledge.shipped import cases_directory

    root = cases_directory()
    return tuple(path.relative_to(root).with_suffix("").as_posix() for path in list_case_files(root))


def load_named_case(tutor: Tutor, named: str, named_by: str = "") -> Case:
    """Load a case by path, or a shipped one by id.

    Args:
        tutor: The rule base made ready.
        named: Path or id.
        named_by: What named it, said where there is no such case.

    Raises:
        InputFaulty: There is no such case, or its file is faulty; an unknown one names the nearest.
    """
    from diagnose.facts.case_file import load_case
    from diagnose.knowledge.shipped import cases_directory
    from diagnose.knowledge.validate import suggest

    if Path(named).is_file():
        return load_case(Path(named), tutor.knowledge)
    ids = list_case_ids()
    if named in ids:
        return load_case(cases_directory() / f"{named}.yaml", tutor.knowledge)
    cure = suggest(named, ids, "give a case file, or part/cause-01 of a shipped one")
    where = f" (named by {named_by})" if named_by else ""
    raise InputFaulty([fault_in_file(named, "no-case", f"there is no such case{where}", cure)])


def pick_case(tutor: Tutor, wanted: Wanted, seed: int) -> Case:
    """Pick a shipped case by the seed.

    Args:
        tutor: The rule base made ready.
        wanted: Part and difficulty, where one is asked for.
        seed: The same seed picks the same case.

    Raises:
        typer.BadParameter: No such part, or no case of that part is so difficult.
    """
    ids = _list_of_part(wanted.part)
    random.Random(seed).shuffle(ids)  # noqa: S311 - a lesson to practise on is no secret
    if wanted.difficulty is None:
        return load_named_case(tutor, ids[0])
    # measuring one for the first time takes up to seconds, so they are tried in turn until one fits
    for name in ids:
        case = load_named_case(tutor, name)
        if _grade(tutor, case) == wanted.difficulty:
            return case
    of_part = f" of the part {wanted.part}" if wanted.part else ""
    raise typer.BadParameter(f"no case{of_part} has difficulty {wanted.difficulty}; ask for another one")


def _list_of_part(part: str | None) -> list[str]:
    from diagnose.knowledge.validate import suggest

    ids = list_case_ids()
    parts = sorted({name.partition("/")[0] for name in ids})
    if part is not None and part not in parts:
        raise typer.BadParameter(
            f"no part '{part}'; {suggest(part, parts, 'use one of ' + ', '.join(parts))}"
        )
    return [name for name in ids if part is None or name.startswith(f"{part}/")]


def _grade(tutor: Tutor, case: Case) -> int:
    from diagnose.interfaces.difficulty_cache import find_difficulty

    return find_difficulty(tutor, case).grade
