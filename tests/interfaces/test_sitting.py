"""A learner's lesson kept from move to move, and an exam against the clock."""

from datetime import timedelta
from pathlib import Path

import pytest
from training_records import NOON
from training_scenes import CASE, make_shipped_scene

from diagnose.explanation.reasoner import Reasoner
from diagnose.interfaces.progress_book import ProgressBook
from diagnose.interfaces.sitting import ExamClock, Paper, Shown, Sitting, begin_kept
from diagnose.training.class_summary import list_minutes
from diagnose.training.exam import Sealed, verify_exam
from diagnose.training.scene import Scene


@pytest.fixture(scope="module")
def scene(reasoner: Reasoner) -> Scene:
    """Set the stage of a shipped case."""
    return make_shipped_scene(reasoner, CASE)


@pytest.fixture(autouse=True)
def own_data(tmp_path, monkeypatch):
    """Keep this user's data out of the tests."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


class Clock:
    """A clock that goes on by so many minutes each time it is looked at."""

    def __init__(self, minutes: float = 0.0) -> None:
        self.now, self.step = NOON, timedelta(minutes=minutes)

    def __call__(self):
        """Give the moment and go on."""
        self.now += self.step
        return self.now


def type_lines(monkeypatch, *lines: str) -> None:
    """Let the lines be typed, then end the input."""
    waiting = list(lines)

    def read(_: str) -> str:
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    monkeypatch.setattr("diagnose.interfaces.sitting.build_line_reader", lambda _: read)
    monkeypatch.setattr("diagnose.interfaces.lesson.build_line_reader", lambda _: read)


def sit(scene: Scene, book: ProgressBook, clock: Clock, allowed: float | None = None) -> Sitting:
    """Sit a learner down to the case."""
    kept = begin_kept(scene, 1, "ada", NOON, allowed)
    return Sitting(scene.tutor, scene.case, kept, book, clock)


def test_a_lesson_is_kept_open_and_then_closed_with_its_grade(scene, tmp_path, monkeypatch, capsys):
    """Cut off after two moves it is kept open; gone on with and closed it has its grade, in one row."""
    book = ProgressBook(tmp_path / "p.sqlite")
    type_lines(monkeypatch, "1", "2")
    sit(scene, book, Clock()).run_lesson(Shown())
    (left,) = book.list_kept("ada")

    assert (2, None) == (len(left.lesson.moves), left.outcome)
    assert "diagnose progress resume --learner 'ada'" in capsys.readouterr().err

    type_lines(monkeypatch, "close open_cam_early 90")
    Sitting(scene.tutor, scene.case, left, book, Clock()).run_lesson(Shown(html=tmp_path / "d.html"))
    (closed,) = book.list_kept()

    assert closed.outcome is not None
    assert ("open_cam_early", closed.outcome.grade.total) == (closed.outcome.named, pytest.approx(72, abs=20))
    assert left.lesson.moves == closed.lesson.moves[:2]
    # the summary of a class finds the minutes in a grade as it is really made
    assert None not in list_minutes(closed.outcome)
    assert "Debrief" in (tmp_path / "d.html").read_text("utf-8")


def test_a_lesson_goes_on_over_a_damaged_file(scene, tmp_path, monkeypatch, capsys):
    """With a damaged progress file the lesson is played to its debrief and waits beside the file."""
    path: Path = tmp_path / "p.sqlite"
    path.write_bytes(b"damaged" * 1000)
    type_lines(monkeypatch, "1", "close open_cam_early 90")
    kept = sit(scene, ProgressBook(path), Clock()).run_lesson(Shown())
    said = capsys.readouterr()
    path.unlink()

    assert "Grade " in said.out
    assert "The lesson goes on" in said.err
    assert (kept,) == ProgressBook(path).list_kept()


def test_an_exam_gives_no_hints_no_debrief_and_a_sealed_result(scene, tmp_path, monkeypatch, capsys):
    """Closed in time an exam leaves a whole result with its grade; hints are refused, the cause is not told."""
    book, result = ProgressBook(tmp_path / "p.sqlite"), tmp_path / "r.json"
    type_lines(monkeypatch, "hint 3", "1", "close close_cam_late 60")
    sit(scene, book, Clock(), 30).run_exam(Paper(result, None), as_json=False)
    sealed = Sealed.model_validate_json(result.read_bytes())
    said = capsys.readouterr()

    assert verify_exam(sealed).whole
    assert ("closed", "close_cam_late", "open_cam_early") == tuple(
        sealed.result[name] for name in ("how", "named", "confirmed")
    )
    assert sealed.result["grade"]["total"] == book.list_kept()[0].outcome.grade.total
    assert "An exam gives no hints" in said.out
    assert "open_cam_early" not in said.out + said.err


def test_when_the_time_is_over_what_is_typed_does_not_count(scene, tmp_path, monkeypatch, capsys):
    """A line typed before the limit counts, the closing typed after it does not; the result has no grade."""
    result = tmp_path / "r.json"
    type_lines(monkeypatch, "1", "close open_cam_early 90")
    # the clock is read a few times for each line: two minutes each let one line pass within ten
    sit(scene, ProgressBook(tmp_path / "p.sqlite"), Clock(2), 10).run_exam(Paper(result, None), as_json=False)
    sealed = Sealed.model_validate_json(result.read_bytes())

    assert ("time over", None) == (sealed.result["how"], sealed.result["grade"])
    assert ["ask_circumstance"] == [move["kind"] for move in sealed.result["moves"]]
    assert "The time is over." in capsys.readouterr().err


def test_an_exam_left_in_time_is_not_sealed(scene, tmp_path, monkeypatch):
    """The end of the input before the limit keeps the exam open; no result is written."""
    book, result = ProgressBook(tmp_path / "p.sqlite"), tmp_path / "r.json"
    type_lines(monkeypatch, "1")
    sit(scene, book, Clock(), 30).run_exam(Paper(result, None), as_json=False)

    assert not result.exists()
    assert book.list_kept()[0].outcome is None


def test_the_clock_says_the_minutes_left(scene):
    """The hint before each line has the minutes left, rounded."""
    hints = []
    kept = begin_kept(scene, 1, "ada", NOON, 30)
    clock = Clock()
    clock.now += timedelta(minutes=4)
    reader = ExamClock(kept, lambda hint: hints.append(hint) or "x", clock)

    assert "x" == reader.read("type")
    assert ["type; 26 min left"] == hints
