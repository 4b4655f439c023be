"""The progress file in use: what it cannot take waits beside it, is taken in later, and nothing is lost."""

import sqlite3
from pathlib import Path

import pytest
from training_records import NOON, make_kept

from diagnose.errors import InputFaulty
from diagnose.interfaces.progress_book import ProgressBook
from diagnose.training.progress import Progress
from diagnose.training.records import Move


@pytest.fixture(autouse=True)
def own_data(tmp_path, monkeypatch) -> Path:
    """Keep this user's data out of the tests."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def path(tmp_path) -> Path:
    """Name a progress file in a folder of its own."""
    folder = tmp_path / "school"
    folder.mkdir()
    return folder / "p.sqlite"


def longer(kept, moves):
    """Give a lesson with so many moves."""
    return kept.with_lesson(
        kept.lesson.model_copy(update={"moves": (Move(kind="hint", id="1"),) * moves}), NOON
    )


def test_the_users_own_file_is_made_with_its_folder(own_data):
    """Without a file named, progress lies among the user's data."""
    book = ProgressBook()
    book.keep(make_kept(1, "a", "a"))

    assert own_data in book.path.parents
    assert 1 == len(book.list_kept())


@pytest.mark.parametrize("waits", ["beside", "among the user's data"])
def test_a_damaged_file_lets_the_lesson_wait_and_takes_it_in_when_it_is_gone(
    path, own_data, capsys, waits, monkeypatch
):
    """The message comes once, every move waits, and all is taken in once the damaged file is moved away."""
    path.write_bytes(b"damaged " * 1000)
    if waits != "beside":
        # a folder that takes no new file, for the administrator too
        monkeypatch.setattr("diagnose.interfaces.progress_book.write_whole", refuse_in(path.parent))
    book, kept = ProgressBook(path), make_kept(1, "a", None)
    for moves in (1, 2, 3):
        book.keep(longer(kept, moves))
    said = capsys.readouterr().err

    assert 1 == said.count("cannot be used")
    assert 1 == said.count("The lesson goes on and is kept in")
    assert (waits == "beside") == any(f.name.startswith("p.sqlite.waiting-") for f in path.parent.iterdir())

    path.rename(path.with_name("old"))
    with_it = ProgressBook(path).list_kept()

    assert (longer(kept, 3),) == with_it
    assert "Taken in: 1" in capsys.readouterr().err
    assert {"old", "p.sqlite"} == {f.name for f in path.parent.iterdir()}
    assert not (own_data / "diagnose" / "waiting").exists() or not list(
        (own_data / "diagnose" / "waiting").iterdir()
    )


def refuse_in(folder):
    """Make a writing of files that fails in one folder."""
    from diagnose.errors import fault_in_file
    from diagnose.interfaces.writing import write_whole

    def write(path, content):
        if path.parent == folder:
            raise InputFaulty([fault_in_file(path, "unwritable", "cannot be written", "name another file")])
        write_whole(path, content)

    return write


def test_a_locked_file_takes_the_lesson_once_it_is_free(path, capsys, monkeypatch):
    """What waited while another program held the file goes in with the next move, and nothing waits any more."""
    monkeypatch.setattr("diagnose.interfaces.progress_book.PATIENCE", 0.05)
    monkeypatch.setattr("diagnose.training.progress.PATIENCE", 0.05)
    Progress(path).keep(make_kept(9, "b", "b"))
    book, kept = ProgressBook(path), make_kept(1, "a", None)
    with sqlite3.connect(path) as other:
        other.execute("BEGIN EXCLUSIVE")
        book.keep(longer(kept, 1))
        assert "is locked by another program" in capsys.readouterr().err
    book.keep(longer(kept, 2))

    assert {"p.sqlite"} == {f.name for f in path.parent.iterdir() if "waiting" in f.name or f == path}
    assert {1, 9} == {k.lesson.seed for k in Progress(path).list_kept()}


def test_a_lesson_taken_halfway_by_a_killed_command_still_waits(path):
    """A waiting lesson under the name that a killed command gave it is taken in by the next one."""
    kept = make_kept(1, "a", "a")
    left = path.with_name(f"{path.name}.waiting-{kept.id}.json.taken-0123")
    left.write_text(kept.model_dump_json(), encoding="utf-8")

    assert (kept,) == ProgressBook(path).list_kept()
    assert not left.exists()


def test_a_waiting_file_that_holds_no_lesson_is_left_and_named(path, capsys):
    """What cannot be read is not thrown away."""
    path.with_name(f"{path.name}.waiting-x.json").write_text("{", encoding="utf-8")

    assert 0 == ProgressBook(path).take_in()
    assert "holds no lesson" in capsys.readouterr().err
    assert 1 == sum("waiting-x" in f.name for f in path.parent.iterdir())


def test_an_older_state_that_waited_does_not_undo_moves(path):
    """Taken in late, an early state of a lesson leaves the later one in the file."""
    kept = make_kept(1, "a", None)
    Progress(path).keep(longer(kept, 5))
    path.with_name(f"{path.name}.waiting-{kept.id}.json").write_text(
        longer(kept, 2).model_dump_json(), "utf-8"
    )

    assert (longer(kept, 5),) == ProgressBook(path).list_kept()
