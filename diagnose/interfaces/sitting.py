"""A learner's lesson or exam from its first line to its grade, kept in the progress file after every move.

Takes a tutor, a case and a kept lesson, plays it, prints; may import everything above.
"""

from __future__ import annotations

import sys
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from diagnose.facts.case_file import Case
from diagnose.interfaces.console import ReadLine, build_line_reader
from diagnose.interfaces.lesson import LessonConsole
from diagnose.interfaces.progress_book import ProgressBook
from diagnose.interfaces.train_command import show_debrief
from diagnose.interfaces.writing import write_whole
from diagnose.training.exam import Ended, seal_exam
from diagnose.training.grading import grade_lesson
from diagnose.training.lesson import start_lesson
from diagnose.training.program import run_program
from diagnose.training.progress import Kept
from diagnose.training.records import Lesson, Outcome
from diagnose.training.scene import Scene, Tutor, build_scene

Clock = Callable[[], datetime]


@dataclass(frozen=True)
class Paper:
    """What turns a lesson into an exam.

    Attributes:
        result: File the sealed result goes to.
        key: The instructor's key, if there is one.
    """

    result: Path
    key: bytes | None


@dataclass(frozen=True)
class Shown:
    """How a graded lesson is shown."""

    html: Path | None = None
    as_json: bool = False


def read_clock() -> datetime:
    """Give the present moment."""
    return datetime.now(UTC)


def begin_kept(scene: Scene, seed: int, learner: str, now: datetime, allowed: float | None = None) -> Kept:
    """Begin a lesson of a learner; with minutes allowed it is an exam."""
    lesson = start_lesson(scene, seed, exam=allowed is not None)
    return Kept(id=uuid.uuid4().hex, learner=learner, begun=now, changed=now, lesson=lesson, allowed=allowed)


class ExamClock:
    """Reads lines until the minutes allowed are over; a line that comes later does not count."""

    def __init__(self, kept: Kept, read: ReadLine, clock: Clock) -> None:
        """Take an exam, how to read a line, and the clock that counts."""
        self._end = kept.begun + timedelta(minutes=kept.allowed or 0)
        self._read, self._clock = read, clock

    @property
    def is_over(self) -> bool:
        """Tell whether the time is over."""
        return self._clock() >= self._end

    def read(self, hint: str) -> str:
        """Read one line, the minutes left before it.

        Raises:
            EOFError: The time is over, or the input.
        """
        if not self.is_over:
            left = (self._end - self._clock()).total_seconds() / 60
            line = self._read(f"{hint}; {left:.0f} min left")
            if not self.is_over:
                return line
        print("The time is over.", file=sys.stderr)
        raise EOFError


class Sitting:
    """One learner at one lesson."""

    def __init__(
        self, tutor: Tutor, case: Case, kept: Kept, book: ProgressBook, clock: Clock = read_clock
    ) -> None:
        """Take the case with the lesson as far as it has come, and where it is kept."""
        self.tutor, self.case, self.kept, self.book, self.clock = tutor, case, kept, book, clock
        self.scene = build_scene(tutor, case, kept.lesson.seed)

    def run_lesson(self, shown: Shown) -> Kept:
        """Play a lesson, grade and keep it when it is closed, and show the debrief."""
        self._play(None, as_json=shown.as_json)
        if self.kept.lesson.closing is None:
            how = f"diagnose progress resume --learner {self.kept.learner!r}{self.book.option}"
            print(f"Lesson kept; go on with: {how}", file=sys.stderr)
            return self.kept
        self._grade()
        show_debrief(self.tutor, self.case, self.kept.lesson, shown.html, as_json=shown.as_json)
        return self.kept

    def run_exam(self, paper: Paper, *, as_json: bool) -> Kept:
        """Play an exam against the clock; when it is closed or the time over, seal the result."""
        reader = build_line_reader(sys.stderr if as_json else None)
        clock = ExamClock(self.kept, reader, self.clock)
        self._play(clock.read, as_json=as_json)
        if self.kept.lesson.closing is None and not clock.is_over:
            print("Exam kept; its clock runs on. Go on before the time is over.", file=sys.stderr)
            return self.kept
        how: Ended = "time over"
        if self.kept.lesson.closing is not None:
            how = "closed"
            self._grade()
        sealed = seal_exam(self.kept, how, paper.key)
        write_whole(paper.result, sealed.model_dump_json(indent=1))
        print(f"Sealed: {paper.result}", file=sys.stderr)
        if as_json:
            print(sealed.model_dump_json(indent=2))
        return self.kept

    def _play(self, read: ReadLine | None, *, as_json: bool) -> None:
        out = sys.stderr if as_json else None
        LessonConsole(self.scene, self.kept.lesson, self._keep, read=read, out=out).run()

    def _keep(self, lesson: Lesson) -> None:
        self.kept = self.kept.with_lesson(lesson, self.clock())
        self.book.keep(self.kept)

    def _grade(self) -> None:
        """Grade the closed lesson; its outcome goes to the progress file."""
        lesson = self.kept.lesson
        outcome: Outcome = grade_lesson(self.scene, lesson, run_program(self.scene, lesson.seed))
        self.kept = self.kept.model_copy(update={"outcome": outcome})
        self.book.keep(self.kept)
