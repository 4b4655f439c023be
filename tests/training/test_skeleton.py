"""Case skeletons: they read as cases, name what is wanted, and the check finds them unfinished until filled in."""

import re

import pytest

from diagnose.facts.case_file import load_case
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.case_checks import check_lesson
from diagnose.training.skeleton import write_skeleton


def read_skeleton(knowledge, folder, name, change=lambda text: text):
    """Write a skeleton, change its text and load it as a case."""
    path = folder / "case.yaml"
    path.write_text(change(write_skeleton(knowledge, name)), encoding="utf-8")
    return load_case(path, knowledge), path


def test_every_cause_has_a_skeleton_that_reads_as_a_case(knowledge, tmp_path):
    """For each cause the skeleton loads, names it, and lists what confirms it."""
    for name, record in knowledge.causes.items():
        case, path = read_skeleton(knowledge, tmp_path, f"{record.part}/{name}-03")
        text = path.read_text("utf-8")

        assert case.confirmed is not None
        assert name == case.confirmed.cause
        assert all(observation in text for way in record.confirmed_by for observation in way.expects)


def test_an_unfilled_skeleton_does_not_pass_as_a_lesson(reasoner, tmp_path):
    """A skeleton without facts is unsolvable, and that is said."""
    case, path = read_skeleton(reasoner.knowledge, tmp_path, "motor/motor_brake_fault-03")
    faults = check_lesson(reasoner.prepared, case, path)

    assert ["unsolvable"] == [fault.check for fault in faults]
    assert "the case states no fact" in faults[0].wrong


@pytest.mark.parametrize("cause", ["limits/open_cam_early", "card/card_fuse_blown", "drive/drive_gear_worn"])
def test_taking_the_confirming_lines_in_makes_it_a_lesson(reasoner, tmp_path, cause):
    """With the lines that confirm the cause no longer commented out, the case is solvable."""

    def take_in(text: str) -> str:
        facts = "\n".join(re.findall(r"^#( +- \{observation: (?!\.).*)$", text, re.MULTILINE))
        return text.replace("facts: []", f"facts:\n{facts}")

    case, path = read_skeleton(reasoner.knowledge, tmp_path, f"{cause}-03", take_in)

    assert case.facts
    assert () == check_lesson(reasoner.prepared, case, path)


def test_a_name_without_a_cause_gives_a_case_of_something_not_listed(knowledge, tmp_path):
    """A file not named after a cause still gives a case, closed as not listed until somebody says otherwise."""
    case, _ = read_skeleton(knowledge, tmp_path, "mine/first")

    assert case.confirmed is not None
    assert ("mine/first", "unlisted") == (case.case, case.confirmed.cause)


def test_the_values_offered_are_those_of_the_rule_base(knowledge):
    """Each circumstance that is asked first stands with all its values."""
    text = write_skeleton(knowledge, "mine/first")
    for name, record in knowledge.circumstances.items():
        if record.asked_first:
            assert f"# {name}: {' | '.join(record.values)}" in text


def test_the_shipped_names_are_understood(knowledge):
    """The name of every shipped case gives its own cause."""
    for path in cases_directory().glob("limits/*.yaml"):
        name = path.relative_to(cases_directory()).with_suffix("").as_posix()
        assert f"\n  cause: {path.stem.rpartition('-')[0]}\n" in write_skeleton(knowledge, name)
