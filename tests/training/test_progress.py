"""The progress file: whole after a kill at any moment, several learners, clear words where it cannot be used."""

import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from pydantic import ValidationError
from training_records import NOON, make_kept

from diagnose.errors import InputFaulty
from diagnose.training.progress import Kept, Progress
from diagnose.training.records import Move

ROOT = Path(__file__).parent.parent.parent
# Keeps one lesson after the other, a move more each, and says when each keeping has returned.
WRITER = """
import sys
from pathlib import Path
from training_records import NOON, make_kept
from diagnose.training.progress import Progress
from diagnose.training.records import Move
progress = Progress(Path(sys.argv[1]), patience=20)
first = int(sys.argv[2])
for number in range(first, first + 1000):
    kept = make_kept(number, "cause", None)
    for moves in (1, 2, 3):
        lesson = kept.lesson.model_copy(update={"moves": (Move(kind="hint", id="1"),) * moves})
        progress.keep(kept.with_lesson(lesson, NOON))
        print(number, moves, flush=True)
"""


@pytest.fixture
def progress(tmp_path: Path) -> Progress:
    """Give a progress file that is not there yet."""
    return Progress(tmp_path / "progress.sqlite", patience=0.05)


def start_writer(path: Path, first: int) -> subprocess.Popen[str]:
    """Start a process that keeps lessons until it is killed."""
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(first)],
        cwd=ROOT,
        env={"PYTHONPATH": f"{ROOT}:{ROOT / 'tests'}"},
        stdout=subprocess.PIPE,
        text=True,
    )


def test_lessons_come_back_as_they_were_kept(progress):
    """Open and closed lessons of several learners come back equal, in order, and of one learner alone."""
    lessons = (make_kept(1, "a", "a"), make_kept(2, "b", None, learner="ben", days=1))
    progress.keep(*lessons)

    assert lessons == progress.list_kept()
    assert lessons[1:] == progress.list_kept("ben")


def test_a_file_that_is_not_there_holds_nothing_and_is_not_made(progress):
    """Looking at the progress of nobody makes no file."""
    assert () == progress.list_kept()
    assert not progress.path.exists()


def test_a_lesson_never_goes_back(progress):
    """An older state of a lesson, kept late, does not undo moves."""
    early = make_kept(1, "a", None)
    late = early.with_lesson(
        early.lesson.model_copy(update={"moves": (Move(kind="hint", id="1"),) * 5}), NOON
    )
    progress.keep(late)
    progress.keep(early)

    assert (late,) == progress.list_kept()


def test_no_kill_loses_a_kept_move(tmp_path):
    """Killed again and again while it writes, every move whose keeping had returned is in the file."""
    path = tmp_path / "progress.sqlite"
    said: dict[int, int] = {}
    for turn in range(3):
        writer = start_writer(path, turn * 1000)
        assert writer.stdout is not None
        seen = [writer.stdout.readline() for _ in range(4 + turn)]
        # the kill hits another moment of the next keeping each time
        time.sleep(0.003 * turn)
        writer.kill()
        seen += writer.stdout.readlines()
        writer.wait()
        for line in seen:
            number, moves = map(int, line.split())
            said[number] = moves
    kept = {lesson.lesson.seed: len(lesson.lesson.moves) for lesson in Progress(path).list_kept()}

    assert len(said) >= 5
    assert said.keys() <= kept.keys()
    assert all(kept[number] >= moves for number, moves in said.items())
    with sqlite3.connect(path) as connection:
        assert ("ok",) == connection.execute("PRAGMA integrity_check").fetchone()


def test_two_programs_may_write_at_once(tmp_path):
    """Two writers that begin on a new file at the same time both keep what they have."""
    path = tmp_path / "progress.sqlite"
    writers = [start_writer(path, first) for first in (0, 1000)]
    for writer in writers:
        assert writer.stdout is not None
        assert "" != writer.stdout.readline()
    for writer in writers:
        writer.kill()
        writer.wait()
        assert writer.stdout is not None
        writer.stdout.close()

    assert {0, 1000} <= {kept.lesson.seed for kept in Progress(path).list_kept()}


@pytest.mark.parametrize("content", [b"not a database, " * 500, b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_damaged_file_is_named_with_what_to_do(progress, content):
    """Damage is one line with the file and what to do, for keeping and for reading."""
    progress.path.write_bytes(content)

    for act in (lambda: progress.keep(make_kept(1, "a", "a")), progress.list_kept):
        with pytest.raises(InputFaulty, match=r"progress\.sqlite.*cannot be used.*move the file away"):
            act()
    assert content == progress.path.read_bytes()


def test_a_locked_file_is_named_with_what_to_do(progress):
    """A file that another program holds is refused after the patience given."""
    progress.keep(make_kept(1, "a", "a"))
    with sqlite3.connect(progress.path) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(InputFaulty, match=r"is locked by another program"):
            progress.keep(make_kept(2, "a", "a"))


def test_the_file_of_another_program_is_left_alone(progress):
    """A SQLite file with other tables is refused and gets none of ours."""
    with sqlite3.connect(progress.path) as other:
        other.execute("CREATE TABLE theirs (x)")
    with pytest.raises(InputFaulty, match=r"tables of another program"):
        progress.keep(make_kept(1, "a", "a"))

    with sqlite3.connect(progress.path) as other:
        assert [("theirs",)] == other.execute("SELECT name FROM sqlite_master").fetchall()


def test_a_file_of_a_later_version_is_not_read(progress):
    """Tables of another version are refused."""
    progress.keep(make_kept(1, "a", "a"))
    with sqlite3.connect(progress.path) as other:
        other.execute("PRAGMA user_version=99")
    with pytest.raises(InputFaulty, match=r"version 99"):
        progress.list_kept()


def test_a_closed_lesson_counts_as_further_than_the_same_one_open():
    """The grade of a lesson is not overwritten by its last open state."""
    closed = make_kept(1, "a", "a")
    open_one: Kept = closed.model_copy(update={"outcome": None})

    assert closed.grown > open_one.grown


@pytest.mark.parametrize("name", ["", "a\x1b[2J", "a\nb", "x" * 101])
def test_a_name_that_would_upset_a_terminal_is_refused(name):
    """Names are printable and of some length."""
    with pytest.raises(ValidationError):
        Kept.model_validate({**make_kept(1, "a", "a").model_dump(), "learner": name})
