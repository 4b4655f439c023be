"""The terminal of a question session: shows prompts, reads lines, loses no answer.

Takes a session and streams, gives an exit; may import everything above. Works with a keyboard, in a pipe,
in 80 columns and without colour.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TextIO

from rich.console import Console as Screen

from diagnose.errors import InputFaulty
from diagnose.explanation.text import WIDTH, wrap
from diagnose.facts.case_file import write_case
from diagnose.interfaces.answers import Answer, read_answer
from diagnose.interfaces.movement import tell_ranking
from diagnose.interfaces.prompts import Prompt
from diagnose.interfaces.session import Session
from diagnose.interfaces.writing import write_whole

# Takes what may be typed, shown where the answer goes; gives the line.
ReadLine = Callable[[str], str]
WELCOME = "One question at a time, the most useful one first. Type help at any of them."
HELP = (
    "yes, no: it was looked for and seen, or not seen",
    "? or Enter: don't know, or skip",
    "20.1 mA: a reading with its unit, where one is asked for; 2 or 1,3: choices by number",
    "work it out: a reading from other values, where that is offered; they are asked for one by one",
    "trend.csv or trend.parquet: a stroke log; what it shows counts at once",
    "your own words, at any question: what is read out of them is shown, to be struck out where wrong",
    "why: why this is asked; rank: where the causes stand",
    "back: take the last answer back",
    "save: write the case file; quit: write it and stop; Ctrl-C does the same",
    "close: close the call out with what was found and done",
)
_NARROWEST = 20


class PatientScreen(Screen):
    """A screen that tells when its reader has gone, in place of ending the program."""

    def on_broken_pipe(self) -> None:
        """Let the session keep its answers first."""
        raise BrokenPipeError


class Console:
    """Runs one session at a terminal or in a pipe."""

    def __init__(self, session: Session, save: Path | None, read: ReadLine | None = None) -> None:
        """Take a session, the file its case is kept in, and how to read a line."""
        self.session = session
        self.save = save
        self.screen = PatientScreen(width=max(_NARROWEST, min(WIDTH, Screen().width)), highlight=False)
        self.read = read or build_line_reader()
        self._kept = session.case
        self._shown: Prompt | None = None
        self._step, self._cautioned = "", frozenset[str]()

    def run(self) -> None:
        """Ask until nothing is left to ask, the person quits, or the input ends."""
        self._say(WELCOME, style="dim")
        try:
            while self._turn():
                pass
        except (EOFError, KeyboardInterrupt):
            self._say("")
        except BrokenPipeError:
            # nobody reads what is said any more, yet the answers are to be kept
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        self._keep()
        if self.session.case.closed is None:
            self._say_lines(self._ranking())

    def _turn(self) -> bool:
        """Ask one question; False when the session is over."""
        prompt = self.session.prompt()
        self._show(prompt)
        if prompt.kind == "finished" and prompt.id == "closed":
            return False
        answer = read_answer(self.read(prompt.hint))
        if answer.said == "quit":
            return False
        if not self._obey(prompt, answer):
            self._take(prompt, answer)
        return True

    def _take(self, prompt: Prompt, answer: Answer) -> None:
        reply = self.session.answer(prompt, answer)
        self._say_lines(reply.lines, style="" if reply.accepted else "yellow")

    def _obey(self, prompt: Prompt, answer: Answer) -> bool:
        """Carry a word of command out; False when the answer is meant for the question."""
        if answer.said == "why":
            self._say_lines(self.session.why(prompt))
        elif answer.said == "rank":
            self._say_lines(self._ranking())
        elif answer.said == "back":
            self._say("Taken back." if self.session.back() else "Nothing to take back.")
        elif answer.said == "save":
            self._keep()
        elif answer.said == "help":
            self._say_lines(HELP)
        elif answer.text.lower() == "close" and prompt.kind != "close":
            self.session.close()
        else:
            return False
        return True

    def _show(self, prompt: Prompt) -> None:
        """Show a question in full; asked once more, only its line, for all else still stands above."""
        self._say("")
        if prompt == self._shown:
            self._say(prompt.text, style="bold")
            if prompt.cautions:
                self._say("The cautions above hold.")
            return
        self._shown = prompt
        self._show_cautions(prompt)
        self._say(prompt.text, style="bold")
        for line in prompt.detail:
            self._say(line, style="dim", indent=2)
        for number, choice in enumerate(prompt.choices, start=1):
            self._say(f"{number:>2}  {choice}", indent=2, hang=4)

    def _show_cautions(self, prompt: Prompt) -> None:
        """Show the safety lines of a step once, in full; further questions of the same step say that they hold."""
        above = self._cautioned if prompt.step and prompt.step == self._step else frozenset()
        new = [caution for caution in prompt.cautions if caution not in above]
        self._step, self._cautioned = prompt.step, above | frozenset(new)
        for caution in new:
            self._say(f"CAUTION {caution}", style="bold")
        if new:
            self._say(self.session.reasoner.knowledge.cautions.deferral)
        if len(new) < len(prompt.cautions):
            self._say("The cautions above hold.")

    def _say(self, text: str, style: str = "", indent: int = 0, hang: int = 2) -> None:
        for line in wrap(text, self.screen.width, indent, hang) or [""]:
            self.screen.print(line, style=style or None, markup=False)

    def _say_lines(self, lines: tuple[str, ...], style: str = "") -> None:
        for line in lines:
            self._say(line, style, hang=8 if line.startswith(" ") else 2)

    def _ranking(self) -> tuple[str, ...]:
        return tell_ranking(self.session.reasoner.knowledge, self.session.ranking())

    def _keep(self) -> None:
        """Write the case file; where none was named, name one and show how to go on."""
        if self.session.case == self._kept:
            return
        text = write_case(self.session.case)
        try:
            path = self.save or free_name(Path())
            write_whole(path, text)
        except InputFaulty as error:
            # answers are not lost to a full or locked directory
            path = free_name(Path(tempfile.gettempdir()))
            self._say(str(error), style="yellow")
            write_whole(path, text)
        self.save, self._kept = path, self.session.case
        self.screen.print(
            f"Saved: {path}\nGo on with: diagnose ask --case {path}", markup=False, soft_wrap=True
        )


def free_name(directory: Path, stem: str = "case", ending: str = "yaml") -> Path:
    """Find a file name in a directory that is not taken yet."""
    number = 1
    while (path := directory / f"{stem}-{number:03d}.{ending}").exists():
        number += 1
    return path


def build_line_reader(echo: TextIO | None = None) -> ReadLine:
    """Read from the keyboard with editing, or plain lines from a pipe that are echoed, to stdout if not told."""
    if sys.stdin.isatty() and sys.stdout.isatty():
        from prompt_toolkit import PromptSession

        keyboard: PromptSession[str] = PromptSession()
        return lambda hint: keyboard.prompt(f"({hint}) > " if hint else "> ")

    def read(hint: str) -> str:
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        text = line.rstrip("\r\n")
        # in a pipe's output what was typed would not be seen; that nobody reads it costs no answer
        with suppress(BrokenPipeError):
            print(f"({hint}) > {text}" if hint else f"> {text}", file=echo or sys.stdout)
        return text

    return read
