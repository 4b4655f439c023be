"""The terminal of a question session: shows prompts, reads lines, loses no answer.

Takes a session and streams, gives an exit; may import everything above. Works with a keyboard, in a pipe,
in 80 columns and without colour.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from rich.console import Console as Screen

from diagnose.explanation.text import WIDTH, percent, wrap
from diagnose.facts.case_file import write_case
from diagnose.interfaces.answers import Answer, read_answer
from diagnose.interfaces.prompts import Prompt
from diagnose.interfaces.session import Session
from diagnose.interfaces.writing import write_whole

ReadLine = Callable[[], str]
HELP = (
    "yes, no, don't know (or ?), a reading with its unit, a number of a choice; "
    "why: why this question; rank: where it stands; back: take the last answer back; "
    "save: write the case file; close: close the call out; quit: stop"
)


class Console:
    """Runs one session at a terminal or in a pipe."""

    def __init__(self, session: Session, save: Path | None, read: ReadLine | None = None) -> None:
        """Take a session, the file its case is kept in, and how to read a line."""
        self.session = session
        self.save = save
        self.screen = Screen(width=min(WIDTH, Screen().width), highlight=False, soft_wrap=False)
        self.read = read or _line_reader()

    def run(self) -> None:
        """Ask until nothing is left to ask, the person quits, or the input ends."""
        self._say(f"Type an answer; at any question also: {HELP}", style="dim")
        try:
            while self._turn():
                pass
        except (EOFError, KeyboardInterrupt):
            self._say("")
            self._keep()
        self._say_rank()

    def _turn(self) -> bool:
        """Ask one question; False when the session is over."""
        prompt = self.session.prompt()
        self._show(prompt)
        if prompt.kind == "finished" and prompt.id == "closed":
            self._keep()
            return False
        answer = self._ask()
        if answer.said == "quit":
            self._keep()
            return False
        if not self._obey(prompt, answer):
            self._take(prompt, answer)
        return True

    def _take(self, prompt: Prompt, answer: Answer) -> None:
        if prompt.kind == "finished":
            self._say("Nothing is left to ask; type close, back, rank, save or quit.")
            return
        reply = self.session.answer(prompt, answer)
        for line in reply.lines:
            self._say(line, style="" if reply.accepted else "yellow")

    def _obey(self, prompt: Prompt, answer: Answer) -> bool:
        """Carry a word of command out; False when the answer is meant for the question."""
        if answer.said == "why":
            self._say_why(prompt)
        elif answer.said == "rank":
            self._say_rank()
        elif answer.said == "back":
            self._say("Taken back." if self.session.back() else "Nothing to take back.")
        elif answer.said == "save":
            self._keep()
        elif answer.said == "help":
            self._say(HELP)
        elif answer.text.lower() == "close" and prompt.kind != "close":
            self.session.close()
        else:
            return False
        return True

    def _show(self, prompt: Prompt) -> None:
        self._say("")
        for caution in prompt.cautions:
            self._say(f"CAUTION {caution}", style="bold")
        if prompt.cautions:
            self._say(self.session.reasoner.knowledge.cautions.deferral)
        unit = f" (yes / no / don't know, or a reading in {prompt.unit})" if prompt.unit else ""
        self._say(prompt.text + unit, style="bold")
        for line in prompt.detail:
            self._say(f"  {line}", style="dim")
        for number, choice in enumerate(prompt.choices, start=1):
            self._say(f"  {number}  {choice}")

    def _say(self, text: str, style: str = "") -> None:
        for line in wrap(text, self.screen.width) or [""]:
            self.screen.print(line, style=style or None, markup=False)

    def _ask(self) -> Answer:
        return read_answer(self.read())

    def _say_why(self, prompt: Prompt) -> None:
        for line in self.session.why(prompt):
            self._say(line)

    def _say_rank(self) -> None:
        ranking = self.session.ranking()
        first = [ranked for ranked in ranking.causes if not ranked.ruled_out_by][:5]
        for ranked in first:
            says = self.session.reasoner.knowledge.causes[ranked.cause].says
            self._say(f"{percent(ranked.probability):>6}  {ranked.cause}: {says}")
        self._say(f"{percent(ranking.posterior.unlisted):>6}  something not listed  ({ranking.status.value})")

    def _keep(self) -> None:
        """Write the case file; where no file was named, offer one and show how to go on."""
        path = self.save or _free_name()
        write_whole(path, write_case(self.session.case))
        self.save = path
        self._say(f"Saved: {path}. Go on with: diagnose ask --case {path}")


def _free_name() -> Path:
    """Find a file name in this directory that is not taken yet."""
    number = 1
    while (path := Path(f"case-{number:03d}.yaml")).exists():
        number += 1
    return path


def _line_reader() -> ReadLine:
    """Read from the keyboard with editing, or plain lines from a pipe."""
    if sys.stdin.isatty() and sys.stdout.isatty():
        from prompt_toolkit import PromptSession

        keyboard: PromptSession[str] = PromptSession()
        return lambda: keyboard.prompt("> ")

    def read() -> str:
        line = sys.stdin.readline()
        if not line:
            raise EOFError
        text = line.rstrip("\n")
        print(f"> {text}")
        return text

    return read
