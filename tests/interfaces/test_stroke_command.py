"""The command `stroke`: text, JSON, case files, limits, comparison, page, picture and PDF, and its refusals."""

import json
import shutil
import sys
import xml.etree.ElementTree as ET

import pytest
from typer.testing import CliRunner

from diagnose.errors import InputFaulty
from diagnose.facts.case_file import load_case
from diagnose.facts.stroke.comparison import Comparison
from diagnose.facts.stroke.report import Report
from diagnose.interfaces import pdf
from diagnose.interfaces.cli import app
from diagnose.interfaces.stroke import Wishes
from diagnose.interfaces.stroke_run import run_stroke
from diagnose.knowledge.shipped import cases_directory

LOGS = cases_directory() / "logs"
BEFORE, AFTER = LOGS / "v_12_before.csv", LOGS / "v_12_after.csv"


def invoke(*arguments):
    """Run the command with the shipped rules."""
    return CliRunner().invoke(app, ["stroke", *map(str, arguments)])


def test_the_shipped_log_tells_the_clipped_end(capsys):
    """The example log gives the end it stops at, the shape, and what the ranker hears of it, in 80 columns."""
    run_stroke(Wishes(BEFORE))
    text = capsys.readouterr().out

    assert "Open end, short of 100 %      27.91" in text
    assert "The open end is clipped at 72.10 % travel with an exact middle" in text
    assert "open_limit_made_short_of_end present" in text
    assert [] == [line for line in text.splitlines() if len(line) > 80]


def test_verbose_lists_strokes_steps_and_points(capsys):
    """`-v` adds the tables and keeps to its columns."""
    run_stroke(Wishes(BEFORE, verbosity=1))
    text = capsys.readouterr().out

    assert {"Strokes", "Steps", "Resting points, travel in %"} <= set(text.splitlines())
    assert [] == [line for line in text.splitlines() if len(line) > 80]
    assert "command from 'command [mA]' (4-20 mA), position from 'position [%]' (0-100 %)" in " ".join(
        text.split()
    )


def test_the_report_as_json_reads_back():
    """`--json` prints the frozen document, which reads back whole."""
    report = Report.model_validate_json(invoke(BEFORE, "--json").stdout)

    assert "v_12_before.csv" == report.log
    assert "outside" == report.figure("travel_open_short").verdict


def test_a_finer_figure_than_the_log_is_no_pass(capsys):
    """A dead time below what a log of four samples a second can show is printed as cannot tell."""
    run_stroke(Wishes(BEFORE))

    (line,) = [line for line in capsys.readouterr().out.splitlines() if "Dead time" in line]
    assert "cannot tell <" in line


def test_before_and_after_with_the_acceptance_check(capsys):
    """The repair is accepted as far as the log shows, and the figures that moved are named."""
    run_stroke(Wishes(AFTER, before=BEFORE, cause="open_cam_early"))
    text = capsys.readouterr().out

    assert "Accepted as far as the log shows: 3 pass, 1 by hand." in text
    assert "[by hand] the stop not touched" in text
    (line,) = [line for line in text.splitlines() if line.startswith("Open end, short")]
    assert line.endswith("better")
    assert "CAUTION Before a manual-mode or stroke test, ask operations" in text
    assert [] == [line for line in text.splitlines() if len(line) > 80]


def test_the_log_before_the_repair_is_not_accepted():
    """Held against the same check, the log before the repair fails."""
    comparison = Comparison.model_validate_json(invoke(BEFORE, "--cause", "open_cam_early", "--json").stdout)

    assert "fail" == comparison.result
    assert comparison.before is None


def test_a_baseline_is_named_as_such(capsys):
    """Beside an as-commissioned log the column says so, and a worse figure is told."""
    run_stroke(Wishes(BEFORE, before=AFTER, is_baseline=True))
    text = capsys.readouterr().out

    assert "as commissioned" in text
    (line,) = [line for line in text.splitlines() if line.startswith("Open end, short")]
    assert line.endswith("worse")


def test_before_and_baseline_exclude_each_other():
    """Two earlier logs are a usage fault."""
    assert 2 == invoke(AFTER, "--before", BEFORE, "--baseline", BEFORE).exit_code


def test_an_unknown_cause_names_the_nearest():
    """A mistyped cause is a usage fault with a suggestion."""
    done = invoke(AFTER, "--cause", "open_cam_erly")

    assert 2 == done.exit_code
    assert "did you mean 'open_cam_early'" in done.stderr


def test_a_case_file_takes_the_facts(tmp_path, knowledge):
    """`--case` starts a case file that loads again, and a second log replaces the first one's word."""
    path = tmp_path / "call.yaml"
    run_stroke(Wishes(BEFORE, case=path))
    first = {fact.observation: fact.state for fact in load_case(path, knowledge).facts}
    run_stroke(Wishes(AFTER, case=path))
    second = {fact.observation: fact.state for fact in load_case(path, knowledge).facts}

    assert ("present", "absent") == (first["stops_short_of_open"], second["stops_short_of_open"])


def test_a_log_after_a_repair_is_told_after_it(tmp_path, knowledge):
    """In a case with a repair the log's facts are those seen after it."""
    path = tmp_path / "call.yaml"
    path.write_text("case: call\nrepairs:\n  - {cause: open_cam_early, still_faulty: true}\n", "utf-8")
    run_stroke(Wishes(AFTER, case=path))

    assert {"open_cam_early"} == {fact.after for fact in load_case(path, knowledge).facts}


def test_other_limits_change_the_verdict(tmp_path):
    """A file of limits in place of the shipped one is used, and what it leaves out is not judged."""
    path = tmp_path / "limits.yaml"
    path.write_text(
        "exact_within: 1\nexact_source: test\nlimits: {point_error: {at_most: 50, source: test}}\n", "utf-8"
    )
    report = Report.model_validate_json(invoke(BEFORE, "--limits", path, "--json").stdout)

    assert "within" == report.figure("point_error").verdict
    assert "not judged" == report.figure("hysteresis").verdict


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("limits: {}\n", "limits.yaml:1:1: [missing-key]"),
        ("exact_within: 1\nexact_source: t\nlimits: {drift: {at_most: 1, source: t}}\n", "limits.yaml:3:"),
        (
            "exact_within: 1\nexact_source: t\nlimits:\n  hysteresis: {source: t}\n",
            "limits.yaml:4:15: [model] limits.hysteresis: a limit has either at_most or at_least",
        ),
    ],
)
def test_faulty_limits_are_refused_at_their_place(tmp_path, text, told):
    """A fault of the limits names file, line and column."""
    path = tmp_path / "limits.yaml"
    path.write_text(text, "utf-8")

    with pytest.raises(InputFaulty) as error:
        run_stroke(Wishes(BEFORE, limits=path))

    assert told in str(error.value)


def test_a_pair_without_a_value_is_a_usage_fault():
    """`--column` wants NAME=UNIT."""
    assert 2 == invoke(BEFORE, "--column", "command").exit_code


def test_a_page_is_written_with_lines_to_sign(tmp_path):
    """`--html` gives one self-contained page: points, figures, cautions, and lines for date and names."""
    path = tmp_path / "proof.html"
    run_stroke(Wishes(AFTER, before=BEFORE, cause="open_cam_early", html=path))
    page = path.read_text("utf-8")

    assert page.startswith("<!DOCTYPE html>")
    assert "Accepted as far as the log shows" in page
    assert "Witnessed" in page
    assert "<script" not in page
    assert "http" not in page


def test_a_page_of_one_log_escapes_its_name(tmp_path):
    """A file name that looks like markup does no harm."""
    log = tmp_path / "a<b>.csv"
    log.write_bytes(BEFORE.read_bytes())
    run_stroke(Wishes(log, html=tmp_path / "a.html"))

    assert "a&lt;b&gt;.csv" in (tmp_path / "a.html").read_text("utf-8")


@pytest.mark.skipif(not any(map(shutil.which, pdf.BROWSERS)), reason="Chromium is not installed")
def test_a_pdf_is_printed(tmp_path):
    """`--pdf` gives a PDF file where Chromium is there."""
    run_stroke(Wishes(AFTER, before=BEFORE, cause="open_cam_early", pdf=tmp_path / "proof.pdf"))

    assert (tmp_path / "proof.pdf").read_bytes().startswith(b"%PDF")


def test_without_chromium_one_line_says_what_to_do(tmp_path, monkeypatch):
    """No Chromium: nothing is written, and the page is named as the way out."""
    monkeypatch.setattr(pdf, "BROWSERS", ("no-such-program",))

    with pytest.raises(InputFaulty, match="a PDF needs Chromium, which is not installed; use --html"):
        run_stroke(Wishes(AFTER, pdf=tmp_path / "proof.pdf"))
    assert [] == list(tmp_path.iterdir())


def test_a_png_is_drawn(tmp_path):
    """The ending .png gives a picture in that form."""
    run_stroke(Wishes(BEFORE, plot=tmp_path / "a.png"))

    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_an_svg_holds_curves_and_marks(tmp_path):
    """The ending .svg gives well-formed SVG without a date."""
    run_stroke(Wishes(BEFORE, plot=tmp_path / "a.svg"))

    assert ET.parse(tmp_path / "a.svg").getroot().tag.endswith("svg")  # noqa: S314 - our own file
    assert b"<dc:date>" not in (tmp_path / "a.svg").read_bytes()


def test_another_picture_ending_is_refused(tmp_path):
    """An unknown ending names those that can be drawn."""
    with pytest.raises(InputFaulty, match=r"no picture kind '\.bmp'; end the name in \.svg or \.png"):
        run_stroke(Wishes(BEFORE, plot=tmp_path / "a.bmp"))


def test_a_missing_drawing_library_is_one_line(tmp_path, monkeypatch):
    """Without matplotlib one line says what to install."""
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)

    with pytest.raises(InputFaulty, match=r"pip install 'diagnose\[pictures\]'"):
        run_stroke(Wishes(BEFORE, plot=tmp_path / "a.png"))


def test_a_unit_record_is_used(capsys):
    """A shipped unit record gives the limits that rest on it, and its name on the report."""
    run_stroke(Wishes(BEFORE, unit="v_12", as_json=True))
    report = json.loads(capsys.readouterr().out)
    bounds = {figure["id"]: figure["bound"] for figure in report["figures"]}

    assert "V-12" == report["asset"]
    assert "max 18.75 s" == bounds["stroke_time_opening"]
