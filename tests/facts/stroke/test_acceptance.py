"""The acceptance sentence of a remedy against a log: pass, fail, cannot tell, and what is left to do by hand."""

import pytest
from stroke_simulation import Unit, simulate, write_csv

from diagnose.facts.stroke.acceptance import check_acceptance, count_results
from diagnose.facts.stroke.acceptance_checks import Subject
from diagnose.facts.stroke.loading import LogOptions
from diagnose.facts.stroke.reporting import load_analysis
from diagnose.knowledge.unit import UnitRecord

FIVE = [0, 25, 50, 75, 100, 75, 50, 25, 0, 100, 0, 100, 0]


@pytest.fixture
def check(tmp_path, knowledge):
    """Give a function that holds a simulated unit against a sentence: results by the words of each point."""

    def run(sentence, simulated, levels=FIVE, hold=25, unit=None, **logged):
        log = simulate(simulated, levels, hold, **logged)
        if simulated.open_limit is not None:
            log["open_torque"] = log["close_torque"] = 0 * log["time"]
        path = write_csv(tmp_path / "log.csv", log)
        analysis, _ = load_analysis(path, LogOptions(), knowledge.stroke_limits, unit)
        return {point.says: point.result for point in check_acceptance(sentence, Subject(analysis, unit))}

    return run


def remedies(knowledge):
    """List every remedy of the rule base with its name."""
    for name, cause in knowledge.causes.items():
        yield name, cause.remedy
        yield from ((f"{name}.{mode}", part.remedy) for mode, part in cause.modes.items() if part.remedy)


def test_a_moved_cam_passes_what_the_log_shows(check, knowledge):
    """Three strokes to the open mark, limit and torque pass; the untouched stop is left to hand and eye."""
    sentence = knowledge.causes["open_cam_early"].remedy.acceptance

    assert {
        "three full opening strokes end at the open mark within 1 %": "pass",
        "with the open limit made": "pass",
        "no torque trip": "pass",
        "the stop not touched": "by hand",
    } == check(sentence, Unit(open_limit=99.5, close_limit=0.2))


def test_a_cam_still_early_fails(check, knowledge):
    """Ending at 80 % fails the mark, though the limit is made there."""
    results = check(
        knowledge.causes["open_cam_early"].remedy.acceptance, Unit(open_limit=80, close_limit=0.2)
    )

    assert ["fail", "pass"] == list(results.values())[:2]


def test_too_few_strokes_are_not_proof(check, knowledge):
    """Two good strokes where three are asked for cannot tell."""
    sentence = knowledge.causes["open_cam_early"].remedy.acceptance

    results = check(sentence, Unit(open_limit=99.5, close_limit=0.2), [0, 100, 0, 100, 0])

    assert "cannot tell" == results["three full opening strokes end at the open mark within 1 %"]


def test_without_torque_contacts_a_trip_cannot_be_told(check):
    """What the log has no column for is neither pass nor fail."""
    assert {"without trip": "cannot tell"} == check("without trip", Unit())


def test_a_trip_in_the_log_fails(tmp_path, check):
    """A torque contact that makes at a block in mid-travel fails the point."""
    assert {"no torque trip": "fail"} == check("no torque trip", Unit(top=70, torque_on_block=True))


def test_a_torque_seated_end_is_no_trip(check):
    """A torque stop at an end that seats by torque is healthy."""
    unit = UnitRecord(asset="V-3", open_seating="torque", closed_seating="torque")

    assert {"no torque trip": "pass"} == check("no torque trip", Unit(torque_on_block=True), unit=unit)


@pytest.mark.parametrize(
    ("sentence", "simulated", "expected"),
    [
        ("Five points up and down within 2 %", Unit(), "pass"),
        ("Five points up and down within 2 %", Unit(offset=4), "fail"),
        ("25 and 75 % command give 25 and 75 % travel within 2 %", Unit(), "pass"),
        ("25 and 75 % command give 25 and 75 % travel within 2 %", Unit(gain=0.9), "fail"),
        ("Travel within 2 % at 0, 50 and 100 %", Unit(top=90), "fail"),
        ("Travel within 2 % at 0, 33 and 100 %", Unit(), "cannot tell"),
        ("Directions differ by at most 1.5 % at 50 %", Unit(), "pass"),
        ("Directions differ by at most 1.5 % at 50 %", Unit(play=4), "fail"),
        ("Run-on below 1 % at three stops", Unit(), "pass"),
        ("Run-on below 1 % at three stops", Unit(delay=0.5, dead_band=8), "fail"),
        ("No start in five minutes at 20, 50 and 80 %", Unit(), "cannot tell"),
        ("Starts per hour below the rating", Unit(), "cannot tell"),
    ],
)
def test_each_kind_of_point_is_held_to_the_numbers_of_its_sentence(check, sentence, simulated, expected):
    """A healthy unit passes, a flawed one fails, and a log too short or without the place cannot tell."""
    assert [expected] == list(check(sentence, simulated).values())


def test_quiet_minutes_pass_and_hunting_fails(check):
    """Two minutes without a start pass; a unit that swings fails."""
    sentence = "Holds 20 and 60 % for two minutes each without a start"

    assert ["pass"] == list(check(sentence, Unit(), [20, 60], 130, interval=0.1).values())
    hunting = Unit(delay=0.3, dead_band=1.0)
    assert ["fail"] == list(check(sentence, hunting, [20, 60], 130, interval=0.1).values())


def test_steps_and_reversals(check):
    """A narrow unit follows steps of 2 % both ways and reverses on 1 %; a wide one ignores them."""
    levels = [40, 50, 52, 50, 49, 50, 52, 50]
    step, reversal = "A step of 2 % is followed both ways", "Reversal of 1 % answered at 50 %"

    assert ["pass"] == list(check(step, Unit(dead_band=0.6), levels, 12).values())
    assert ["fail"] == list(check(step, Unit(dead_band=6), levels, 12).values())
    assert ["pass"] == list(check(reversal, Unit(dead_band=0.6), levels, 12).values())


def test_figures_of_the_plate_need_the_unit_record(check):
    """Stroke time within a quarter of the plate passes, fails, or waits for a record."""
    sentence = "Stroke time within a quarter of the plate and current at most plate"
    good = UnitRecord(asset="V-3", stroke_time_s=20, running_current_a=1.1)
    bad = UnitRecord(asset="V-3", stroke_time_s=10, running_current_a=0.5)

    results = [list(check(sentence, Unit(), unit=unit).values()) for unit in (good, bad, None)]

    assert [["pass", "pass"], ["fail", "fail"], ["cannot tell", "cannot tell"]] == results


def test_every_remedy_is_read_whole(check, knowledge, tmp_path):
    """No word of meaning is lost: each acceptance sentence gives points, and their words are the sentence's."""
    path = write_csv(tmp_path / "log.csv", simulate(Unit(), [0, 100, 0], 25))
    analysis, _ = load_analysis(path, LogOptions(), knowledge.stroke_limits, None)
    fillers = {"and", "with", "then", "the"}
    for name, remedy in remedies(knowledge):
        points = check_acceptance(remedy.acceptance, Subject(analysis, None))
        words = " ".join(point.says for point in points).lower().split()
        sentence = (
            remedy.acceptance.lower().rsplit("(", 1)[0]
            if remedy.acceptance.endswith(").")
            else remedy.acceptance.lower()
        )
        wanted = {word.strip(".,;") for word in sentence.split()} - fillers

        assert points, name
        assert set() == wanted - {word.strip(".,;") for word in words}, name


def test_how_many_remedies_a_log_helps(knowledge, tmp_path):
    """At least half of the remedies have a point that a full log can show."""
    path = write_csv(tmp_path / "log.csv", simulate(Unit(), [0, 100, 0], 25))
    analysis, _ = load_analysis(path, LogOptions(), knowledge.stroke_limits, None)
    counts = [
        count_results(check_acceptance(remedy.acceptance, Subject(analysis, None)))
        for _, remedy in remedies(knowledge)
    ]
    helped = sum(bool(count["pass"] + count["fail"] + count["cannot tell"]) for count in counts)

    assert helped >= len(counts) / 2
