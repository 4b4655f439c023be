"""A new case file: written once, named as shipped cases are, refused where the name is none."""

import pytest

from diagnose.errors import UsageWrong
from diagnose.facts.case_file import load_case
from diagnose.interfaces.new_case import write_new_case


def test_a_new_case_has_the_name_of_its_file(knowledge, tmp_path):
    """A file in the folder of a part gives the id that a shipped case of that name would have, and its cause."""
    path = tmp_path / "limits" / "open_cam_early-03.yaml"
    path.parent.mkdir()
    write_new_case(path)
    case = load_case(path, knowledge)

    assert case.confirmed is not None
    assert ("limits/open_cam_early-03", "open_cam_early") == (case.case, case.confirmed.cause)


def test_a_folder_that_is_no_id_is_left_out(knowledge, tmp_path):
    """In a folder with capitals the case has the name of the file alone."""
    path = tmp_path / "My Cases" / "first.yaml"
    path.parent.mkdir()
    write_new_case(path)

    assert "first" == load_case(path, knowledge).case


def test_a_file_that_is_there_is_not_overwritten(tmp_path):
    """What somebody wrote stays as it is."""
    path = tmp_path / "mine.yaml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(UsageWrong, match="is there already"):
        write_new_case(path)

    assert "mine" == path.read_text("utf-8")


@pytest.mark.parametrize("name", ["Case One.yaml", "case.txt", "1.yaml", "case"])
def test_a_name_that_is_none_for_a_case_is_refused(tmp_path, name):
    """Capitals, blanks, other endings and a leading digit are refused with how to name it."""
    with pytest.raises(UsageWrong, match=r"part/cause-03\.yaml"):
        write_new_case(tmp_path / name)
