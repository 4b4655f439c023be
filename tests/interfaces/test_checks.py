"""The checks of a rule base: each finds what is wrong at its file and line, and nothing beside it."""

import shutil
import time
from pathlib import Path

import pytest

from diagnose.errors import InputFaulty, RulesFaulty
from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.interfaces.checking import check_all, print_pairs, print_sources, run_check
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.rank import prepare_ranking, rank_evidence

FIXTURES = Path(__file__).parent.parent / "fixtures"
EXTRA = "derived/extra.yaml"
# folder of checks, then check, file and line of each finding
FINDINGS = {
    "computed": [
        ("computed", "readings.yaml", line)
        for line in (36, 47, 52, 53, 54, 57, 60, 60, 61, 62, 63, 68, 68, 69, 70)
    ],
    "confirmation": [("confirmation", "limits/cam_late.yaml", 12)],
    "correlated": [("correlated", "observations.yaml", 19)],
    "cycle": [("cycle", EXTRA, 2)],
    "direct-link": [("direct-link", "limits/cam_late.yaml", 6)],
    "example": [("example", "derived/ends.yaml", 17)],
    "idle": [("idle", "observations.yaml", 18)],
    "near-miss": [("near-miss", "derived/ends.yaml", 18)],
    "no-example": [("no-example", "derived/ends.yaml", 12)],
    "orphan": [("idle", "observations.yaml", 18), ("orphan", "observations.yaml", 18)],
    "overlap": [("overlap", EXTRA, 2)],
    "placeholder": [("placeholder", "supply/feed_lost.yaml", 7)],
    "shares": [("shares", "format.yaml", 15)],
    "shift-and-link": [("shift-and-link", "limits/cam_early.yaml", 12)],
    "stale-correlated": [("stale", "accepted.yaml", 3)],
    "stale-direct_links": [("stale", "accepted.yaml", 3)],
    "stale-look_alikes": [("look-alikes", "accepted.yaml", 3), ("stale", "accepted.yaml", 3)],
    "stale-subsumed": [("stale", "accepted.yaml", 3)],
    "subsumed": [("subsumed", EXTRA, 2)],
    "told-apart": [("told-apart", "supply/feed_lost.yaml", 1)],
    "too-long": [("too-long", "supply/feed_lost.yaml", 121)],
    "too-many-branches": [("too-many-branches", EXTRA, 4)],
    "too-many-facts": [("too-many-facts", EXTRA, 4)],
    "unlinked-pattern": [("unlinked-pattern", "stops/stop_out.yaml", 6)],
    # what can never fire has no example either
    "unreachable": [("no-example", EXTRA, 2), ("no-example", EXTRA, 2), ("unreachable", EXTRA, 4)],
}


@pytest.fixture
def lay(tmp_path):
    """Lay a folder of the checks over the clean base and give the rules directory."""

    def build(*layers: str) -> Path:
        shutil.copytree(FIXTURES / "rules_good", tmp_path / "rules")
        for layer in ("base", *layers):
            shutil.copytree(FIXTURES / "checks" / layer, tmp_path, dirs_exist_ok=True)
        return tmp_path / "rules"

    return build


def findings(rules):
    """Check and give the findings as (check, file, line), and the faults of the cases."""
    checked = check_all(rules)
    found = [(f.check, Path(f.path).relative_to(rules).as_posix(), f.line) for f in checked.found]
    return found, list(checked.in_cases)


@pytest.mark.parametrize("folder", FINDINGS)
def test_each_finding_is_told_at_its_place(lay, folder):
    """A base that is wrong in one way gives the finding of that way, with file and line."""
    assert (FINDINGS[folder], []) == findings(lay(f"{folder}/bad"))


@pytest.mark.parametrize("folder", [None, *FINDINGS])
def test_a_base_just_short_of_it_is_clean(lay, folder):
    """The base itself, and its change that only looks like the bad one, give no finding at all."""
    assert ([], []) == findings(lay(*([f"{folder}/clean"] if folder else [])))


def test_every_folder_of_the_checks_is_tried():
    """No folder of fixtures is forgotten by the list above."""
    folders = {path.name for path in (FIXTURES / "checks").iterdir() if path.is_dir()}

    assert {"base", *FINDINGS} == folders


def test_the_shipped_base_has_no_findings():
    """The shipped rules and cases pass every check, with every rule run on its examples and every pair weighed."""
    checked = check_all(rules_directory())

    assert [] == [str(fault) for fault in (*checked.found, *checked.in_cases)]
    assert checked.table is not None
    assert 3000 < len(checked.table.verdicts)
    assert len(checked.base.knowledge.observations) == len(checked.table.separated)


def test_findings_are_faults_of_the_rules(lay, capsys):
    """What the checks find ends the command with the faults, after a summary on stdout."""
    rules = lay("overlap/bad")

    with pytest.raises(RulesFaulty, match="neither stands over the other"):
        run_check(rules)
    said = capsys.readouterr().out
    assert "10 pairs of causes: 10 told apart by one look" in said
    assert "5 causes, 11 observations, 4 inspections, 3 derived rules, 0 cases: 1 overlap" in said


def test_a_warning_does_not_fail(lay, capsys):
    """Shares that do not add up are told on stderr, and the rules may be used."""
    run_check(lay("shares/bad"))

    told = capsys.readouterr()
    assert told.err.startswith("warning: ")
    assert "[shares]" in told.err
    assert "0 cases: 1 shares" in told.out


def test_faulty_cases_do_not_hide_findings_of_the_rules(lay):
    """Rules and cases are checked in one run; with faulty cases alone the input is at fault."""
    rules = lay()
    near_miss = rules.parent / "cases" / "near_misses" / "heat_caution-fires.yaml"
    near_miss.write_text(near_miss.read_text("utf-8").replace("motor_hums", "motor_sings"), "utf-8")

    with pytest.raises(InputFaulty, match="no observation 'motor_sings'"):
        run_check(rules)
    assert [] == findings(rules)[0]


def test_unit_records_beside_the_cases_are_checked_too(lay):
    """A record in `cases/units` is no case; a faulty one is told with its place."""
    rules = lay()
    record = rules.parent / "cases" / "units" / "v_12.yaml"
    record.parent.mkdir()
    record.write_text("asset: V-12\nduty: on_off\n", "utf-8")
    assert ([], []) == findings(rules)

    record.write_text("asset: V-12\nduty: sometimes\n", "utf-8")
    assert [("model", 2)] == [(fault.check, fault.line) for fault in check_all(rules).in_cases]


def test_pairs_are_printed_hardest_first(lay, capsys):
    """The table names for each pair the best look with its decibans each way and its access."""
    print_pairs(lay("told-apart/bad"))

    rows = [line.split("\t") for line in capsys.readouterr().out.splitlines()]
    assert ["feed_lost", "fuse_blown", "0.0"] == rows[1][:3]
    assert ["cause", "other", "dB", "dB_there", "dB_back", "dB_dead", "access", "inspection"] == rows[0]
    assert 15 == rows.index([""]) - 1
    assert ["observation", "pairs"] == rows[rows.index([""]) + 1]


def test_sources_are_printed_with_their_count(lay, capsys):
    """Every strength stands with the source of its link, or else of its cause."""
    print_sources(lay("placeholder/clean"))

    rows = capsys.readouterr().out.splitlines()
    assert "causes/feed_lost\tstrength supply_low\tsometimes\tfrom memory, unverified" in rows
    assert "causes/feed_lost\tstrength supply_dead\tusually\tcommon practice, no source" in rows
    assert "from memory, unverified\t1" in rows[rows.index("source\tvalues") :]


def make_thousand(rules: Path) -> None:
    """Add a thousand rules in ten stages, each with three branches, that conclude an observation each."""
    names = [f"made_{n}" for n in range(1000)]
    lines = ["rules:"]
    for number, name in enumerate(names):
        before = names[number - 100] if number >= 100 else "motor_hums"
        one = ("stops_short", "switch_made", "wheel_turns_on")[number % 3]
        lines += [
            f"  - id: rule_{number}",
            "    says: One of very many.",
            f"    when: {{all: [{{{before}: present}}, {{any: [{{{one}: present}}, {{current_high: present}}, {{cut_out_open: present}}]}}]}}",
            f"    concludes: {{observation: {name}}}",
        ]
    (rules / "derived" / "many.yaml").write_text("\n".join(lines) + "\n", "utf-8")
    seen = rules / "observations.yaml"
    more = "".join(f"  {name}: {{says: Made, absent: Not made, derived: true}}\n" for name in names)
    seen.write_text(seen.read_text("utf-8").rstrip("\n") + "\n" + more, "utf-8")


def test_a_thousand_rules_are_loaded_checked_and_ranked_in_time(lay):
    """A base of a thousand rules in ten stages is dealt with in seconds, and says its two hundred first findings."""
    rules = lay()
    make_thousand(rules)
    started = time.monotonic()

    checked = check_all(rules)
    prepared = prepare_ranking(checked.base.knowledge)
    told = ("motor_hums", "current_high")
    answer = Origin(OriginKind.ANSWER)
    ranking = rank_evidence(
        prepared, Evidence(tuple(Fact(o, State.PRESENT, answer, (1.0, 0.0)) for o in told), ())
    )

    assert 30 > time.monotonic() - started
    assert 1000 == len(ranking.chained.derived)
    assert 10 == len(prepared.compiled.stages)
    assert "cam_late" == ranking.causes[0].cause
    counts = [fault.check for fault in checked.found].count
    assert (200, 200) == (counts("overlap"), counts("no-example"))


@pytest.mark.parametrize(
    ("call", "found"),
    [("The opening cam is set early", [("given-away", 3)]), ("It ends short of the mark", [])],
)
def test_a_case_unfit_to_learn_from_is_a_fault_of_the_cases(lay, call, found):
    """A call that names its cause is a fault in its line; one that tells what was noticed is none."""
    rules = lay()
    example = rules.parent / "cases" / "near_misses" / "limit_stops_early-fires.yaml"
    case = example.read_text("utf-8").replace("near_misses/limit_stops_early-fires", "limits/cam_early-01")
    path = rules.parent / "cases" / "limits" / "cam_early-01.yaml"
    path.parent.mkdir()
    path.write_text(case.replace("\nfacts:", f"\ncall: {call}\nfacts:"), encoding="utf-8")

    assert found == [(fault.check, fault.line) for fault in check_all(rules).in_cases]
