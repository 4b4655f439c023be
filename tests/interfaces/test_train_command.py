"""The command `train`: picking, saving, resuming, the debrief in three forms, and clear refusals."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
import typer
from learners import make_tutor
from training_records import make_kept

from diagnose.interfaces.lesson_pick import Wanted, pick_case
from diagnose.training.debrief import Debrief
from diagnose.training.difficulty import measure_difficulty
from diagnose.training.progress import Progress
from diagnose.training.records import Lesson

ROOT = Path(__file__).parent.parent.parent
CASE = "limits/open_cam_early-01"


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    """Keep what this user has measured or kept out of the tests."""
    folder = tmp_path_factory.mktemp("user")
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(folder / "data"))


def run_train(folder: Path, lines: str, *options: str) -> subprocess.CompletedProcess[str]:
    """Play typed lines on a pipe, in another directory than the checkout's."""
    return run_diagnose(folder, lines, "train", *options)


def run_diagnose(folder: Path, lines: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run a command in another directory than the checkout's."""
    return subprocess.run(
        [sys.executable, "-m", "diagnose", *arguments],
        input=lines,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80"},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_a_closed_lesson_ends_with_its_debrief_and_leaves_no_file(tmp_path):
    """A lesson closed on a pipe prints grade, both paths and the remedy; nothing is left lying about."""
    done = run_train(tmp_path, "1\nclose open_cam_early 90\n", CASE, "--seed", "1")

    assert (0, "") == (done.returncode, done.stderr)
    for title in (
        "Grade ",
        "Your path: ",
        "The program's path on the same answers: ",
        "Remedy: ",
        "Proved when: ",
    ):
        assert title in done.stdout
    assert [] == list(tmp_path.iterdir())


def test_a_lesson_cut_off_in_the_middle_goes_on_where_it_stopped(tmp_path):
    """The end of the input leaves a file; resuming it goes on with its moves and closes it."""
    cut = run_train(tmp_path, "1\n2\n", CASE, "--seed", "1")
    half = Lesson.model_validate_json((tmp_path / "lesson-001.json").read_text())
    resumed = run_train(tmp_path, "close open_cam_early 90\n", "--resume", "lesson-001.json", "--json")
    whole = Lesson.model_validate_json((tmp_path / "lesson-001.json").read_text())

    assert "Go on with: diagnose train --resume lesson-001.json" in cut.stderr
    assert ["ask_circumstance", "ask_circumstance"] == [move.kind for move in half.moves]
    assert half.moves == whole.moves[:2]
    assert [step.id for step in Debrief.model_validate_json(resumed.stdout).learner.steps] == [
        move.id for move in whole.moves
    ]


def test_json_is_the_debrief_alone_on_stdout(tmp_path):
    """With --json the talk goes to the other stream, and the page is written beside it."""
    done = run_train(tmp_path, "close card_failed 50\n", CASE, "--seed", "1", "--json", "--html", "d.html")
    document = Debrief.model_validate_json(done.stdout)

    assert ("card_failed", "open_cam_early", False) == (
        document.named,
        document.confirmed,
        document.grade.passed,
    )
    assert "Filter outlet valve" in done.stderr
    assert (tmp_path / "d.html").read_text().startswith("<!DOCTYPE html>")


def test_the_seed_alone_replays_a_lesson_on_a_case_it_picked(tmp_path, reasoner):
    """Without a case one is picked by the seed, of the part that is named; its id, which names the cause, waits."""
    first, second = (run_train(tmp_path, "quit\n", "--part", "motor", "--seed", "5").stdout for _ in range(2))

    assert first == second
    case = pick_case(make_tutor(reasoner), Wanted("motor"), 5)
    assert case.case.startswith("motor/")
    assert case.title in first
    assert case.case not in first


def test_an_unknown_case_names_the_nearest(tmp_path):
    """A misspelt case is refused in one line with the nearest case."""
    done = run_train(tmp_path, "", "limits/open_cam_erly-01")

    assert (4, "") == (done.returncode, done.stdout)
    assert "did you mean 'limits/open_cam_early-01'" in done.stderr
    assert 1 == len(done.stderr.splitlines())


def test_an_unknown_part_names_the_parts(tmp_path):
    """A misspelt part is a fault of usage with what to type."""
    done = run_train(tmp_path, "", "--part", "moter")

    assert 2 == done.returncode
    assert "motor" in done.stderr


def test_a_file_that_holds_no_lesson_is_refused(tmp_path):
    """Resuming something else, or nothing, says so in one line."""
    (tmp_path / "x.json").write_text('{"a": 1}')

    for name, words in (("x.json", "holds no lesson"), ("y.json", "cannot be read")):
        done = run_train(tmp_path, "", "--resume", name)

        assert 4 == done.returncode
        assert words in done.stderr
        assert 1 == len(done.stderr.splitlines())


def test_a_case_without_a_confirmed_cause_teaches_nothing(tmp_path):
    """A case file that nobody closed is refused with what to add."""
    (tmp_path / "open.yaml").write_text("case: open\ntitle: Stops short\n")
    done = run_train(tmp_path, "", "open.yaml")

    assert 4 == done.returncode
    assert "no confirmed cause" in done.stderr


def test_a_directory_that_cannot_be_written_does_not_end_the_lesson(tmp_path):
    """A lesson that cannot be kept where it was told goes on, is kept elsewhere and says where."""
    done = run_train(tmp_path, "1\nquit\n", CASE, "--seed", "1", "--save", "nowhere/x.json")

    assert 0 == done.returncode
    assert "The lesson goes on and is kept in " in done.stderr


def test_a_case_is_picked_by_its_computed_difficulty(reasoner):
    """The case that is picked has the difficulty asked for, of the part asked for."""
    tutor = make_tutor(reasoner)
    case = pick_case(tutor, Wanted("limits", 2), 3)

    assert case.case.startswith("limits/")
    assert 2 == measure_difficulty(tutor, case).grade


def test_a_difficulty_that_no_case_has_is_refused(reasoner):
    """Where no case of a part is so difficult, that is said."""
    with pytest.raises(typer.BadParameter, match="no case of the part enclosure has difficulty 5"):
        pick_case(make_tutor(reasoner), Wanted("enclosure", 5), 1)


def test_a_case_is_named_in_one_way(tmp_path):
    """A case and what to pick it by, or a kept lesson and a seed, do not go together."""
    for options in ((CASE, "--part", "motor"), ("--resume", "x.json", "--seed", "3")):
        done = run_train(tmp_path, "", *options)

        assert 2 == done.returncode


def test_a_lesson_of_a_learner_is_kept_and_gone_on_with(tmp_path):
    """With a learner named, a lesson cut off waits in the progress file, goes on, and is closed with its grade."""
    options = ("--learner", "ada", "--progress", "p.sqlite")
    cut = run_train(tmp_path, "1\n2\n", CASE, "--seed", "1", *options)
    left = Progress(tmp_path / "p.sqlite").list_kept("ada")
    resumed = run_diagnose(tmp_path, "close open_cam_early 90\n", "progress", "resume", *options)
    (closed,) = Progress(tmp_path / "p.sqlite").list_kept("ada")

    assert "diagnose progress resume --learner 'ada' --progress p.sqlite" in cut.stderr
    assert [2] == [len(one.lesson.moves) for one in left]
    assert "Grade " in resumed.stdout
    assert closed.outcome is not None
    assert ["p.sqlite"] == sorted(path.name for path in tmp_path.iterdir() if path.is_file())


def test_a_learner_without_a_case_gets_what_to_practise(tmp_path):
    """The case is picked for the learner, by part too, and its cause is not said before it is closed."""
    Progress(tmp_path / "p.sqlite").keep(make_kept(1, "open_cam_early", "open_stop_too_far_in"))
    options = ("--learner", "ada", "--progress", "p.sqlite", "--part", "limits")
    done = run_train(tmp_path, "1\n", *options)
    kept = Progress(tmp_path / "p.sqlite").list_kept("ada")

    assert "Picked for ada: one of two causes that were taken for each other." in done.stderr
    assert {"limits/open_cam_early-01"} == {one.lesson.case for one in kept if one.outcome is None}
    assert "open_cam_early" not in done.stdout + done.stderr


def test_a_lesson_over_a_damaged_progress_file_is_played_and_taken_in_later(tmp_path):
    """A damaged file is said once, the lesson ends in its debrief, and nothing of it is lost."""
    path = tmp_path / "p.sqlite"
    path.write_bytes(b"damaged" * 1000)
    options = ("--seed", "1", "--learner", "ada", "--progress", "p.sqlite")
    done = run_train(tmp_path, "1\nclose open_cam_early 90\n", CASE, *options)
    path.rename(tmp_path / "old")
    shown = run_diagnose(tmp_path, "", "progress", "show", "--learner", "ada", "--progress", "p.sqlite")

    assert (0, 1) == (done.returncode, done.stderr.count("cannot be used"))
    assert "Grade " in done.stdout
    assert "Taken in: 1" in shown.stderr
    assert "right" in shown.stdout


def test_a_new_case_is_written_and_checked(tmp_path):
    """The skeleton says what to fill in, and the check says what it lacks."""
    done = run_train(tmp_path, "", "--new", "open_cam_early-03.yaml")
    checked = run_diagnose(tmp_path, "", "check", "open_cam_early-03.yaml")

    assert (0, "") == (done.returncode, done.stdout)
    assert "Fill it in, then: diagnose check open_cam_early-03.yaml" in done.stderr
    assert 4 == checked.returncode
    assert "[unsolvable]" in checked.stderr


def test_a_learners_lesson_is_kept_in_one_place(tmp_path):
    """A file for the lesson and a progress file do not go together."""
    assert 2 == run_train(tmp_path, "", CASE, "--learner", "ada", "--save", "x.json").returncode
