"""The progress of learners as commands use it: where it lies, and where a lesson waits when it cannot be used.

Takes a path and Kept lessons, prints what went wrong to the other stream; may import everything above. A lesson that
the file does not take is written beside it, whole after every move, and taken in when a command next opens the file.
"""

from __future__ import annotations

import hashlib
import shlex
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import platformdirs
from pydantic import ValidationError

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.writing import write_whole
from diagnose.training.progress import PATIENCE, Kept, Progress

# Once a file has failed, the next moves of the same lesson do not wait for it as long.
_SHORT_PATIENCE = 0.2


def default_path() -> Path:
    """Give the progress file of this user."""
    return platformdirs.user_data_path("diagnose", appauthor=False) / "progress.sqlite"


class ProgressBook:
    """A progress file and the lessons that wait for it."""

    def __init__(self, path: Path | None = None) -> None:
        """Take the progress file, or none for the user's own."""
        self.path = path or default_path()
        self._progress = Progress(self.path)
        self._is_failing = False

    @property
    def option(self) -> str:
        """Give the option that names this file in a command; nothing for the user's own."""
        return "" if self.path == default_path() else f" --progress {shlex.quote(str(self.path))}"

    def list_kept(self, learner: str | None = None) -> tuple[Kept, ...]:
        """Take in what waits, then list lessons in the order they were begun.

        Raises:
            InputFaulty: The file is locked, damaged, or none of ours.
        """
        self.take_in()
        return self._progress.list_kept(learner)

    def keep(self, kept: Kept) -> None:
        """Keep a lesson in the file, or beside it where that fails; the lesson goes on either way."""
        try:
            self._ensure_folder()
            self._progress.keep(kept)
        except InputFaulty as error:
            self._let_wait(kept, error)
        else:
            self._drop_waiting(kept)

    def take_in(self) -> int:
        """Take in the lessons that wait beside the file.

        Returns:
            How many were taken in; what cannot be read, or not yet taken in, stays where it is.
        """
        taken = 0
        for waiting in self._list_waiting():
            # under a name of its own nobody else writes to it, and after a kill it still waits
            own = waiting.with_name(f"{waiting.name.partition('.taken')[0]}.taken-{uuid.uuid4().hex}")
            try:
                waiting.rename(own)
                self._progress.keep(Kept.model_validate_json(own.read_bytes()))
                own.unlink()
            except FileNotFoundError:
                continue
            except (InputFaulty, OSError, ValidationError) as error:
                why = "it holds no lesson" if isinstance(error, ValidationError) else str(error)
                print(f"{own} still waits: {why}", file=sys.stderr)
            else:
                taken += 1
        if taken:
            print(f"Taken in: {taken} that waited beside {self.path}", file=sys.stderr)
        return taken

    def _ensure_folder(self) -> None:
        """Make the folder of the user's own file; another one is named by the user and must be there."""
        if self.path == default_path():
            try:
                self.path.parent.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                wrong, cure = f"cannot be made: {error.strerror}", "name another file with --progress"
                raise InputFaulty([fault_in_file(self.path.parent, "unwritable", wrong, cure)]) from None

    def _let_wait(self, kept: Kept, error: InputFaulty) -> None:
        """Write a lesson beside the file, or where this user's data lie, and say so once."""
        places = [folder / f"{stem}{kept.id}.json" for folder, stem in self._places()]
        for place in places:
            try:
                if place.parent != self.path.absolute().parent:
                    place.parent.mkdir(parents=True, exist_ok=True)
                write_whole(place, kept.model_dump_json(indent=1))
            except (InputFaulty, OSError):
                continue
            if not self._is_failing:
                says = f"{error}\nThe lesson goes on and is kept in {place}; it is taken in when the file can be used"
                print(says, file=sys.stderr)
            self._is_failing, self._progress = True, Progress(self.path, _SHORT_PATIENCE)
            return
        print(
            f"{error}\nThe lesson goes on but is kept nowhere: {places[-1]} cannot be written",
            file=sys.stderr,
        )

    def _drop_waiting(self, kept: Kept) -> None:
        """Take away what waited of a lesson that the file holds now."""
        if self._is_failing:
            for folder, stem in self._places():
                (folder / f"{stem}{kept.id}.json").unlink(missing_ok=True)
            self._is_failing, self._progress = False, Progress(self.path, PATIENCE)

    def _places(self) -> tuple[tuple[Path, str], ...]:
        """Give the folders in which lessons may wait, and how their names begin."""
        absolute = self.path.absolute()
        mark = hashlib.sha256(str(absolute).encode()).hexdigest()[:16]
        own = platformdirs.user_data_path("diagnose", appauthor=False) / "waiting"
        return (absolute.parent, f"{self.path.name}.waiting-"), (own, f"{mark}.waiting-")

    def _list_waiting(self) -> Iterator[Path]:
        for folder, stem in self._places():
            if folder.is_dir():
                yield from sorted(path for path in folder.iterdir() if path.name.startswith(stem))
