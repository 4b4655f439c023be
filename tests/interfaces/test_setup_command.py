"""The commands `setup` and `show`: files, refusals and exit codes."""

import json

import pytest
from typer.testing import CliRunner

from diagnose.errors import InputFaulty
from diagnose.interfaces.cli import app
from diagnose.interfaces.setup import run_setup


def test_a_sheet_is_written_to_a_file(knowledge, tmp_path, capsys):
    """`--out` writes the sheet and prints nothing on standard output."""
    run_setup(knowledge, "fcv_3", tmp_path / "sheet.txt", as_json=False)

    assert (tmp_path / "sheet.txt").read_text("utf-8").startswith("COMMISSIONING SHEET  FCV-3\n")
    assert "" == capsys.readouterr().out


def test_a_sheet_is_given_as_json(knowledge, capsys):
    """`--json` prints the document."""
    run_setup(knowledge, "v_12", None, as_json=True)

    assert "V-12" == json.loads(capsys.readouterr().out)["asset"]


def test_a_faulty_unit_record_is_refused_at_its_line(knowledge, tmp_path):
    """An unknown field is named with its line and the nearest known one."""
    path = tmp_path / "unit.yaml"
    path.write_text("asset: V-1\nstroke_time: 15\n", "utf-8")

    with pytest.raises(InputFaulty, match=r"unit\.yaml:2:1: \[unknown-key\].*did you mean 'stroke_time_s'"):
        run_setup(knowledge, str(path), None, as_json=False)


def test_show_prints_pages_as_json():
    """`show --json` gives the list of pages of an id."""
    done = CliRunner().invoke(app, ["show", "hazardous_area", "--json"])

    assert ["circumstance", "caution"] == [page["kind"] for page in json.loads(done.stdout)]
