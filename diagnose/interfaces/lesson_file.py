"""Lessons in files: kept whole after every move, read back to go on.

Takes a lesson or a path, gives the other; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.writing import write_whole

if TYPE_CHECKING:
    from diagnose.training.records import Lesson

_LARGEST_FILE = 4_000_000


class Keeper:
    """Keeps a lesson in a file after every move; a file that nobody named goes when the lesson is closed."""

    def __init__(self, path: Path | None) -> None:
        """Take the file to keep the lesson in, or none to have one named."""
        self.is_named = path is not None
        self.path = path

    def keep(self, lesson: Lesson) -> None:
        """Write the lesson whole; what cannot be written does not end the lesson."""
        from diagnose.interfaces.console import free_name

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
