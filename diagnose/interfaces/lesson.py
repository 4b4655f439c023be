"""The terminal of a lesson: shows the call and the choices, takes lines, keeps every move.

Takes a scene and a lesson, gives the lesson as far as it came; may import everything above. Works with a
keyboard, in a pipe, in 80 columns and without colour.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from typing import TextIO

from rich.console import Console as Screen

from diagnose.explanation.text import WIDTH, wrap
from diagnose.interfaces.console import PatientScreen, ReadLine, build_line_reader
from diagnose.interfaces.lesson_words import HELP, Typed, read_typed
from diagnose.knowledge.base import Knowledge
from diagnose.training.choices import Choice, find_by_words, list_choices
from diagnose.training.finding import find_causes, name_cause
from diagnose.training.lesson import run_choice, run_close, run_hint, run_suspicion
from diagnose.training.records import Lesson
from diagnose.training.scene import Scene

# Called with the lesson after every move, so that no kill loses one.
Keep = Callable[[Lesson], None]
WELCOME = "Choose by number or by words; type help for the rest. Some choices are unsafe; nothing marks them."
_NARROWEST = 20


class LessonConsole:
    """Runs one lesson at a terminal or in a pipe."""

    def __init__(
        self,
        scene: Scene,
        lesson: Lesson,
        keep: Keep,
        read: ReadLine | None = None,
        out: TextIO | None = None,
    ) -> None:
        """Take a scene, a lesson, what keeps it, how to read a line, and where to talk."""
        self.scene, self.lesson, self.keep = scene, lesson, keep
        width = max(_NARROWEST, min(WIDTH, Screen().width))
        self.screen = PatientScreen(width=width, highlight=False, file=out)
        self.read = read or build_line_reader(out)
        self.shown: tuple[Choice, ...] = ()

    @property
    def knowledge(self) -> Knowledge:
        """Give the rule base."""
        return self.scene.tutor.knowledge

    def run(self) -> Lesson:
        """Play until the lesson is closed, the learner quits, or the input ends; give the lesson."""
        try:
            self._show_call()
            self._show_list()
            while not self.lesson.closing and self._turn():
                pass
        except (EOFError, KeyboardInterrupt):
            self._say("")
        except BrokenPipeError:
            # nobody reads what is said any more; every move is kept already
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return self.lesson

    def _turn(self) -> bool:
        """Take one line; False when the learner quits."""
        try:
            typed = read_typed(self.read("number, words, suspect, hint, close, help"))
            if typed.verb == "quit":
                return False
            self._obey(typed)
        except ValueError as error:
            self._say(f"{str(error)[0].upper()}{str(error)[1:]}.", style="yellow")
        return True

    def _obey(self, typed: Typed) -> None:
        acts: dict[str, Callable[[Typed], None]] = {
            "": lambda _: self._show_list(),
            "list": lambda _: self._show_list(),
            "call": lambda _: self._show_call(),
            "notes": lambda _: self._show_notes(),
            "help": lambda _: self._say_all(HELP),
            "choose": self._choose,
            "words": self._search,
            "causes": self._show_causes,
            "hint": lambda t: self._move(run_hint(self.scene, self.lesson, t.number)),
            "suspect": self._suspect,
            "close": self._close,
        }
        acts[typed.verb](typed)

    def _choose(self, typed: Typed) -> None:
        if not 1 <= typed.number <= len(self.shown):
            raise ValueError(f"there is no choice {typed.number}; type 1 to {len(self.shown)}, or list")
        self._take(self.shown[typed.number - 1].id)

    def _take(self, choice: str) -> None:
        """Take a choice; after a stop the cautions stay in sight, for nothing new can be chosen."""
        self._move(run_choice(self.scene, self.lesson, choice))
        if self.lesson.moves[-1].kind == "unsafe":
            self._say("Choose again; type list for the choices.", style="dim")
        else:
            self._show_list()

    def _search(self, typed: Typed) -> None:
        """Take a choice by its id, or show the nearest ones to choose from by number."""
        if typed.words in {*self.knowledge.circumstances, *self.knowledge.looks}:
            self._take(typed.words)
            return
        found = find_by_words(self.scene, self.lesson, typed.words)
        if not found:
            shown = list_choices(self.scene, self.lesson)
            self._say(f"Nothing has words like '{typed.words[:60]}'; these could come next:")
            found = shown[:5]
        else:
            self._say("Nearest to that:")
        self._show_choices(found)

    def _suspect(self, typed: Typed) -> None:
        cause = name_cause(self.knowledge, typed.words)
        self._move(run_suspicion(self.scene, self.lesson, cause, typed.confidence))
        self._say(f"Written down: {cause}, {typed.confidence * 100:.0f} %.")

    def _close(self, typed: Typed) -> None:
        cause = name_cause(self.knowledge, typed.words)
        self._move(run_close(self.scene, self.lesson, cause, typed.confidence, typed.remedies))

    def _move(self, lesson: Lesson) -> None:
        """Keep a move before it is shown."""
        self.lesson = lesson
        self.keep(lesson)
        move = lesson.closing or lesson.moves[-1]
        for says in move.says:
            self._say_told(says)
        if move.kind in {"ask_circumstance", "inspect", "out_of_reach", "unsafe", "hint"}:
            self._say(f"{move.spent:.0f} min; {lesson.minutes:.0f} min in all", style="dim")

    def _say_told(self, says: str) -> None:
        """Say one line of what came back; safety lines stand out, answers bear an arrow."""
        if says.startswith(("CAUTION", "STOPPED")):
            self._say(says, style="bold")
        else:
            is_deferral = says == self.knowledge.cautions.deferral
            self._say(says if is_deferral else f"-> {says}")

    def _show_call(self) -> None:
        """Show the call as it came in, and what others had tried before."""
        case = self.scene.case
        # the id of a case names its cause, so it waits for the debrief
        self._say(f"{case.title} (seed {self.lesson.seed})", style="bold")
        self._say(" ".join(case.call.split()), indent=2, hang=0)
        for repair in case.repairs:
            remedy = self.knowledge.named_remedy(repair.cause)
            done = remedy.says if remedy else repair.cause
            words = f" ({repair.words})" if repair.words else ""
            still = "still faulty" if repair.still_faulty else "it worked"
            self._say(f"Done before you came: {done}; {still}{words}", indent=2)
        self._say(WELCOME, style="dim")

    def _show_list(self) -> None:
        self._say("")
        self._show_choices(list_choices(self.scene, self.lesson))

    def _show_choices(self, choices: tuple[Choice, ...]) -> None:
        self.shown = choices
        for number, choice in enumerate(choices, start=1):
            way = f" + {choice.access_minutes:.0f} to get there" if choice.access_minutes else ""
            stop = "" if choice.says.endswith("?") else ";"
            self._say(f"{number:>2}  {choice.says}{stop} {choice.minutes:.0f} min{way}", hang=4)

    def _show_causes(self, typed: Typed) -> None:
        if not typed.words:
            parts = sorted({cause.part for cause in self.knowledge.causes.values()})
            self._say(f"Parts: {', '.join(parts)}. Type causes and a part, or words.")
            return
        found = find_causes(self.knowledge, typed.words)
        for name in found:
            self._say(f"{name}: {self.knowledge.causes[name].says}", indent=2)
        if not found:
            self._say("No cause has such words; type causes for the parts of the unit.", style="yellow")

    def _show_notes(self) -> None:
        """Show what was learned and written down so far."""
        told = [line for move in self.lesson.moves for line in _notes_of(move.kind, move.says)]
        self._say_all(tuple(told) or ("Nothing asked or looked at yet.",))
        for move in self.lesson.moves:
            if move.kind == "suspect":
                self._say(f"suspected {move.id}, {(move.confidence or 0) * 100:.0f} %")
        self._say(f"{self.lesson.minutes:.0f} min so far")

    def _say(self, text: str, style: str = "", indent: int = 0, hang: int = 2) -> None:
        for line in wrap(text, self.screen.width, indent, hang) or [""]:
            self.screen.print(line, style=style or None, markup=False)

    def _say_all(self, lines: tuple[str, ...]) -> None:
        for line in lines:
            self._say(line)


def _notes_of(kind: str, says: tuple[str, ...]) -> tuple[str, ...]:
    """Give what a move told, without the safety lines that went with the work."""
    if kind not in {"ask_circumstance", "inspect", "out_of_reach"}:
        return ()
    last = max((n for n, line in enumerate(says) if line.startswith("CAUTION")), default=-1)
    # after the last caution comes the sentence that defers to local rules
    return says[last + 2 :] if last >= 0 else says
