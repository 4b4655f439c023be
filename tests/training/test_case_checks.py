"""Cases as lessons: solvable, confirmable, nothing given away in the call; all shipped ones pass."""

from pathlib import Path

import pytest

from diagnose.errors import Fault
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import load_case, load_cases
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.case_checks import check_lesson

CASE = "limits/open_cam_early-01"


def check_changed(
    reasoner: Reasoner, folder: Path, old: str, new: str, case: str = CASE
) -> tuple[Fault, ...]:
    """Check a shipped case with some words of its file changed."""
    text = (cases_directory() / f"{case}.yaml").read_text("utf-8")
    assert old in text
    path = folder / "case.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return check_lesson(reasoner.prepared, load_case(path, reasoner.knowledge), path)


def test_every_shipped_case_is_a_lesson(reasoner):
    """All shipped cases are solvable, confirmable, and give nothing away."""
    root = cases_directory()
    cases = load_cases(root, reasoner.knowledge)
    faults = [
        fault
        for name, case in cases.items()
        for fault in check_lesson(reasoner.prepared, case, root / f"{name}.yaml")
    ]

    assert 170 <= len(cases)
    assert [] == faults


@pytest.mark.parametrize(
    "told",
    [
        "The open cam is early.",
        "I think the open limit cam trips its switch before the wanted open position.",
        "Somebody should reset the open limit cams",
    ],
)
def test_a_call_must_not_give_the_cause_away(reasoner, tmp_path, told):
    """The words of the cause's id, of its sentence or of its remedy in one sentence of the call are a fault."""
    (fault,) = check_changed(reasoner, tmp_path, "Harrow Fen, Tuesday", f"{told}\n  Harrow Fen, Tuesday")

    assert ("given-away", 3) == (fault.check, fault.line)
    assert "gives the cause away" in fault.wrong


def test_the_title_is_part_of_the_call(reasoner, tmp_path):
    """A title that names the cause is a fault in the line of the title."""
    (fault,) = check_changed(
        reasoner, tmp_path, "title: Filter outlet valve", "title: Open cam too early on the valve"
    )

    assert ("given-away", 2) == (fault.check, fault.line)


def test_words_scattered_over_the_call_give_nothing_away(reasoner, tmp_path):
    """The words of the cause's name in different sentences are no fault."""
    told = "It stays open. I was there early. There is a cam"

    assert () == check_changed(reasoner, tmp_path, "Harrow Fen, Tuesday", f"{told}.\n  Harrow Fen, Tuesday")


def test_a_case_that_points_elsewhere_says_why(reasoner, tmp_path):
    """With another confirmed cause the case is unsolvable, and the facts against that cause are named."""
    faults = check_changed(reasoner, tmp_path, "cause: open_cam_early", "cause: motor_winding_failed")
    unsolvable = next(fault for fault in faults if fault.check == "unsolvable")

    assert "behind open_cam_early" in unsolvable.wrong
    assert "dB against it" in unsolvable.wrong or "ruled out" in unsolvable.wrong


def test_a_case_that_denies_every_confirmation_is_refused(reasoner, tmp_path):
    """Where somebody saw the contrary of what each confirming inspection shows, nothing can confirm the cause."""
    text = (cases_directory() / f"{CASE}.yaml").read_text("utf-8")
    text = text.replace(
        "open_limit_made_short_of_end, state: present", "open_limit_made_short_of_end, state: absent"
    )
    text = text.replace(
        "hand_free_beyond_open_point, state: present", "hand_free_beyond_open_point, state: absent"
    )
    path = tmp_path / "case.yaml"
    path.write_text(text, encoding="utf-8")
    faults = check_lesson(reasoner.prepared, load_case(path, reasoner.knowledge), path)

    assert "unconfirmable" in {fault.check for fault in faults}


def test_hearsay_does_not_keep_an_inspection_from_confirming(reasoner):
    """A fuse that somebody says was looked at may still measure open."""
    path = cases_directory() / "card" / "card_fuse_blown-02.yaml"
    case = load_case(path, reasoner.knowledge)

    assert any(f.observation == "control_fuse_reads_open" and f.state == "absent" for f in case.facts)
    assert () == check_lesson(reasoner.prepared, case, path)


def test_a_case_without_a_confirmed_cause_is_no_lesson(reasoner, tmp_path):
    """A call that nobody has closed yet is not checked."""
    text = (cases_directory() / f"{CASE}.yaml").read_text("utf-8")
    path = tmp_path / "case.yaml"
    path.write_text(text[: text.index("confirmed:")], encoding="utf-8")

    assert () == check_lesson(reasoner.prepared, load_case(path, reasoner.knowledge), path)


def test_nothing_listed_must_not_be_explained_by_a_listed_cause(reasoner, tmp_path):
    """A case closed as `unlisted` whose facts point to a listed cause is unsolvable."""
    (fault,) = check_changed(reasoner, tmp_path, "cause: open_cam_early", "cause: unlisted")

    assert "unsolvable" == fault.check
