"""Drafts: linted as warnings, told when they are ready or old, and never ranked."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from diagnose.interfaces.fixing import format_files, print_drafts, say_draft
from diagnose.knowledge.drafts import lint_drafts
from diagnose.knowledge.loader import load_knowledge

GOOD = Path(__file__).parent.parent / "fixtures" / "rules_good"
TODAY = date(2026, 6, 30)


@pytest.fixture
def base(tmp_path):
    """Copy the small rule base and give it a folder of drafts."""
    copied = Path(shutil.copytree(GOOD, tmp_path / "rules"))
    (copied / "_draft").mkdir()
    return copied


@pytest.fixture
def write_draft(base):
    """Give a function that writes a draft of a cause made from a finished one."""

    def write(cause="cam_bent", drafted="drafted: 2026-06-01\n", change=("", "")):
        text = (GOOD / "limits" / "cam_early.yaml").read_text("utf-8")
        text = text.replace("cause: cam_early", f"cause: {cause}").replace(*change)
        path = base / "_draft" / f"{cause}.yaml"
        path.write_text(drafted + text, "utf-8")
        return path

    return write


def test_a_whole_draft_is_called_ready(base, write_draft):
    """A draft without faults says where it goes."""
    path = write_draft()
    (draft,) = lint_drafts(base, TODAY)

    assert draft.is_ready
    assert [f"draft {path}: ready; move it to limits/cam_bent.yaml and take `drafted` out"] == list(
        say_draft(draft)
    )


def test_a_draft_is_checked_like_a_rule(base, write_draft):
    """An unknown observation in a draft is found at its line."""
    path = write_draft(change=("{to: switch_made,", "{to: switch_maid,"))
    (draft,) = lint_drafts(base, TODAY)

    assert not draft.is_ready
    assert [(str(path), 8, "vocabulary")] == [(f.path, f.line, f.check) for f in draft.faults]
    assert "switch_maid" in draft.faults[0].wrong


def test_a_doubled_id_is_a_fault_of_the_draft(base, write_draft):
    """A draft may not take the id of a finished cause."""
    write_draft(cause="cam_late")
    (draft,) = lint_drafts(base, TODAY)

    assert ["doubled-id"] == [fault.check for fault in draft.faults]


@pytest.mark.parametrize(("drafted", "old"), [("2026-04-01", False), ("2026-03-31", True)])
def test_a_draft_is_old_after_ninety_days(base, write_draft, drafted, old):
    """The day after ninety days a draft is listed as old."""
    write_draft(drafted=f"drafted: {drafted}\n")
    (draft,) = lint_drafts(base, TODAY)

    assert old == draft.is_old
    assert old == any("days old; finish it or drop it" in line for line in say_draft(draft))


@pytest.mark.parametrize("drafted", ["", "drafted: soon\n"])
def test_a_draft_without_a_date_is_told_so(base, write_draft, drafted):
    """A draft that bears no date, or no readable one, is not ready."""
    write_draft(drafted=drafted)
    (draft,) = lint_drafts(base, TODAY)

    assert ["draft-date"] == [fault.check for fault in draft.faults]


def test_a_draft_that_is_nothing_known_is_told_so(base):
    """A file that is neither cause, rules, inspections nor another section has no home."""
    (base / "_draft" / "x.yaml").write_text("drafted: 2026-06-01\nhello: world\n", "utf-8")
    (draft,) = lint_drafts(base, TODAY)

    assert ["draft"] == [fault.check for fault in draft.faults]


def test_drafts_are_never_ranked(base, write_draft):
    """A draft, ready or not, is no part of the knowledge base."""
    before = load_knowledge(base)
    write_draft()

    assert before == load_knowledge(base)


def test_drafts_are_warnings(base, write_draft, capsys):
    """The lines on drafts are printed and end nothing."""
    write_draft(change=("share: 0.2", "share: 2"))
    print_drafts(base)

    assert "[model] share: the value should be less than 1" in capsys.readouterr().out


def test_drafts_are_formatted_as_what_they_will_be(base, write_draft):
    """The formatter puts the keys of a draft into the order of a cause, its date first."""
    path = write_draft(drafted="", change=("part: limits", "part: limits\ndrafted: 2026-06-01"))

    assert format_files(base)[path].startswith("drafted: 2026-06-01\ncause: cam_bent\npart: limits\n")
