"""The command `train`: picks a case, plays or resumes a lesson, grades it and debriefs.

Takes arguments, prints; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import random
import secrets
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import ExitCode, InputFaulty, fault_in_file

if TYPE_CHECKING:
    from diagnose.facts.case_file import Case
    from diagnose.training.debrief import Debrief
    from diagnose.training.records import Lesson
    from diagnose.training.scene import Tutor

_LARGEST_FILE = 4_000_000
_SEEDS = 2**32


def train(  # noqa: PLR0917 - the command library passes options by name
    case: Annotated[
        str | None, typer.Argument(help="Case file or id of a shipped case; one is picked if left out.")
    ] = None,
    part: Annotated[str | None, typer.Option("--part", help="Pick a case of this part of the unit.")] = None,
    seed: Annotated[
        int | None,
        typer.Option(
            "--seed", min=0, max=_SEEDS - 1, help="Draws what the case leaves out; replays a lesson."
        ),
    ] = None,
    save: Annotated[Path | None, typer.Option("--save", help="Keep the lesson in this file.")] = None,
    resume: Annotated[
        Path | None, typer.Option("--resume", help="Go on with a lesson kept in this file.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write the debrief as a page to this file.")
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print the debrief as JSON; the talk goes to the other stream.")
    ] = False,
) -> None:
    """Play a lesson on a case: ask, look, suspect, close; then see what each step was worth."""
    from diagnose.interfaces.lesson import LessonConsole
    from diagnose.training.lesson import start_lesson
    from diagnose.training.scene import build_scene

    if resume and (case or seed is not None or part):
        raise typer.BadParameter("--resume goes on with its own case and seed; leave the others out")
    tutor = build_tutor()
    kept = read_lesson(resume) if resume else None
    number = kept.seed if kept else secrets.randbelow(_SEEDS) if seed is None else seed
    played = _load(tutor, kept.case if kept else case or _pick_case(tutor, part, number), resume)
    scene = build_scene(tutor, played, number)
    lesson = kept or start_lesson(scene, number)
    _warn_of_other_rules(lesson, tutor)
    keeper = Keeper(save or resume)
    lesson = LessonConsole(scene, lesson, keeper.keep, out=sys.stderr if as_json else None).run()
    if lesson.closing is None:
        keeper.leave_open(lesson)
        raise typer.Exit(ExitCode.DONE)
    keeper.leave_closed()
    show_debrief(tutor, played, lesson, html, as_json=as_json)


class Keeper:
    """Keeps a lesson in a file after every move; a file that nobody named goes when the lesson is closed."""

    def __init__(self, path: Path | None) -> None:
        """Take the file to keep the lesson in, or none to have one named."""
        self.is_named = path is not None
        self.path = path

    def keep(self, lesson: Lesson) -> None:
        """Write the lesson whole; what cannot be written does not end the lesson."""
        import tempfile

        from diagnose.interfaces.console import free_name
        from diagnose.interfaces.writing import write_whole

        text = lesson.model_dump_json(indent=1)
        try:
            self.path = self.path or free_name(Path(), "lesson", "json")
            write_whole(self.path, text)
        except InputFaulty as error:
            print(error, file=sys.stderr)
            self.path = free_name(Path(tempfile.gettempdir()), "lesson", "json")
            print(f"The lesson goes on and is kept in {self.path}", file=sys.stderr)
            write_whole(self.path, text)

    def leave_open(self, lesson: Lesson) -> None:
        """Say how to go on with an open lesson; one without a move is kept nowhere."""
        if not lesson.moves:
            print("Nothing was done; no lesson is kept.", file=sys.stderr)
            return
        if self.path is None or not self.path.exists():
            self.keep(lesson)
        print(f"Lesson kept: {self.path}\nGo on with: diagnose train --resume {self.path}", file=sys.stderr)

    def leave_closed(self) -> None:
        """Take away the file that nobody asked for."""
        if self.path and not self.is_named:
            self.path.unlink(missing_ok=True)


def build_tutor() -> Tutor:
    """Make the rule base ready to teach.

    Raises:
        RulesFaulty: It cannot be used.
    """
    from diagnose.explanation.reasoner import Reasoner
    from diagnose.facts.from_ticket import TicketReader
    from diagnose.knowledge.language import load_language
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory
    from diagnose.training.scene import Tutor

    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    return Tutor(Reasoner(knowledge), reader)


def read_lesson(path: Path) -> Lesson:
    """Read a kept lesson.

    Raises:
        InputFaulty: The file cannot be read or holds no lesson.
    """
    from pydantic import ValidationError

    from diagnose.training.records import Lesson

    try:
        if path.stat().st_size > _LARGEST_FILE:
            raise InputFaulty(
                [fault_in_file(path, "lesson", "the file is too large for a lesson", "name another file")]
            )
        return Lesson.model_validate_json(path.read_bytes())
    except OSError as error:
        reason = error.strerror or str(error)
        raise InputFaulty(
            [fault_in_file(path, "unreadable", f"cannot be read: {reason}", "name another file")]
        ) from None
    except ValidationError:
        cure = "name the file that the lesson was kept in, or start another lesson"
        raise InputFaulty([fault_in_file(path, "lesson", "the file holds no lesson", cure)]) from None


def show_debrief(tutor: Tutor, case: Case, lesson: Lesson, html: Path | None, *, as_json: bool) -> None:
    """Grade a closed lesson against the program's run and show the debrief."""
    from diagnose.interfaces.writing import write_whole
    from diagnose.training.debrief_html import render_debrief_html
    from diagnose.training.debrief_text import render_debrief

    document = debrief_lesson(tutor, case, lesson)
    if html is not None:
        write_whole(html, render_debrief_html(document))
        print(f"Written: {html}", file=sys.stderr)
    if as_json:
        print(document.model_dump_json(indent=2))
    else:
        print(f"\n{render_debrief(document)}", end="")


def debrief_lesson(tutor: Tutor, case: Case, lesson: Lesson) -> Debrief:
    """Grade a closed lesson against the program's run on the same answers and build the debrief."""
    from diagnose.training.debriefing import build_debrief
    from diagnose.training.grading import grade_lesson
    from diagnose.training.program import run_program
    from diagnose.training.scene import build_scene

    scene = build_scene(tutor, case, lesson.seed)
    program = run_program(scene, lesson.seed)
    return build_debrief(scene, grade_lesson(scene, lesson, program), program)


def _load(tutor: Tutor, named: str, resume: Path | None) -> Case:
    """Load a case by path or id; an unknown one names the nearest."""
    from diagnose.facts.case_file import list_case_files, load_case
    from diagnose.knowledge.shipped import cases_directory
    from diagnose.knowledge.validate import suggest

    shipped = cases_directory() / f"{named}.yaml"
    if shipped.is_file() and not Path(named).is_file():
        return load_case(shipped, tutor.knowledge)
    if Path(named).is_file():
        return load_case(Path(named), tutor.knowledge)
    root = cases_directory()
    ids = [path.relative_to(root).with_suffix("").as_posix() for path in list_case_files(root)]
    cure = suggest(named, ids, "give a case file, or part/cause-01 of a shipped one")
    where = f" (named by {resume})" if resume else ""
    raise InputFaulty([fault_in_file(named, "no-case", f"there is no such case{where}", cure)])


def _pick_case(tutor: Tutor, part: str | None, seed: int) -> str:
    """Pick a shipped case by the seed, of one part where one is named."""
    from diagnose.facts.case_file import list_case_files
    from diagnose.knowledge.shipped import cases_directory
    from diagnose.knowledge.validate import suggest

    del tutor
    root = cases_directory()
    ids = [path.relative_to(root).with_suffix("").as_posix() for path in list_case_files(root)]
    parts = sorted({name.partition("/")[0] for name in ids})
    if part is not None and part not in parts:
        raise typer.BadParameter(
            f"no part '{part}'; {suggest(part, parts, 'use one of ' + ', '.join(parts))}"
        )
    fitting = [name for name in ids if part is None or name.startswith(f"{part}/")]
    return random.Random(seed).choice(fitting)  # noqa: S311 - a lesson to practise on is no secret


def _warn_of_other_rules(lesson: Lesson, tutor: Tutor) -> None:
    if lesson.rules_version != tutor.knowledge.version:
        print(
            f"The lesson was begun with rules {lesson.rules_version}, these are {tutor.knowledge.version}: what the "
            "case leaves out may be answered otherwise from here on.",
            file=sys.stderr,
        )
