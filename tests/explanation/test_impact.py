"""What an edit of the rules changes: which calls, and by which edit."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.errors import InputFaulty
from diagnose.explanation.edits import list_edits, put_back
from diagnose.explanation.impact import (
    Impact,
    compare_judged,
    judge_calls,
    render_impact,
)
from diagnose.facts.case_file import list_case_files
from diagnose.interfaces.impact import run_against
from diagnose.knowledge.loader import load_knowledge

GOOD = Path(__file__).parent.parent / "fixtures" / "rules_good"
CASE = """\
case: ends/short-01
facts:
  - {observation: stops_short, state: present}
confirmed: {cause: cam_early, found: The cam was early}
"""
OTHER = """\
case: ends/hums-01
facts:
  - {observation: motor_hums, state: present}
"""


@pytest.fixture
def edited(tmp_path):
    """Copy the small rule base and weaken one link in it."""
    copied = Path(shutil.copytree(GOOD, tmp_path / "rules"))
    path = copied / "limits" / "cam_early.yaml"
    text = path.read_text("utf-8").replace(
        "{to: stops_short, strength: always}", "{to: stops_short, strength: never}"
    )
    path.write_text(text.replace("share: 0.2", "share: 0.21"), "utf-8")
    return copied


@pytest.fixture
def cases(tmp_path):
    """Write two calls and a unit record beside them."""
    for name, text in (("ends/short-01", CASE), ("ends/hums-01", OTHER), ("units/v_12", "asset: V-12\n")):
        path = tmp_path / "cases" / f"{name}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return tmp_path / "cases"


def compare(before, after, cases):
    """Compare two rule bases on the calls of a directory."""
    paths = list_case_files(cases)
    judged = tuple(judge_calls(base, paths, with_next=False) for base in (before, after))
    found = {str(path): (path.stem, "cam_early" if "short" in path.stem else "") for path in paths}
    return compare_judged(before, after, judged, found)


def test_an_edit_is_said_link_by_link(small_base, edited):
    """The differences of a cause name the link with both strengths, and the changed field."""
    (edit,) = list_edits(small_base, load_knowledge(edited))

    assert "limits/cam_early.yaml: share 0.2 -> 0.21; link stops_short always -> never" == str(edit)


def test_the_edit_behind_a_changed_call_is_named(small_base, edited, cases):
    """The call whose first cause moved names the edit that, put back, brings it back; others stay unnamed."""
    impact = compare(small_base, load_knowledge(edited), cases)
    (change,) = impact.changes

    assert ("short-01", "cam_early") == (change.case, change.before.first)
    assert "cam_early" != change.after.first
    assert not change.together
    assert change.because[0].startswith("limits/cam_early.yaml: ")
    assert (2, 1, 0, 1) == (impact.cases, impact.right_before, impact.right_after, impact.confirmed)


def test_equal_rules_change_nothing(small_base, cases):
    """A rule base compared with itself has no edits and no changes."""
    impact = compare(small_base, small_base, cases)

    assert (0, ()) == (impact.edits, impact.changes)


def test_an_edit_that_others_need_is_not_put_back_alone(small_base):
    """An observation added together with a link to it cannot be taken away by itself."""
    before = replace(
        small_base, observations={k: v for k, v in small_base.observations.items() if k != "switch_made"}
    )
    (edit,) = list_edits(before, small_base)

    assert "observations.yaml switch_made: added" == str(edit)
    assert put_back(before, small_base, edit) is None


def test_a_call_that_one_side_cannot_read_is_listed(small_base, edited, cases):
    """A call that names an unknown observation is told, and the rest is compared."""
    (cases / "ends" / "odd-01.yaml").write_text(
        "case: ends/odd-01\nfacts: [{observation: nowhere, state: present}]\n", "utf-8"
    )
    impact = compare(small_base, load_knowledge(edited), cases)

    assert 2 == impact.cases
    assert "no observation 'nowhere'" in impact.unreadable[0]


def test_a_confirmed_cause_that_one_side_lacks_hinders_nothing(small_base, cases):
    """What was found is not read, so a cause new in one rule base does not stop the other."""
    path = cases / "ends" / "short-01.yaml"
    path.write_text(CASE.replace("cause: cam_early", "cause: brand_new"), "utf-8")

    assert str(path) in judge_calls(small_base, [path], with_next=False)[0]


def test_impact_comes_back_from_its_json(small_base, edited, cases):
    """The document alone gives the same text again."""
    impact = compare(small_base, load_knowledge(edited), cases)

    assert render_impact(impact) == render_impact(Impact.model_validate_json(impact.model_dump_json()))


def test_next_steps_are_compared_over_both_cores(edited, cases, capsys):
    """With the next steps asked for, each changed call shows its step under both rules."""
    run_against(edited, GOOD, cases, with_next=True, as_json=True)
    impact = Impact.model_validate_json(capsys.readouterr().out)

    assert all(change.before.next and change.after.next for change in impact.changes)
    assert {"ends/short-01"} <= {change.case for change in impact.changes}


def test_edits_that_act_only_together_are_listed_as_such(small_base, edited, cases):
    """Where no edit put back alone brings the earlier answer back, those of the leading causes are named together."""
    after = load_knowledge(edited)
    stop_in = after.causes["stop_in"]
    heavier = stop_in.model_copy(update={"share": stop_in.share * 1.5})
    # the weakened link and the larger share would each put stop_in first by itself
    after = replace(after, causes={**after.causes, "stop_in": heavier})
    (change,) = (c for c in compare(small_base, after, cases).changes if c.case == "short-01")

    assert change.together
    assert ["limits/cam_early.yaml", "stops/stop_in.yaml"] == [
        text.partition(":")[0] for text in change.because
    ]


def test_a_directory_without_cases_is_refused(edited, tmp_path):
    """No case files is an error of the input, not an empty result."""
    with pytest.raises(InputFaulty, match="no case files there"):
        run_against(edited, GOOD, tmp_path / "nowhere", with_next=False, as_json=False)
