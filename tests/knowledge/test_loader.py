"""The loader: a clean base loads, and every kind of fault is found at its file and line."""

import os
from pathlib import Path

import pytest

from diagnose.errors import RulesFaulty
from diagnose.knowledge.loader import load_knowledge

EXTRA = "derived/extra.yaml"
# folder of rules_bad and check in one, then file and line of the fault
FAULTS = [
    ("yaml", EXTRA, 3),
    ("doubled-key", EXTRA, 4),
    ("unknown-key", EXTRA, 5),
    ("missing-key", EXTRA, 2),
    ("model", "inspections/extra.yaml", 5),
    ("vocabulary", EXTRA, 5),
    ("doubled-id", EXTRA, 2),
    ("format-version", "format.yaml", 2),
    ("file-name", "limits/cam_much_too_early.yaml", 1),
    ("stray-file", "notes.yaml", 1),
    ("reserved", "circumstances.yaml", 8),
    ("too-deep", EXTRA, 3),
    ("not-text", EXTRA, 3),
    ("one-group", "observations.yaml", 7),
    ("one-set", "exclusive.yaml", 3),
    ("together", "exclusive.yaml", 7),
    ("reveals", "inspections/extra.yaml", 7),
    ("derived", "observations.yaml", 18),
    ("circumstance", "stops/stop_out.yaml", 8),
    ("access-way", "access.yaml", 5),
]


@pytest.mark.parametrize(("check", "file", "line"), FAULTS, ids=[fault[0] for fault in FAULTS])
def test_each_fault_is_found_at_its_place(rules, check, file, line):
    """One faulty file gives one fault, with its check, file and line."""
    rules.lay_over(check)

    assert [(check, file, line)] == rules.faults()


def test_every_faulty_folder_is_tried(rules):
    """No folder of faulty files is forgotten by the list above."""
    folders = Path(__file__).parent.parent / "fixtures" / "rules_bad"

    assert {fault[0] for fault in FAULTS} == {path.name for path in folders.iterdir() if path.is_dir()}


def test_the_small_base_loads_clean(small_base):
    """The small base is complete: every kind of entry is there."""
    assert ["cam_early", "cam_late", "stop_in", "stop_out"] == list(small_base.causes)
    assert 10 == len(small_base.observations)
    assert ("stops_short", "runs_past_open") == small_base.group_of("stops_short")
    assert () == small_base.group_of("switch_made")
    assert 0.02 == small_base.background("stops_short")
    assert {"heat_caution", "limit_stops_early"} == set(small_base.rules)
    assert {None: 3} == count_links(small_base, "cam_early")
    assert {"turned_in": 1, "bent": 1} == count_links(small_base, "stop_in")
    assert small_base.causes["stop_in"].remedy is small_base.remedy("stop_in", "bent")


def count_links(base, cause):
    """Count the links of a cause by mode."""
    modes = [mode for mode, _ in base.all_links(cause)]
    return {mode: modes.count(mode) for mode in modes}


def test_all_faults_come_at_once_and_sorted(rules):
    """Faults of several files are collected in one error, by file and line."""
    rules.lay_over("yaml")
    rules.lay_over("model")
    rules.replace("limits/cam_early.yaml", "share: 0.2", "share: 2")
    rules.replace("limits/cam_early.yaml", "verdict: next_shift", "verdict: some_day")

    assert [
        ("yaml", EXTRA, 3),
        ("model", "inspections/extra.yaml", 5),
        ("model", "limits/cam_early.yaml", 4),
        ("model", "limits/cam_early.yaml", 24),
    ] == rules.faults()


def test_missing_directory_is_told(tmp_path):
    """A rules directory that is not there is one fault of its own."""
    with pytest.raises(RulesFaulty) as caught:
        load_knowledge(tmp_path / "nowhere")

    assert ["no-rules"] == [fault.check for fault in caught.value.faults]
    assert str(tmp_path / "nowhere") == caught.value.faults[0].path


@pytest.mark.parametrize("name", ["format.yaml", "access.yaml", "observations.yaml", "readings.yaml"])
def test_missing_file_is_told(rules, name):
    """A file that every rule base needs is named when it is missing."""
    (rules.directory / name).unlink()

    assert ("missing-file", name, 1) in rules.faults()


def test_base_without_causes_is_refused(rules):
    """A rule base that knows no cause can rank nothing."""
    for path in [*rules.directory.glob("limits/*"), *rules.directory.glob("stops/*")]:
        path.unlink()
    (rules.directory / "exclusive.yaml").write_text("sets: {}\n", "utf-8")

    assert [("no-rules", "format.yaml", 1)] == rules.faults()


def test_unreadable_file_is_told(rules):
    """What cannot be opened as a file is a fault, not a crash."""
    (rules.directory / "stops" / "odd.yaml").mkdir()

    assert [("unreadable", "stops/odd.yaml", 1)] == rules.faults()


@pytest.mark.parametrize(
    "name", ["stops/odd.yml", "stops/odd.YAML", "stops/deep/odd.yaml", "inspections.yaml"]
)
def test_file_that_would_be_passed_over_is_told(rules, name):
    """A file that looks like a rule file but would never be read is a fault."""
    path = rules.directory / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("cause: odd\n", "utf-8")

    assert [("stray-file", name, 1)] == rules.faults()


@pytest.mark.parametrize("name", ["_draft/limits/later.yaml", "language/words.yaml", ".hidden/note.yaml"])
def test_folders_without_rules_are_left_alone(rules, name):
    """Drafts, language files and hidden folders are no part of the rule base."""
    path = rules.directory / name
    path.parent.mkdir(parents=True)
    path.write_text("not: [a rule\n", "utf-8")

    assert 4 == len(load_knowledge(rules.directory).causes)


def test_huge_file_is_refused_unread(rules):
    """A file of 50 MB is refused by its size; here it is a hole that would read as zeros."""
    path = rules.directory / "stops" / "huge.yaml"
    path.touch()
    os.truncate(path, 50_000_000)

    assert [("too-large", "stops/huge.yaml", 1)] == rules.faults()
    assert "50,000,000 bytes" in str(rules.error())


@pytest.mark.parametrize("given", ["true", "'1'", "1.0", "null"])
def test_format_version_is_a_whole_number(rules, given):
    """Only the number itself is our format; what merely equals it is not."""
    rules.replace("format.yaml", "format_version: 1", f"format_version: {given}")

    assert [("format-version", "format.yaml", 2)] == rules.faults()
    assert "bring the rules to the program's format" in str(rules.error())


def test_later_format_asks_for_a_newer_program(rules):
    """Rules newer than the program say which side is old, and nothing else."""
    rules.lay_over("format-version")
    rules.lay_over("yaml")

    assert ["update the program"] == [fault.cure for fault in rules.error().faults]


def test_version_follows_the_text_of_the_rules(rules, small_base):
    """The same files give the same version in any place; one changed letter gives another."""
    same = load_knowledge(rules.directory).version
    rules.replace("limits/cam_early.yaml", "too early", "too soon")

    assert small_base.version == same
    assert same != load_knowledge(rules.directory).version


@pytest.mark.parametrize(
    ("file", "old", "new", "wrong"),
    [
        ("format.yaml", "  hearsay: [0.7, 0.3]\n", "", "missing: hearsay"),
        ("format.yaml", "rarely: 0.1, ", "", "missing: rarely"),
        ("format.yaml", "remote: 0.001, ", "", "missing: remote"),
        ("format.yaml", "always: 0.98", "always: 1", "between 0.01 and 0.99"),
        ("format.yaml", "ticket: [0.95, 0.05]", "ticket: [0.5, 0.5]", "told more often"),
        ("format.yaml", "conflict_decibans: 10", "conflict_decibans: nan", "finite number"),
        ("cautions.yaml", "  line_work: [lock_out]\n", "", "no safety line for the acts line_work"),
        ("cautions.yaml", "line_work: [lock_out]", "line_work: []", "at least 1 item"),
        ("readings.yaml", "lowest: 0", "lowest: 1000", "`lowest` must lie below"),
        ("readings.yaml", "limit: 10}", "limit: 10, limit_of: supply_volts}", "exactly one of"),
        ("readings.yaml", "observation: supply_low", "observation: supply_dead", "supply_dead twice"),
        ("limits/cam_early.yaml", "to: switch_made", "to: stops_short", "stops_short twice"),
        ("stops/stop_in.yaml", "portion: 0.3", "portion: 0.4", "add up to 1.1"),
        ("observations.yaml", "[supply_dead, supply_low]", "[supply_dead, supply_dead]", "supply_dead twice"),
        (
            "derived/ends.yaml",
            "{switch_made: present}",
            "{switch_made: true}",
            "'switch_made' must be a word",
        ),
    ],
)
def test_models_refuse_what_would_fail_in_the_middle_of_a_case(rules, file, old, new, wrong):
    """Incomplete tables, impossible limits and doubled names are faults at load."""
    rules.replace(file, old, new)

    error = rules.error()

    assert [("model", file)] == [(check, name) for check, name, _ in rules.faults()]
    assert wrong in str(error)


def test_unknown_key_names_the_nearest_key_of_its_own_level(rules):
    """The cure for a mistyped key comes from the model that it stands in."""
    rules.replace("limits/cam_early.yaml", "decibans: 6", "decibels: 6")
    rules.replace("stops/stop_in.yaml", "portion: 0.7", "porton: 0.7")

    cures = {fault.cure for fault in rules.error().faults if fault.check == "unknown-key"}

    assert {"did you mean 'decibans'?", "did you mean 'portion'?"} == cures


def test_a_flood_of_faults_is_cut_short(rules):
    """Of thousands of faults in one file the first are told, and how many more there are."""
    keys = "".join(f"wrong_{number}: 1\n" for number in range(3000))
    (rules.directory / "derived" / "extra.yaml").write_text("rules: []\n" + keys, "utf-8")

    faults = rules.error().faults

    assert 201 == len(faults)
    assert "2800 more faults in this file" in {fault.wrong for fault in faults}
