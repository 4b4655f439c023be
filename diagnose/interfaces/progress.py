"""The commands `progress`: what comes next, a learner's lessons, a class, tables, exams, seals, answer sheets.

Takes arguments, prints; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import getpass
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import ExitCode, InputFaulty, fault_in_file

if TYPE_CHECKING:
    from diagnose.facts.case_file import Case
    from diagnose.interfaces.progress_book import ProgressBook
    from diagnose.training.exam import Sealed
    from diagnose.training.progress import Kept
    from diagnose.training.scene import Tutor

app = typer.Typer(
    help="Progress of learners: what comes next, lessons, a class, exams, answer sheets.",
    no_args_is_help=True,
    rich_markup_mode=None,
)
_SEEDS = 2**32
_LARGEST_RESULT = 4_000_000
# A key shorter than this is guessed: estimate, no source.
_SHORTEST_KEY = 16

FileOption = Annotated[
    Path | None, typer.Option("--progress", help="Progress file; the one of this user if left out.")
]
LearnerOption = Annotated[
    str | None, typer.Option("--learner", help="Name of the learner; the login name if left out.")
]
KeyOption = Annotated[
    Path | None, typer.Option("--key", help="File with the instructor's key, 16 characters or more.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print as JSON.")]
HtmlOption = Annotated[Path | None, typer.Option("--html", help="Write a page to this file.")]


def name_learner(given: str | None) -> str:
    """Name the learner: as given, else the login name.

    Raises:
        typer.BadParameter: The name is empty, too long, or holds control characters.
    """
    name = (getpass.getuser() if given is None else given).strip()
    if not 0 < len(name) <= 100 or not name.isprintable():
        raise typer.BadParameter("a learner's name has 1 to 100 characters that can be printed")
    return name


def open_book(path: Path | None) -> ProgressBook:
    """Open the progress file named, or the user's own."""
    from diagnose.interfaces.progress_book import ProgressBook

    return ProgressBook(path)


@app.command("next")
def show_next(
    learner: LearnerOption = None,
    path: FileOption = None,
    *,
    part: Annotated[str | None, typer.Option("--part", help="Only this part of the unit.")] = None,
    difficulty: Annotated[
        int | None, typer.Option("--difficulty", min=1, max=5, help="Only cases this difficult.")
    ] = None,
    most: Annotated[int, typer.Option("--most", min=1, max=200, help="How many cases to name.")] = 5,
    as_json: JsonOption = False,
) -> None:
    """Say what a learner should practise next, and why; the causes are in the JSON only."""
    from diagnose.explanation.text import WIDTH, wrap
    from diagnose.interfaces.lesson_pick import Wanted
    from diagnose.interfaces.practising import list_next
    from diagnose.interfaces.train_command import build_tutor

    name = name_learner(learner)
    kept = open_book(path).list_kept(name)
    found = list_next(build_tutor(), kept, Wanted(part, difficulty), most)
    if as_json:
        print(json.dumps([one.model_dump() for one in found], indent=2))
        return
    for number, one in enumerate(found, start=1):
        said = f"{number}  {one.title} ({one.part}, difficulty {one.difficulty} of 5): {one.reason}"
        print("\n".join(wrap(said, WIDTH, hang=3)))
    if not found:
        print("No case is like that; ask for another part or difficulty.")


@app.command("show")
def show_learner(learner: LearnerOption = None, path: FileOption = None, as_json: JsonOption = False) -> None:
    """Show a learner's lessons, what is due when, and which causes were taken for each other."""
    from diagnose.interfaces.practising import render_learner
    from diagnose.training.practice import list_confusions, schedule_causes

    name = name_learner(learner)
    kept = open_book(path).list_kept(name)
    reviews, confusions = schedule_causes(kept), list_confusions(kept)
    if as_json:
        document = {
            "learner": name,
            "lessons": [one.model_dump(mode="json") for one in kept],
            "reviews": [one.model_dump(mode="json") for one in reviews.values()],
            "confusions": [one.model_dump(mode="json") for one in confusions],
        }
        print(json.dumps(document, indent=2))
    else:
        print(render_learner(name, kept, reviews, confusions), end="")


@app.command("class")
def show_class(
    path: FileOption = None,
    table: Annotated[Path | None, typer.Option("--csv", help="Write the learners to this CSV file.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Sum a class up: lessons, safety stops, right causes, minutes, calibration, confusions."""
    from diagnose.interfaces.writing import write_whole
    from diagnose.training.class_summary import render_class, sum_up_class, write_class_table

    summary = sum_up_class(open_book(path).list_kept())
    if table is not None:
        write_whole(table, write_class_table(summary))
        print(f"Written: {table}", file=sys.stderr)
    print(summary.model_dump_json(indent=2) if as_json else render_class(summary).rstrip("\n"))


@app.command("export")
def export_lessons(
    out: Annotated[Path, typer.Argument(metavar="FILE.csv", help="CSV file, one lesson a row.")],
    path: FileOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the count as JSON.")] = False,
) -> None:
    """Write every lesson of every learner to a CSV file that a spreadsheet opens safely."""
    from diagnose.interfaces.writing import write_whole
    from diagnose.training.class_summary import write_lessons_table

    kept = open_book(path).list_kept()
    write_whole(out, write_lessons_table(kept))
    print(
        json.dumps({"lessons": len(kept), "file": str(out)})
        if as_json
        else f"Lessons written: {len(kept)}, to {out}"
    )


@app.command("resume")
def resume_lesson(
    case: Annotated[str | None, typer.Argument(help="Its case file, where it is no shipped one.")] = None,
    learner: LearnerOption = None,
    path: FileOption = None,
    html: HtmlOption = None,
    as_json: JsonOption = False,
) -> None:
    """Go on with the learner's lesson begun last and not closed."""
    from diagnose.interfaces.sitting import Shown, Sitting

    name, book = name_learner(learner), open_book(path)
    left = [one for one in book.list_kept(name) if one.outcome is None and one.allowed is None]
    if not left:
        raise typer.BadParameter(f"{name} has no open lesson; begin one with: diagnose train --learner")
    tutor, played = _load(case or left[-1].lesson.case)
    if played.case != left[-1].lesson.case:
        raise typer.BadParameter(f"the open lesson is on another case than {played.case}; name its file")
    Sitting(tutor, played, left[-1], book).run_lesson(Shown(html, as_json))


@app.command("exam")
def hold_exam(
    case: Annotated[str, typer.Argument(help="Case file or id of a shipped case.")],
    result: Annotated[Path, typer.Option("--result", help="File for the sealed result.")],
    learner: LearnerOption = None,
    *,
    minutes: Annotated[float, typer.Option("--minutes", min=1, max=600, help="Minutes by the clock.")] = 30,
    seed: Annotated[
        int, typer.Option("--seed", min=0, max=_SEEDS - 1, help="Draws what the case leaves out.")
    ] = 1,
    key: KeyOption = None,
    path: FileOption = None,
    as_json: JsonOption = False,
) -> None:
    """Hold an exam: no hints, a time limit, no debrief, a sealed result; begun again it goes on."""
    from diagnose.interfaces.sitting import Paper, Sitting, begin_kept, read_clock
    from diagnose.training.scene import build_scene

    if result.exists():
        raise typer.BadParameter(f"{result} is there already; a sealed result is not overwritten")
    if not result.absolute().parent.is_dir():
        raise typer.BadParameter(f"there is no directory {result.absolute().parent} for the result")
    name, book, secret = name_learner(learner), open_book(path), read_key(key)
    tutor, played = _load(case)
    kept = _find_exam(book, name, played.case, seed) or begin_kept(
        build_scene(tutor, played, seed), seed, name, read_clock(), minutes
    )
    book.keep(kept)
    Sitting(tutor, played, kept, book).run_exam(Paper(result, secret), as_json=as_json)


def _find_exam(book: ProgressBook, learner: str, case: str, seed: int) -> Kept | None:
    """Find the exam on a case that a learner has begun and not closed; its clock runs on."""
    try:
        kept = book.list_kept(learner)
    except InputFaulty as error:
        print(error, file=sys.stderr)
        return None
    found = (
        one
        for one in kept
        if one.allowed and one.outcome is None and (one.lesson.case, one.lesson.seed) == (case, seed)
    )
    return next(found, None)


@app.command("verify")
def verify_result(
    result: Annotated[Path, typer.Argument(help="Sealed result of an exam.")],
    key: KeyOption = None,
    as_json: JsonOption = False,
) -> None:
    """Tell whether a sealed result is whole, or what in it was changed (exit code 4)."""
    from diagnose.training.exam import verify_exam

    sealed = _read_sealed(result)
    try:
        verdict = verify_exam(sealed, read_key(key))
    except ValueError as error:
        raise typer.BadParameter(str(error)) from None
    if as_json:
        print(verdict.model_dump_json(indent=2))
    else:
        print(f"{result}: {verdict.says}")
        for says, names in (
            ("changed", verdict.changed),
            ("taken out", verdict.missing),
            ("put in", verdict.added),
        ):
            if names:
                print(f"  {says}: {', '.join(names)}")
    if not verdict.whole:
        raise typer.Exit(ExitCode.INPUT_FAULTY)


@app.command("sheet")
def print_sheet(
    case: Annotated[str, typer.Argument(help="Case file or id of a shipped case.")],
    seed: Annotated[int, typer.Option("--seed", min=0, max=_SEEDS - 1, help="The seed of the lesson.")] = 1,
    html: HtmlOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print the instructor's answer sheet of a case and seed."""
    from diagnose.interfaces.difficulty_cache import find_difficulty
    from diagnose.interfaces.writing import write_whole
    from diagnose.training.answer_sheet import (
        build_answer_sheet,
        render_answer_sheet,
        render_answer_sheet_html,
    )

    tutor, played = _load(case)
    sheet = build_answer_sheet(tutor, played, seed, find_difficulty(tutor, played))
    if html is not None:
        write_whole(html, render_answer_sheet_html(sheet))
        print(f"Written: {html}", file=sys.stderr)
    if as_json:
        print(sheet.model_dump_json(indent=2))
    elif html is None:
        print(render_answer_sheet(sheet), end="")


def read_key(path: Path | None) -> bytes | None:
    """Read an instructor's key; the line end that an editor adds does not count.

    Raises:
        InputFaulty: The file cannot be read, or the key is too short.
    """
    if path is None:
        return None
    try:
        key = path.read_bytes().strip()
    except OSError as error:
        wrong = f"cannot be read: {error.strerror or error}"
        raise InputFaulty([fault_in_file(path, "unreadable", wrong, "name the file with the key")]) from None
    if len(key) < _SHORTEST_KEY:
        wrong = f"the key has {len(key)} characters"
        raise InputFaulty([fault_in_file(path, "key", wrong, f"use {_SHORTEST_KEY} or more")])
    return key


def _read_sealed(path: Path) -> Sealed:
    from pydantic import ValidationError

    from diagnose.training.exam import Sealed

    try:
        with path.open("rb") as stream:
            return Sealed.model_validate_json(stream.read(_LARGEST_RESULT))
    except OSError as error:
        wrong = f"cannot be read: {error.strerror or error}"
        raise InputFaulty([fault_in_file(path, "unreadable", wrong, "name another file")]) from None
    except ValidationError:
        wrong = "the file holds no sealed result"
        raise InputFaulty(
            [fault_in_file(path, "sealed", wrong, "name the file that an exam wrote")]
        ) from None


def _load(named: str) -> tuple[Tutor, Case]:
    from diagnose.interfaces.lesson_pick import load_named_case
    from diagnose.interfaces.train_command import build_tutor

    tutor = build_tutor()
    return tutor, load_named_case(tutor, named)
