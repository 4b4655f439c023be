"""Readings worked out of others: the values, their uncertainty, what wins over them, and what they decide."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from diagnose.errors import InputFaulty
from diagnose.facts.case_file import evidence_of_case, load_case
from diagnose.facts.computed import compute_readings, find_impossible
from diagnose.facts.readings import Measured, decide
from diagnose.knowledge.unit import UnitRecord
from diagnose.trade.loops import highest_resistance
from diagnose.trade.supply import supply_deviation, supply_verdict

UNIT = UnitRecord(asset="FCV-3", acting="direct", supply_volts=230, supply_hertz=50, run_capacitor_uf=20)


def work_out(knowledge, unit=UNIT, after="", **readings):
    """Work readings out of the ones given as value, uncertainty pairs."""
    measured = [Measured(name, value, doubt, "", after) for name, (value, doubt) in readings.items()]
    return {found.reading: found for found in compute_readings(knowledge, measured, unit)}


def told(knowledge, found, unit=UNIT):
    """Give the states that worked-out readings decide, by observation."""
    return {
        fact.observation: str(fact.state) for one in found.values() for fact in decide(knowledge, one, unit)
    }


@pytest.mark.parametrize(
    ("acting", "travels", "errors"),
    [
        ("direct", (5, 55, 100), (5, 5, 0)),
        ("reverse", (95, 45, 0), (5, 5, 0)),
        ("direct", (0, 50, 66), (0, 0, 34)),
    ],
)
def test_travel_at_three_commands_gives_three_errors(knowledge, acting, travels, errors):
    """Travel against the controller's command is an error, whichever way the unit acts."""
    names = ("zero", "half", "full")
    given_travels = {f"travel_at_{n}_command": (t, 0.3) for n, t in zip(names, travels, strict=True)}
    found = work_out(knowledge, UnitRecord(asset="V-1", acting=acting), **given_travels)

    assert list(errors) == [pytest.approx(found[f"travel_error_at_{name}"].value) for name in names]
    states = ["present" if error else "absent" for error in errors]
    assert states == [told(knowledge, found)[f"travel_off_at_{name}"] for name in names]


def test_without_the_acting_direction_nothing_is_said(knowledge):
    """Travel alone is no error where nobody knows which way the unit acts."""
    assert {} == work_out(knowledge, UnitRecord(asset="V-1"), travel_at_zero_command=(5, 0.3))
    assert {} == work_out(knowledge, None, travel_at_zero_command=(5, 0.3))


def test_loop_and_source_give_the_ceiling(knowledge):
    """765 ohm on 15 V end at 19.6 mA, below the command's 20 mA; 500 ohm leave 10 mA to spare."""
    short = work_out(knowledge, source_highest_voltage=(15, 0.1), loop_resistance=(764.7, 1))
    roomy = work_out(knowledge, source_highest_voltage=(15, 0.1), loop_resistance=(500, 1))

    assert pytest.approx(19.616, abs=1e-3) == short["loop_current_ceiling"].value
    assert {"source_at_voltage_ceiling": "present"} == told(knowledge, short)
    assert {"source_at_voltage_ceiling": "absent"} == told(knowledge, roomy)


def test_uncertainty_follows_through_the_calculation(knowledge):
    """0.1 V of 15 and 1 ohm of 764.7 are 0.131 and 0.026 mA of the ceiling, and they add up."""
    found = work_out(knowledge, source_highest_voltage=(15, 0.1), loop_resistance=(764.7, 1))

    assert pytest.approx(0.1308 + 0.0257, abs=2e-4) == found["loop_current_ceiling"].uncertainty


@given(st.floats(5, 50))
def test_too_near_to_call_stays_open(knowledge, volts):
    """A loop of exactly the highest resistance is neither above nor below its ceiling."""
    ohms = highest_resistance(volts)
    found = work_out(knowledge, source_highest_voltage=(volts, 0.1), loop_resistance=(ohms, 1))

    assert {"source_at_voltage_ceiling": "unknown"} == told(knowledge, found)


def test_other_readings_that_are_worked_out(knowledge):
    """Position output, windings, capacitor and starts follow from what a meter and a watch show."""
    found = work_out(
        knowledge,
        position_output_at_closed=(4.4, 0.05),
        position_output_at_open=(19.9, 0.05),
        first_line_resistance=(22, 0.1),
        second_line_resistance=(22, 0.1),
        third_line_resistance=(24.5, 0.1),
        open_to_common_resistance=(22, 0.1),
        close_to_common_resistance=(22, 0.1),
        open_to_close_ohms=(0.5, 0.1),
        capacitor_current=(1.0, 0.01),
        capacitor_voltage=(200, 1),
        mean_run_time=(1, 0.1),
        mean_rest_time=(2, 0.1),
    )

    assert {
        "position_output_error_at_ends": 0.4,
        "winding_unbalance": 7.299,
        "open_to_close_resistance": 1.136,
        "capacitance": 15.915,
        "starts_per_hour": 1200,
    } == {name: pytest.approx(one.value, abs=1e-3) for name, one in found.items()}
    assert {
        "position_output_off_at_ends": "present",
        "windings_unequal": "present",
        "open_to_close_near_zero": "present",
        "capacitance_low": "present",
    } == told(knowledge, found)


def test_a_reading_that_was_read_off_stands(knowledge):
    """What was read off itself is not worked out a second time."""
    found = work_out(knowledge, travel_at_zero_command=(5, 0.3), travel_error_at_zero=(0.5, 0.3))

    assert "travel_error_at_zero" not in found


def test_readings_of_two_moments_are_not_mixed(knowledge):
    """A loop measured before and a source looked up after a repair give no ceiling."""
    measured = [
        Measured("loop_resistance", 764.7, 1, "", ""),
        Measured("source_highest_voltage", 15, 0.1, "", "signal_loop_overloaded"),
    ]

    assert () == compute_readings(knowledge, measured, UNIT)


def test_what_does_not_go_together_is_said(knowledge):
    """Two dead windings have no share: the last reading is named with what is wrong."""
    measured = [
        Measured(name, 0, 0.1)
        for name in ("open_to_common_resistance", "close_to_common_resistance", "open_to_close_ohms")
    ]

    ((last, wrong),) = find_impossible(knowledge, measured, UNIT)
    assert "open_to_close_ohms" == last.reading
    assert "sum of the two windings must be above 0 ohm" in wrong
    assert () == compute_readings(knowledge, measured, UNIT)


CASE = {
    "case": "call",
    "title": "A call",
    "unit": {"asset": "FCV-3", "acting": "direct"},
    "readings": [
        {"reading": "loop_resistance", "value": "0.7647 kohm"},
        {"reading": "source_highest_voltage", "value": "15 V"},
        {"reading": "travel_at_full_command", "value": "97.6 %", "uncertainty": "0.2 %"},
    ],
}


def load(tmp_path, knowledge, case):
    """Write a case and load it."""
    path = tmp_path / "call.yaml"
    path.write_text(yaml.safe_dump(case, sort_keys=False), "utf-8")
    return load_case(path, knowledge)


def test_a_case_brings_them_into_the_evidence(tmp_path, knowledge):
    """A case's readings decide what follows from them, and the fact tells what it was worked out of."""
    facts = evidence_of_case(load(tmp_path, knowledge, CASE), knowledge).facts
    by_name = {fact.observation: fact for fact in facts}

    assert {"source_at_voltage_ceiling", "travel_off_at_full"} == set(by_name)
    words = by_name["source_at_voltage_ceiling"].origin.words
    assert "19.62 mA, worked out (loop-ceiling) of: greatest voltage" in words
    assert "0.7647 kohm" in words


def test_a_case_whose_readings_cannot_be_is_refused(tmp_path, knowledge):
    """Readings that do not go together are a fault at their line."""
    ohms = ("open_to_common_resistance", "close_to_common_resistance", "open_to_close_ohms")
    case = CASE | {"readings": [{"reading": name, "value": "0 ohm"} for name in ohms]}

    with pytest.raises(InputFaulty, match=r"call\.yaml:\d+:\d+: \[reading\] the readings do not go together"):
        load(tmp_path, knowledge, case)


@given(st.floats(0, 400))
def test_rules_and_formula_call_the_same_supply_low(knowledge, volts):
    """A supply reading under load and the nominal give "sags" exactly where the formula says below tolerance."""
    facts = decide(knowledge, Measured("supply_volts_running", volts, 1e-6), UNIT)
    states = {fact.observation: str(fact.state) for fact in facts}
    is_low = supply_verdict(supply_deviation(volts, 230)) == "voltage below tolerance"

    if "supply_sags_under_load" in states and states["supply_sags_under_load"] != "unknown":
        assert is_low == (states["supply_sags_under_load"] == "present")
    else:
        # either too near to call, or no supply at all
        assert volts == pytest.approx(207, abs=1e-5) or volts < 0.1 * 230 + 1e-5
