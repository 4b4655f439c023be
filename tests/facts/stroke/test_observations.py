"""What a log tells the ranker: each flaw of a simulated unit gives the observations it must, with origin log."""

import numpy as np
import pytest
from stroke_simulation import Unit, simulate, write_csv

from diagnose.explanation.stroke_text import render_stroke
from diagnose.facts.case_file import Case, CaseFact, evidence_of_case
from diagnose.facts.model import OriginKind, State
from diagnose.facts.stroke.into_case import add_to_case, start_case
from diagnose.facts.stroke.loading import LogOptions
from diagnose.facts.stroke.observations import read_facts
from diagnose.facts.stroke.reporting import build_report, load_analysis
from diagnose.knowledge.unit import UnitRecord

FIVE = [0, 25, 50, 75, 100, 75, 50, 25, 0]


@pytest.fixture
def facts_of(tmp_path, knowledge):
    """Give a function that simulates a unit and gives the facts of its log by observation."""

    def run(simulated, levels=FIVE, hold=25, unit=None, change=None, **logged):
        log = simulate(simulated, levels, hold, **logged)
        path = write_csv(tmp_path / "log.csv", change(log) if change else log)
        analysis, _ = load_analysis(path, LogOptions(), knowledge.stroke_limits, unit)
        return {fact.observation: fact for fact in read_facts(analysis, knowledge, unit)}

    return run


def present(facts):
    """Name the observations present."""
    return {name for name, fact in facts.items() if fact.state is State.PRESENT}


@pytest.mark.parametrize(
    ("simulated", "levels", "expected"),
    [
        (Unit(), FIVE, set()),
        (
            Unit(open_limit=80, close_limit=0.2),
            FIVE,
            {"stops_short_of_open", "travel_off_at_full", "open_limit_made_short_of_end"},
        ),
        (
            Unit(top=70, torque_on_block=True),
            FIVE,
            {"stops_short_of_open", "travel_off_at_full", "torque_trip"},
        ),
        (
            Unit(offset=-6, bottom=-10),
            FIVE,
            {
                "travel_off_at_zero",
                "travel_off_at_half",
                "travel_off_at_full",
                "stops_short_of_open",
                "passes_closed",
            },
        ),
        (Unit(play=4), FIVE, {"travel_differs_by_direction"}),
        (Unit(dead_band=8), [40, 50, 52, 50, 47, 50, 52, 49, 40], {"small_steps_ignored"}),
        (Unit(delay=0.3, dead_band=1.0), [50, 50.8, 20, 80], {"hunts_at_steady_command"}),
        (Unit(dead_band=300), FIVE, {"no_movement"}),
    ],
)
def test_a_flaw_gives_its_observations_and_no_other(facts_of, simulated, levels, expected):
    """Present is what the flaw shows; everything else is absent or not told."""
    assert expected == present(facts_of(simulated, levels))


def test_facts_come_from_the_log(facts_of):
    """Each fact bears the origin log and names the file."""
    facts = facts_of(Unit(top=80)).values()

    assert {OriginKind.LOG} == {fact.origin.kind for fact in facts}
    assert all(fact.origin.words.startswith("log.csv: ") for fact in facts)


def test_a_slow_stroke_is_judged_by_the_unit_record(facts_of):
    """Twenty seconds where ten are on the plate is slow; without a plate nothing is said."""
    unit = UnitRecord(asset="V-3", stroke_time_s=10)

    assert "stroke_slow" in present(facts_of(Unit(), unit=unit))
    assert "stroke_slow" not in facts_of(Unit())


def test_the_wrong_way_is_found(facts_of):
    """A unit that closes on a rising command runs the wrong way and mirrors the command."""
    mirrored = facts_of(
        Unit(), [20, 40, 80, 60, 20], change=lambda log: dict(log, position=100 - log["position"])
    )

    assert {"runs_wrong_way", "travel_mirrors_command"} <= present(mirrored)


def test_a_reverse_acting_unit_is_not_running_the_wrong_way(facts_of):
    """The unit record's acting direction turns the command round."""
    unit = UnitRecord(asset="V-3", acting="reverse")
    facts = facts_of(Unit(), FIVE, unit=unit, change=lambda log: dict(log, position=100 - log["position"]))

    assert set() == present(facts) & {"runs_wrong_way", "travel_mirrors_command", "travel_off_at_full"}


@pytest.mark.parametrize(
    ("output", "expected"),
    [
        (lambda x: x, set()),
        (lambda x: 0 * x + 40, {"position_reading_frozen", "position_output_off_at_ends"}),
        (lambda x: 100 - x, {"position_reading_backwards", "position_output_off_at_ends"}),
        (lambda x: x + 5, {"position_output_off_at_ends"}),
        (
            lambda x: 0 * x - 25,
            {"position_reading_frozen", "position_output_off_at_ends", "position_output_dead"},
        ),
    ],
)
def test_the_position_output_is_held_to_the_travel(facts_of, output, expected):
    """Right, frozen, backwards, off and dead outputs are told apart."""
    facts = facts_of(Unit(), FIVE, change=lambda log: dict(log, output=output(log["position"])))

    assert expected == present(facts)


def test_short_of_its_end_within_the_doubt_is_not_told(facts_of):
    """Travel that ends 2 % short, the very limit, is neither short nor right."""
    facts = facts_of(Unit(top=98), noise=0.2)

    assert "stops_short_of_open" not in facts


def test_a_torque_stop_at_an_end_says_nothing_where_seating_is_unknown(facts_of):
    """Without a unit record nobody knows whether the end seats by torque."""
    facts = facts_of(Unit(torque_on_block=True))
    by_limit = UnitRecord(asset="V-3", open_seating="limit", closed_seating="limit")

    assert "torque_trip" not in facts
    assert "torque_trip" in present(facts_of(Unit(torque_on_block=True), unit=by_limit))


def test_a_log_in_a_case_counts_and_a_new_log_takes_the_place_of_an_old_one(facts_of, knowledge, tmp_path):
    """Facts of a log enter the evidence with its trust; a second log replaces the first, an answer stays."""
    short, healthy = facts_of(Unit(top=80)), facts_of(Unit())
    answer = CaseFact(observation="motor_hot", state="absent", origin=OriginKind.ANSWER)
    case = start_case(tmp_path / "My Case 7.yaml", tmp_path / "log.csv").model_copy(
        update={"facts": (answer,)}
    )

    first = add_to_case(case, short.values(), None)
    second = add_to_case(first, healthy.values(), None)

    assert "my_case_7" == case.case
    told = {fact.observation: fact.state for fact in evidence_of_case(first, knowledge).facts}
    assert State.PRESENT == told["stops_short_of_open"]
    again = [fact for fact in second.facts if fact.observation == "stops_short_of_open"]
    assert ["absent"] == [fact.state for fact in again]
    assert answer in second.facts


def test_an_undecided_fact_does_not_enter_a_case(facts_of):
    """What the log cannot decide is left out of the case."""
    facts = facts_of(Unit(top=98), noise=0.2)
    case = add_to_case(Case(case="c"), facts.values(), None)

    assert "unknown" not in {fact.state for fact in case.facts}


def test_a_slow_ramp_of_the_command_is_no_slow_stroke(facts_of):
    """Travel that follows a ramp shows the command's speed, so no stroke time is taken from it."""
    unit = UnitRecord(asset="V-3", stroke_time_s=20)
    ramp = [*range(0, 101, 2), *range(100, -1, -2)]
    facts = facts_of(Unit(dead_band=0.6), ramp, 1.0, unit=unit)

    assert "stroke_slow" not in facts
    assert "travel_off_at_full" not in present(facts)


def test_a_command_that_swings_by_itself_is_told(tmp_path, knowledge):
    """A smooth swing of the command is the loop's, not a test's."""
    time = np.arange(0, 200, 0.1)
    command = 50 + 5 * np.sin(2 * np.pi * time / 25)
    late = 50 + 5 * np.sin(2 * np.pi * (time - 0.5) / 25)
    path = write_csv(tmp_path / "s.csv", {"time": time, "command": command, "position": late})
    analysis, _ = load_analysis(path, LogOptions(), knowledge.stroke_limits, None)

    assert "command_cycles" in present({f.observation: f for f in read_facts(analysis, knowledge, None)})


@pytest.mark.parametrize("seed", range(6))
def test_any_table_of_numbers_is_analysed(tmp_path, knowledge, seed):
    """Random walks, noise and gaps end in a report within its columns, never in a crash."""
    rng = np.random.default_rng(seed)
    rows = int(rng.choice([120, 300, 900]))
    walk = np.cumsum(rng.normal(0, 2, rows)) + 50
    time = np.cumsum(rng.exponential(0.1, rows) + np.where(rng.random(rows) < 0.01, 20, 1e-3))
    held = np.repeat(rng.choice([0.0, 30.0, 100.0], rows // 10 + 1), 10)[:rows]
    columns = {"time": time, "command": held, "position": walk, "motor_current": rng.normal(0, 1, rows)}
    path = write_csv(tmp_path / "r.csv", columns)
    analysis, found = load_analysis(path, LogOptions(), knowledge.stroke_limits, None)
    text = render_stroke(build_report(analysis, found, None, read_facts(analysis, knowledge, None)), 1)

    assert [] == [line for line in text.splitlines() if len(line) > 80]
