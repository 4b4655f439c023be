"""The commissioning sheet: order, computed figures, blanks, and safety lines."""

import re

import pytest

from diagnose.explanation.setup_build import build_sheet
from diagnose.explanation.setup_document import Sheet
from diagnose.explanation.setup_text import render_sheet
from diagnose.explanation.setup_words import say_field, say_value
from diagnose.facts.unit_record import load_unit
from diagnose.knowledge.shipped import cases_directory
from diagnose.knowledge.unit import UnitRecord

UNITS = sorted((cases_directory() / "units").glob("*.yaml"))


def figures_of(sheet):
    """Give the computed figures of a sheet by label."""
    return {figure.label: figure.value for stage in sheet.stages for figure in stage.figures}


def missing_of(sheet):
    """Name the fields of the record that a sheet asks for."""
    return {missing.field for missing in sheet.unknown}


def rows_of(sheet):
    """Give the terminal rows of a sheet by place."""
    return {row.place: row for row in sheet.terminals}


@pytest.fixture
def build(knowledge):
    """Give a function that builds the sheet of a unit with the given fields."""

    def make(**fields):
        return build_sheet(knowledge, UnitRecord(asset="FCV-9", **fields))

    return make


@pytest.mark.parametrize("path", UNITS, ids=lambda path: path.stem)
def test_shipped_units_give_a_sheet_within_its_columns(path, knowledge):
    """Each shipped unit record renders, no line wider than the page."""
    text = render_sheet(build_sheet(knowledge, load_unit(path)))

    assert len(text.splitlines()) > 100
    assert [] == [line for line in text.splitlines() if len(line) > 80]


def test_two_units_are_shipped():
    """One unit record is full and one has gaps."""
    assert ["fcv_3", "v_12"] == [path.stem for path in UNITS]


def test_stages_stand_in_the_order_of_the_work(build):
    """What makes the next stage safe comes before it."""
    assert [
        "Permits and cautions",
        "Direction jog from mid-travel",
        "Ends by hand drive",
        "Cams, less the coast",
        "Stops",
        "Torque",
        "Potentiometer",
        "Card span",
        "Loss of signal and loss of supply",
        "Lamps and signals",
        "Stroke test",
    ] == [stage.title for stage in build().stages]


def test_trip_angles_allow_for_the_coast(build):
    """A 15 s unit with 0.1 s delay trips 0.60 degree before each end."""
    figures = figures_of(build(stroke_time_s=15, trip_delay_s=0.1))

    assert ("0.60 degree from closed", "89.40 degree from closed") == (
        figures["close trip"],
        figures["open trip"],
    )


def test_an_assumed_delay_is_said(build):
    """Where nobody measured the delay, the sheet says that it is assumed and lists the field."""
    sheet = build(stroke_time_s=15)

    assert "ASSUMED 0.1 s" in render_sheet(sheet)
    assert "trip_delay_s" in missing_of(sheet)


def test_stops_are_told_in_degrees(build):
    """Two and a half turns of an M10 bolt at 50 mm stand 4.29 degrees behind the end."""
    figures = figures_of(build(stop_pitch_mm=1.5, stop_arm_radius_mm=50, stroke_time_s=15, trip_delay_s=0.1))

    assert "4.29 degree behind the end" == figures["that is"]
    assert "3.69 degree" == figures["margin with the cam at the end itself"]
    assert "2.92 turns" == figures["turns for 5 degrees"]


def test_a_stop_too_near_is_called_out(build):
    """A margin below one degree is marked."""
    figures = figures_of(
        build(stop_pitch_mm=1.5, stop_arm_radius_mm=50, stroke_time_s=5, stop_back_off_turns=0.5)
    )

    assert figures["margin with the cam at the end itself"].endswith("TOO SMALL, back off further")


@pytest.mark.parametrize(
    ("kind", "acting", "commands"),
    [
        ("ma_4_20", "direct", ["4 mA", "8 mA", "12 mA", "16 mA", "20 mA"]),
        ("ma_4_20", "reverse", ["20 mA", "16 mA", "12 mA", "8 mA", "4 mA"]),
        ("v_2_10", "direct", ["2 V", "4 V", "6 V", "8 V", "10 V"]),
        ("ohm_0_135", "reverse", ["135 ohm", "101.2 ohm", "67.5 ohm", "33.75 ohm", "0 ohm"]),
    ],
)
def test_commands_follow_kind_and_direction(build, kind, acting, commands):
    """Five points of travel ask for the commands of the input kind, mirrored when reverse acting."""
    figures = figures_of(build(input_kind=kind, acting=acting, position_output="none"))

    assert [f"command {command}" for command in commands] == [
        figures[f"travel {t} %"] for t in (0, 25, 50, 75, 100)
    ]


def test_currents_carry_their_tolerance(build):
    """Running and stall current stand with the band to expect."""
    figures = figures_of(build(running_current_a=2, stall_current_a=5))

    assert "2 A (1 to 2.2 A)" == figures["running current"]
    assert "5 A (4 to 6 A)" == figures["stall current"]


@pytest.mark.parametrize(
    ("setting", "mark"), [(130, None), (160, "ABOVE the rating"), (90, "NOT ABOVE the healthy valve")]
)
def test_the_torque_setting_is_held_against_its_limits(build, setting, mark):
    """A setting outside the two limits is marked, one inside is not."""
    value = figures_of(build(set_torque_nm=setting, rated_torque_nm=150, healthy_valve_torque_nm=95))[
        "setting on record"
    ]

    assert value.endswith(mark or "lbf ft)")


def test_the_potentiometer_is_told_in_ohms(build):
    """Total, offset, ratio and electrical angle give the ohms at both ends, in the figures and the table."""
    sheet = build(pot_total_ohm=1000, pot_offset_deg=15, pot_gear_ratio=3, pot_electrical_deg=300)
    row = rows_of(sheet)["potentiometer, low end to wiper"]

    assert ("50 ohm", "950 ohm") == (row.at_closed, row.at_open)
    assert "500 ohm" == figures_of(sheet)["low end to wiper at mid-travel"]


def test_what_is_not_known_stays_blank_and_is_named(build):
    """An empty record gives a whole sheet with no made-up unit figure and names what is missing."""
    sheet = build()
    figures = figures_of(sheet)

    assert {"back off from contact"} == {label for label, value in figures.items() if value}
    assert {"stroke_time_s", "supply_volts", "acting", "closed_seating"} <= missing_of(sheet)
    assert "?" == rows_of(sheet)["command"].at_open


def test_a_unit_without_analogue_command_has_no_card_stage(build):
    """On/off units leave the card out, say so, and miss no command field."""
    sheet = build(duty="on_off", input_kind="no_analogue", position_output="none")
    card = next(stage for stage in sheet.stages if stage.title == "Card span")

    assert ((), (), ("Left out: this unit has no analogue command.",)) == (
        card.steps,
        card.blanks,
        card.notes,
    )
    assert "command" not in rows_of(sheet)
    assert "acting" not in missing_of(sheet)


def test_an_end_that_seats_on_torque_is_told_apart(build):
    """Its cam only signals, its stop stays clear, and its torque contact may stand tripped."""
    sheet = build(closed_seating="torque", open_seating="limit", stroke_time_s=15)
    notes = [note for stage in sheet.stages for note in stage.notes]

    assert "The closed end seats on torque: its cam only signals, its stop stays clear." in notes
    assert "just before the mark" == figures_of(sheet)["close trip"]
    assert "tripped or reset" == rows_of(sheet)["close torque contact"].at_closed


@pytest.mark.parametrize(
    ("motor", "place"),
    [("three_phase", "motor lead to lead, all three"), ("dc", "motor leads, open to close")],
)
def test_motor_leads_follow_the_kind_of_motor(build, motor, place):
    """Three-phase and direct-current motors have leads of their own in the table."""
    assert "0 V" == rows_of(build(motor=motor, supply_volts=24))[place].rest


def test_the_undriven_lead_is_called_live(build):
    """A capacitor motor's undriven lead is marked live while the other direction runs."""
    row = rows_of(build(motor="single_phase", supply_volts=230))["close lead to common"]

    assert ("live", "230 V") == (row.opening, row.closing)


def test_every_stage_carries_the_cautions_of_its_acts(build, knowledge):
    """No stage goes without safety lines, all stand in full on the sheet, and local rules come first."""
    sheet = build()
    flat = " ".join(render_sheet(sheet).split())

    assert all(stage.cautions for stage in sheet.stages)
    assert {name for stage in sheet.stages for name in stage.cautions} <= {name for name, _ in sheet.cautions}
    assert all(" ".join(says.split()) in flat for _, says in sheet.cautions)
    assert " ".join(knowledge.cautions.deferral.split()) in flat


@pytest.mark.parametrize(("area", "is_warned"), [("safe", False), ("hazardous", True), (None, True)])
def test_live_work_is_warned_of_unless_the_area_is_safe(build, area, is_warned):
    """A hazardous area, or one that nobody knows, forbids the open live cover in every live stage."""
    sheet = build(hazardous_area=area)
    live = [stage for stage in sheet.stages if "right_meter" in stage.cautions]

    assert len(live) >= 2
    assert {is_warned} == {any("No energised cover" in note for note in stage.notes) for stage in live}


def test_stored_energy_calls_for_its_caution(build):
    """A spring-return unit carries the safety line of its spring and a note where supply is taken away."""
    sheet = build(stored_energy="spring")

    assert "stored_mechanical_energy" in dict(sheet.cautions)
    assert any("holds a store (spring)" in note for stage in sheet.stages for note in stage.notes)


def test_a_sheet_comes_back_from_its_json(build):
    """The document alone gives the same text again."""
    sheet = build(stroke_time_s=15, motor="dc")

    assert render_sheet(sheet) == render_sheet(Sheet.model_validate_json(sheet.model_dump_json()))


def test_every_field_of_a_record_has_plain_words():
    """No field name and no word with an underscore comes to be printed."""
    fields = set(UnitRecord.model_fields) - {"asset"}
    values = {
        value
        for field in fields
        for value in re.findall(r"'(\w+)'", str(UnitRecord.model_fields[field].annotation))
    }

    assert {field for field in fields if "_" in say_field(field)} == set()
    assert len(values) > 30
    assert {value for value in values if "_" in say_value("duty", value)} == set()


def test_a_record_is_told_in_words_with_units(build):
    """Numbers carry their unit, and what is missing is named in words."""
    text = render_sheet(build(supply_volts=230, input_kind="ma_4_20"))

    assert "On record: supply voltage 230 V; command signal 4-20 mA" in text
    assert "[ ] time of a full stroke: coast," in text


def test_a_safe_area_needs_no_line_for_a_hazardous_one(build):
    """The line for hazardous areas stands where the area is hazardous or not known, and not where it is safe."""
    areas = ("hazardous", "unknown_area", None, "safe")
    told = [
        any(name == "hazardous_area" for name, _ in build(hazardous_area=area).cautions) for area in areas
    ]

    assert [True, True, True, False] == told
