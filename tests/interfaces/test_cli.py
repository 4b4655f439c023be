"""The command line: results, exit codes and one located line for each fault."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from diagnose.explanation.document import Explanation
from diagnose.explanation.text import render_text

ROOT = Path(__file__).parent.parent.parent
SMALL = ROOT / "tests" / "fixtures" / "rules_good"
SHIPPED = "limits/open_cam_early-01"
CASE = "case: call\ntitle: Stops short\nfacts:\n  - {observation: stops_short, state: present}\n"


def run(folder: Path, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the program in another directory than the checkout's."""
    return subprocess.run(
        [sys.executable, "-m", "diagnose", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", **more},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def run_small(folder: Path, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the program on the small rule base."""
    return run(folder, "--rules", str(SMALL), *arguments, **more)


@pytest.fixture
def folder(tmp_path) -> Path:
    """A directory with one case of the small base."""
    (tmp_path / "call.yaml").write_text(CASE)
    return tmp_path


def ensure_one_line(done: subprocess.CompletedProcess[str], code: int, start: str, words: str) -> None:
    """Hold a fault to its exit code and to one located line on the error stream alone."""
    assert code == done.returncode, done.stderr
    assert "" == done.stdout
    assert 1 == len(done.stderr.splitlines()), done.stderr
    assert done.stderr.startswith(start), done.stderr
    assert words in done.stderr
    assert "Traceback" not in done.stderr


# --- results


def test_a_shipped_case_is_explained_from_any_directory(tmp_path):
    """An id of a shipped case is found, and the ranking, the next step and cautions are printed."""
    done = run(tmp_path, "explain", SHIPPED)

    assert (0, "") == (done.returncode, done.stderr)
    assert f"({SHIPPED})" in done.stdout
    assert "Next" in done.stdout
    assert "CAUTION" in done.stdout
    assert [] == list(tmp_path.iterdir())


def test_a_file_is_explained_in_three_lengths(folder):
    """`-v` and `-vv` say more, and each is the text of the same document."""
    texts = [run_small(folder, "explain", "call.yaml", *more).stdout for more in ((), ("-v",), ("-vv",))]
    document = Explanation.model_validate_json(run_small(folder, "explain", "call.yaml", "--json").stdout)

    assert [render_text(document, verbosity) for verbosity in range(3)] == texts
    assert len(texts[0]) < len(texts[1]) < len(texts[2])


def test_the_page_is_written_and_nothing_printed(folder):
    """`--html` writes a whole page and says so on the error stream."""
    done = run_small(folder, "explain", "call.yaml", "--html", "page.html")

    assert (0, "", "Written: page.html\n") == (done.returncode, done.stdout, done.stderr)
    assert (folder / "page.html").read_text().endswith("</html>\n")


def test_a_page_that_cannot_be_written_is_an_input_fault(folder):
    """A missing directory for the page is one line, exit code 4, and leaves nothing behind."""
    done = run_small(folder, "explain", "call.yaml", "--html", "nowhere/page.html")

    ensure_one_line(done, 4, "nowhere/page.html:1:1: [unwritable]", "name another file")
    assert ["call.yaml"] == [path.name for path in folder.iterdir()]


def test_a_faulty_rule_base_lists_every_fault_with_its_place(tmp_path):
    """Faults of rules are located lines on the error stream, exit code 3."""
    import shutil

    rules = tmp_path / "rules"
    shutil.copytree(SMALL, rules)
    (rules / "stops" / "stop_in.yaml").write_text("cause: stop_in\nshare: 7\nshare: 8\n")
    (rules / "limits" / "cam_early.yaml").write_text("cause: [\n")
    done = run(tmp_path, "check", "rules")
    places = [line.partition(": [")[0] for line in done.stderr.splitlines()]

    assert (3, "") == (done.returncode, done.stdout)
    assert any(place.startswith("rules/limits/cam_early.yaml:") for place in places)
    assert any(place.startswith("rules/stops/stop_in.yaml:3") for place in places)


def test_the_schema_is_printed_as_json(tmp_path):
    """`check --schema` gives a JSON Schema and reads no rules."""
    done = run(tmp_path, "--rules", "nowhere", "check", "--schema")
    schema = json.loads(done.stdout)

    assert (0, "") == (done.returncode, done.stderr)
    assert {"$schema", "$defs"} & set(schema)


@pytest.mark.parametrize("option", ["--help", "-h"])
def test_help_names_the_exit_codes(tmp_path, option):
    """The help says what each exit code means."""
    done = run(tmp_path, option)

    assert 0 == done.returncode
    assert "Exit codes: 0 done, 2 usage, 3 rules faulty, 4 input faulty" in " ".join(done.stdout.split())


def test_the_version_is_printed(tmp_path):
    """`--version` gives name and version."""
    from diagnose import __version__

    assert f"diagnose {__version__}\n" == run(tmp_path, "--version").stdout


def test_a_closed_pipe_is_no_fault(folder):
    """A reader that stops early ends the program quietly."""
    command = f"{sys.executable} -m diagnose --rules {SMALL} explain call.yaml -vv | true"
    done = subprocess.run(
        ["bash", "-c", f"{command}; echo ${{PIPESTATUS[0]}}"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )

    assert ("0\n", "") == (done.stdout, done.stderr)


# --- usage


@pytest.mark.parametrize(
    "arguments",
    [
        ("explain",),
        ("explain", "call.yaml", "more"),
        ("explain", "call.yaml", "--colour"),
        ("nosuch",),
        ("ask", "--case"),
        ("--rules",),
    ],
)
def test_wrong_usage_exits_with_two(folder, arguments):
    """A missing or unknown argument is a usage fault on the error stream."""
    done = run(folder, *arguments)

    assert (2, "") == (done.returncode, done.stdout)
    assert "Traceback" not in done.stderr


# --- bad input


@pytest.mark.parametrize(
    "text, place, words",
    [
        ("case: [\n", "call.yaml:2:1: [", "; "),
        ("", "call.yaml:1:1: [", "; "),
        ("- one\n", "call.yaml:1:1: [model]", "no case"),
        (
            CASE.replace("stops_short", "stop_short"),
            "call.yaml:4:19: [vocabulary]",
            "did you mean 'stops_short'?",
        ),
        (CASE + "  - {observation: stops_short, state: absent}\n", "call.yaml:5:19: [both-states]", "both"),
        (CASE + "readings:\n  - {reading: end_current, value: 3}\n", "call.yaml:6:", "; "),
        (
            CASE + "readings:\n  - {reading: end_current, value: '3'}\n",
            "call.yaml:6:35: [reading]",
            "no unit",
        ),
        (
            CASE + "readings:\n  - {reading: end_current, value: 60 A}\n",
            "call.yaml:6:35: [reading]",
            "0 and 50",
        ),
        (
            CASE + "readings:\n  - {reading: end_curent, value: 6 A}\n",
            "call.yaml:6:15: [vocabulary]",
            "end_current",
        ),
        (CASE + "circumstances: {duty: sometimes}\n", "call.yaml:5:", "use one of"),
        (CASE + "title: again\n", "call.yaml:5:1: [", "title"),
        (CASE + "colour: blue\n", "call.yaml:5:1: [", "colour"),
        (CASE + "closed: {root_cause: stop_inn}\n", "call.yaml:5:", "stop_in"),
        ("a: &a [x]\nb: [*a, *a, *a]\n" + CASE, "call.yaml:", "; "),
    ],
)
@pytest.mark.parametrize("command", [("explain",), ("ask", "--case")])
def test_a_faulty_case_is_one_located_line(tmp_path, command, text, place, words):
    """Each fault of a case has file, line, column, what is wrong and what to do; nothing else happens."""
    (tmp_path / "call.yaml").write_text(text)
    done = run_small(tmp_path, *command, "call.yaml")
    lines = done.stderr.splitlines()

    assert (4, "") == (done.returncode, done.stdout)
    assert 1 <= len(lines) <= 2
    assert lines[0].startswith(place), done.stderr
    assert words in lines[0]
    assert ["call.yaml"] == [path.name for path in tmp_path.iterdir()]


@pytest.mark.parametrize(
    "content",
    [bytes(range(256)), b"\x89PNG\r\n\x1a\n\0\0", b"\xff\xfe" + "case".encode("utf-16-le"), b"case: a\0b\n"],
    ids=["every-byte", "picture", "utf-16", "null"],
)
def test_a_binary_file_is_one_located_line(tmp_path, content):
    """A file that is no text is refused with its place."""
    (tmp_path / "call.yaml").write_bytes(content)

    ensure_one_line(run_small(tmp_path, "explain", "call.yaml"), 4, "call.yaml:", "; ")


def test_a_huge_case_is_refused_unread(tmp_path):
    """Fifty megabytes are refused by their size."""
    with (tmp_path / "call.yaml").open("wb") as stream:
        stream.write(b"case: call\n")
        stream.truncate(50_000_000)

    ensure_one_line(run_small(tmp_path, "explain", "call.yaml"), 4, "call.yaml:1:1: [", "; ")


@pytest.mark.parametrize("named", ["nosuch.yaml", ".", "limits/nosuch-01"])
def test_a_case_that_is_not_there_is_one_line(tmp_path, named):
    """A missing file, a directory and an unknown id are input faults."""
    ensure_one_line(run_small(tmp_path, "explain", named), 4, f"{named}:1:1: [", "; ")


@pytest.mark.parametrize("command", [("check",), ("explain", SHIPPED), ("ask",)])
def test_a_missing_rule_folder_is_one_line(tmp_path, command):
    """Whatever is asked, a rule folder that is not there has exit code 3, by option and by environment."""
    by_option = run(tmp_path, "--rules", "nowhere", *command)
    by_environment = run(tmp_path, *command, DIAGNOSE_RULES="nowhere")

    ensure_one_line(by_option, 3, "nowhere:1:1: [", "; ")
    assert by_option.stderr == by_environment.stderr


def test_an_empty_rule_folder_is_faulty(tmp_path):
    """A folder without rules has exit code 3 and located lines."""
    (tmp_path / "empty").mkdir()
    done = run(tmp_path, "--rules", "empty", "check")

    assert (3, "") == (done.returncode, done.stdout)
    assert all(line.startswith("empty") for line in done.stderr.splitlines())


def test_a_faulty_unit_record_is_one_located_line(tmp_path):
    """A unit record with an impossible value is an input fault before the first question."""
    (tmp_path / "unit.yaml").write_text("asset: V-12\nsupply_volts: -3\n")
    done = run_small(tmp_path, "ask", "--unit", "unit.yaml")

    ensure_one_line(done, 4, "unit.yaml:2:15: [model]", "; ")


# --- bugs


def call_main(monkeypatch, capsys, *arguments: str) -> tuple[int, str, str]:
    """Run the door of the program in this process; give exit code and both streams."""
    from diagnose.interfaces import cli

    monkeypatch.setattr(sys, "argv", ["diagnose", *arguments])
    monkeypatch.setattr(os, "environ", dict(os.environ))
    with pytest.raises(SystemExit) as ended:
        cli.main()
    told = capsys.readouterr()
    return int(ended.value.code or 0), told.out, told.err


def break_loading(monkeypatch) -> None:
    """Plant a bug."""

    def fail(_: object) -> None:
        raise RuntimeError("two\nlines")

    monkeypatch.setattr("diagnose.knowledge.loader.load_knowledge", fail)


def test_a_bug_is_one_friendly_line(monkeypatch, capsys):
    """What nobody foresaw is one line that asks for a report, exit code 1."""
    break_loading(monkeypatch)
    code, out, err = call_main(monkeypatch, capsys, "explain", SHIPPED)

    assert (1, "") == (code, out)
    assert "This is a bug: RuntimeError: two lines. Run again with --debug and report it.\n" == err


def test_a_traceback_comes_with_debug_alone(monkeypatch, capsys):
    """`--debug` adds the traceback and changes neither line nor exit code."""
    break_loading(monkeypatch)
    code, _, err = call_main(monkeypatch, capsys, "--debug", "explain", SHIPPED)

    assert 1 == code
    assert err.startswith("Traceback")
    assert err.endswith("report it.\n")


def test_debug_keeps_the_exit_code_of_a_fault(tmp_path):
    """A faulty input stays exit code 4 under `--debug`."""
    done = run_small(tmp_path, "--debug", "explain", "nosuch.yaml")

    assert 4 == done.returncode
    assert "Traceback" in done.stderr
    assert done.stderr.splitlines()[-1].startswith("nosuch.yaml:1:1: [")
