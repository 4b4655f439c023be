"""The command `train`: picks a case, plays or resumes a lesson, grades it and debriefs.

Takes arguments, prints; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import secrets
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import ExitCode
from diagnose.interfaces.lesson_file import Keeper, read_lesson
from diagnose.interfaces.lesson_pick import Wanted, load_named_case, pick_case

if TYPE_CHECKING:
    from diagnose.facts.case_file import Case
    from diagnose.training.debrief import Debrief
    from diagnose.training.records import Lesson
    from diagnose.training.scene import Tutor

_SEEDS = 2**32


CaseArgument = Annotated[
    str | None, typer.Argument(help="Case file or id of a shipped case; one is picked if left out.")
]
PartOption = Annotated[str | None, typer.Option("--part", help="Pick a case of this part of the unit.")]
DifficultyOption = Annotated[
    int | None, typer.Option("--difficulty", min=1, max=5, help="Pick a case this difficult, 1 to 5.")
]
SeedOption = Annotated[
    int | None,
    typer.Option("--seed", min=0, max=_SEEDS - 1, help="Draws what the case leaves out; replays a lesson."),
]
SaveOption = Annotated[Path | None, typer.Option("--save", help="Keep the lesson in this file.")]
ResumeOption = Annotated[Path | None, typer.Option("--resume", help="Go on with a lesson kept in this file.")]
HtmlOption = Annotated[Path | None, typer.Option("--html", help="Write the debrief as a page to this file.")]
JsonOption = Annotated[
    bool, typer.Option("--json", help="Print the debrief as JSON; the talk goes to the other stream.")
]
LearnerOption = Annotated[
    str | None,
    typer.Option(
        "--learner", help="Keep the lesson as this learner's; without a case, pick what to practise."
    ),
]
ProgressOption = Annotated[
    Path | None, typer.Option("--progress", help="Progress file; with --learner the user's if left out.")
]
NewOption = Annotated[
    Path | None, typer.Option("--new", help="Write a case to fill in to this file, and stop.")
]


def train(
    case: CaseArgument = None,
    *,
    part: PartOption = None,
    difficulty: DifficultyOption = None,
    seed: SeedOption = None,
    save: SaveOption = None,
    resume: ResumeOption = None,
    html: HtmlOption = None,
    as_json: JsonOption = False,
    learner: LearnerOption = None,
    progress: ProgressOption = None,
    new: NewOption = None,
) -> None:
    """Play a lesson on a case: ask, look, suspect, close; then see what each step was worth."""
    from diagnose.interfaces.lesson import LessonConsole
    from diagnose.training.lesson import start_lesson
    from diagnose.training.scene import build_scene

    if new is not None:
        from diagnose.interfaces.new_case import write_new_case

        write_new_case(new)
        return
    wanted = Wanted(part, difficulty)
    _ensure_one_way(case, resume, seed, wanted)
    if learner is not None or progress is not None:
        if save or resume:
            raise typer.BadParameter("the progress file keeps the lesson; leave --save and --resume out")
        _train_learner(learner, progress, case, wanted, _draw_seed(seed), html, as_json=as_json)
        return
    tutor = build_tutor()
    kept = read_lesson(resume) if resume else None
    number = kept.seed if kept else _draw_seed(seed)
    named = kept.case if kept else case
    played = load_named_case(tutor, named, str(resume or "")) if named else pick_case(tutor, wanted, number)
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


def _draw_seed(given: int | None) -> int:
    return secrets.randbelow(_SEEDS) if given is None else given


def _train_learner(  # noqa: PLR0917 - the options of the command, handed on
    learner: str | None,
    progress: Path | None,
    case: str | None,
    wanted: Wanted,
    seed: int,
    html: Path | None,
    *,
    as_json: bool,
) -> None:
    """Play a lesson that the progress file keeps."""
    from diagnose.interfaces.practising import pick_for_learner
    from diagnose.interfaces.progress import name_learner
    from diagnose.interfaces.progress_book import ProgressBook
    from diagnose.interfaces.sitting import Shown, Sitting, begin_kept, read_clock
    from diagnose.training.scene import build_scene

    name, book, tutor = name_learner(learner), ProgressBook(progress), build_tutor()
    book.take_in()
    played = load_named_case(tutor, case) if case else pick_for_learner(tutor, book, name, wanted)
    kept = begin_kept(build_scene(tutor, played, seed), seed, name, read_clock())
    Sitting(tutor, played, kept, book).run_lesson(Shown(html, as_json))


def _ensure_one_way(case: str | None, resume: Path | None, seed: int | None, wanted: Wanted) -> None:
    """Refuse to name a case in two ways."""
    is_picked = wanted != Wanted()
    if resume and (case or is_picked or seed is not None):
        raise typer.BadParameter("--resume goes on with its own case and seed; leave the others out")
    if case and is_picked:
        raise typer.BadParameter("a case is named already; --part and --difficulty pick one")


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


def _warn_of_other_rules(lesson: Lesson, tutor: Tutor) -> None:
    if lesson.rules_version != tutor.knowledge.version:
        print(
            f"The lesson was begun with rules {lesson.rules_version}, these are {tutor.knowledge.version}: what the "
            "case leaves out may be answered otherwise from here on.",
            file=sys.stderr,
        )
