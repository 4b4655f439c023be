"""The commands `progress`, each from its arguments to what it prints, in one process."""

import csv
import json
from pathlib import Path

import pytest
from learners import make_tutor
from training_records import make_kept
from typer.testing import CliRunner

from diagnose.explanation.reasoner import Reasoner
from diagnose.interfaces.progress import app
from diagnose.training.progress import Progress
from diagnose.training.scene import Tutor

CASE = "limits/open_cam_early-01"


@pytest.fixture(scope="module")
def tutor(reasoner: Reasoner) -> Tutor:
    """Make the shipped rule base ready to teach, once."""
    return make_tutor(reasoner)


@pytest.fixture
def run(tmp_path, monkeypatch, tutor):
    """Run a command on a progress file of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("diagnose.interfaces.train_command.build_tutor", lambda: tutor)
    monkeypatch.chdir(tmp_path)

    def invoke(*arguments: str, typed: str = ""):
        return CliRunner().invoke(app, arguments, input=typed)

    return invoke


@pytest.fixture
def kept(tmp_path) -> Path:
    """Write a progress file of two learners."""
    path = tmp_path / "p.sqlite"
    Progress(path).keep(
        make_kept(1, "open_cam_early", "open_stop_too_far_in"),
        make_kept(2, "open_cam_early", "open_cam_early", days=1, total=95),
        make_kept(3, "card_failed", "card_failed", learner="=ben"),
    )
    return path


def test_next_names_titles_and_reasons_but_no_cause(run, kept):
    """What comes next is told by title; the ids and causes stand in the JSON only."""
    said = run("next", "--learner", "ada", "--progress", str(kept), "--most", "2")
    told = json.loads(
        run("next", "--learner", "ada", "--progress", str(kept), "--most", "2", "--json").stdout
    )

    assert 0 == said.exit_code
    assert [True, True] == [one["title"] in " ".join(said.stdout.split()) for one in told]
    assert [] == [line for line in said.stdout.splitlines() if len(line) > 80]
    assert "open_stop_too_far_in" == told[0]["cause"]
    assert told[0]["title"] in said.stdout
    assert "taken for each other" in said.stdout
    assert "open_stop" not in said.stdout


def test_next_of_a_difficulty_offers_only_such_cases(run):
    """With a difficulty asked for, every case offered has it, and the part too."""
    told = json.loads(
        run(
            "next", "--learner", "cy", "--difficulty", "1", "--part", "limits", "--most", "3", "--json"
        ).stdout
    )

    assert 3 == len(told)
    assert {(1, "limits")} == {(one["difficulty"], one["part"]) for one in told}


def test_an_unknown_part_names_the_nearest(run):
    """A part that does not exist is refused with the nearest one."""
    said = run("next", "--learner", "cy", "--part", "limts")

    assert 2 == said.exit_code
    assert "limits" in said.stderr


def test_show_lists_lessons_and_what_is_due(run, kept):
    """Lessons, due dates and confusions of one learner are shown, none of another."""
    said = run("show", "--learner", "ada", "--progress", str(kept)).stdout
    told = json.loads(run("show", "--learner", "ada", "--progress", str(kept), "--json").stdout)

    assert "named open_stop_too_far_in" in said
    assert "2026-03-04  open_cam_early" in said
    assert "card_failed" not in said
    assert (2, 1, 1) == (len(told["lessons"]), len(told["reviews"]), len(told["confusions"]))


def test_class_and_export_write_safe_tables(run, kept, tmp_path):
    """The class as text, JSON and CSV, and all lessons as CSV; a name that would run is held back."""
    said = run("class", "--progress", str(kept), "--csv", "class.csv")
    told = json.loads(run("class", "--progress", str(kept), "--json").stdout)
    count = json.loads(run("export", "lessons.csv", "--progress", str(kept), "--json").stdout)
    with (tmp_path / "lessons.csv").open(newline="") as stream:
        rows = list(csv.DictReader(stream))

    assert "1 times open_stop_too_far_in named where it was open_cam_early" in said.stdout
    assert ["=ben", "ada"] == [line["learner"] for line in told["learners"]]
    assert (3, 3) == (count["lessons"], len(rows))
    assert {"'=ben", "ada"} == {row["learner"] for row in rows}
    assert "'=ben" in (tmp_path / "class.csv").read_text("utf-8")


def test_a_damaged_file_is_one_line(run, tmp_path):
    """Reading a damaged progress file ends in one clear line, not in a trace."""
    (tmp_path / "p.sqlite").write_bytes(b"damaged" * 1000)
    done = run("class", "--progress", "p.sqlite")

    assert "cannot be used" in str(done.exception)
    assert "move the file away" in str(done.exception)


def test_an_exam_goes_on_and_its_result_verifies(run, tmp_path):
    """An exam cut off goes on with its moves; the sealed result verifies with its key, and a change is named."""
    (tmp_path / "key").write_text("the instructor's own key\n", encoding="utf-8")
    options = (
        "exam",
        CASE,
        "--result",
        "r.json",
        "--learner",
        "ada",
        "--progress",
        "p.sqlite",
        "--key",
        "key",
    )
    run(*options, typed="1\n2\n")
    run(*options, typed="close open_cam_early 90\n")
    whole = run("verify", "r.json", "--key", "key")
    document = json.loads((tmp_path / "r.json").read_text("utf-8"))
    document["result"]["grade"]["total"] = 100
    (tmp_path / "changed.json").write_text(json.dumps(document), encoding="utf-8")
    changed = run("verify", "changed.json", "--key", "key", "--json")

    assert ["ask_circumstance"] * 2 + ["close"] == [move["kind"] for move in document["result"]["moves"][:3]]
    assert (0, True) == (whole.exit_code, "Whole" in whole.stdout)
    assert (4, ["grade"]) == (changed.exit_code, json.loads(changed.stdout)["changed"])
    assert 2 == run("verify", "r.json").exit_code
    assert 2 == run(*options).exit_code


@pytest.mark.parametrize("content", ["", "{", "[]", '{"result": {}}', '{"a": ' * 5000])
def test_a_file_that_holds_no_result_is_refused(run, tmp_path, content):
    """What is no sealed result is one line that says so."""
    (tmp_path / "r.json").write_text(content, encoding="utf-8")

    assert "holds no sealed result" in str(run("verify", "r.json").exception)


def test_a_short_key_is_refused(run, tmp_path):
    """A key that could be guessed seals nothing."""
    (tmp_path / "key").write_text("short", encoding="utf-8")
    done = run("exam", CASE, "--result", "r.json", "--learner", "ada", "--key", "key")

    assert "the key has 5 characters" in str(done.exception)
    assert not (tmp_path / "r.json").exists()


def test_resume_goes_on_with_the_open_lesson(run, kept, tmp_path):
    """Without an open lesson the command says how to begin one."""
    done = run("resume", "--learner", "ada", "--progress", str(kept))

    assert 2 == done.exit_code
    assert "no open lesson" in done.stderr


def test_the_sheet_is_text_page_and_json(run, tmp_path):
    """The answer sheet of a case is printed, written as a page, and given as JSON."""
    text = run("sheet", CASE, "--seed", "3").stdout
    run("sheet", CASE, "--seed", "3", "--html", "s.html")
    told = json.loads(run("sheet", CASE, "--seed", "3", "--json").stdout)

    assert text.startswith("Answer sheet: Filter outlet valve")
    assert "<h2>What it was</h2>" in (tmp_path / "s.html").read_text("utf-8")
    assert (CASE, 3) == (told["case"], told["seed"])


@pytest.mark.parametrize("name", ["", "a\x1bb", "x" * 101])
def test_a_name_that_cannot_be_printed_is_refused(run, name):
    """A learner's name is 1 to 100 printable characters."""
    assert 2 == run("show", "--learner", name).exit_code
