"""Torque, stops, cams, contacts and positioning against worked values; each test names its source and its standing.

Derived values are asserted freely; values of standards only where a reproduction was read; what is common
practice or from memory is asserted as what the program takes and labels, never as what a standard says.
"""

import math

import pint
import pytest

from diagnose.trade.cams import (
    coast_angle,
    contact_state,
    ends_reached,
    is_pair_sound,
    travel_of_angle,
    trip_angles,
)
from diagnose.trade.catalogue.every import CALCULATIONS
from diagnose.trade.catalogue.model import Standing
from diagnose.trade.five_point import static_figures
from diagnose.trade.positioning import (
    DEAD_BAND_RESERVE,
    coast_travel,
    converter_step,
    dead_band_needed,
    has_limit_cycle,
    hunting_amplitude,
)
from diagnose.trade.stops import (
    order_margins,
    pitch_of_thread,
    range_left,
    stop_angle,
    stop_margin,
    turns_for_angle,
)
from diagnose.trade.supply import torque_share
from diagnose.trade.torque import (
    FLANGE_NM,
    NM_PER_LBF_FT,
    NM_PER_LBF_IN,
    choose_flange,
    judge_margin,
    lowest_voltage_share,
    torque_in_pounds,
    torque_margin,
)
from diagnose.trade.valve import bearing_torque, torque_at_drop, torque_per_bar

BY_ID = {calculation.id: calculation for calculation in CALCULATIONS}


def test_torque_units():
    """NIST SP 811 appendix B: 1 lbf = 4.4482216152605 N, 1 in = 0.0254 m (exact)."""
    assert math.isclose(1.3558179483314004, NM_PER_LBF_FT, rel_tol=1e-15)
    assert math.isclose(0.1129848290276167, NM_PER_LBF_IN, rel_tol=1e-15)
    assert [112.985, 67.791] == [round(1000 * NM_PER_LBF_IN, 3), round(50 * NM_PER_LBF_FT, 3)]


@pytest.mark.parametrize("torque", [0.0, 1.0, 67.791, 2500.0])
def test_torque_units_by_an_open_library(torque):
    """The same by a library of units, which knows the pound-force (NIST SP 811)."""
    quantity = torque * pint.UnitRegistry().Quantity("1 newton * meter")

    assert [quantity.to(unit).magnitude for unit in ("ft * lbf", "inch * lbf")] == pytest.approx(
        torque_in_pounds(torque), rel=1e-12
    )


def test_a_pound_is_a_mass_for_the_library_too():
    """A torque in feet and pounds is none: mass times length (definition)."""
    with pytest.raises(pint.DimensionalityError):
        pint.UnitRegistry()("1 ft * lb").to("newton * meter")


def test_low_voltage_uses_up_the_margin():
    """NEMA MG 1-12.44 (seen in a reproduction): 100 of 80 Nm, at 90 % 81 Nm, at 88 % 77.44 Nm and it stalls."""
    left = [100 * torque_share("induction", share) for share in (1.0, 0.90, 0.88)]

    assert [100, 81, 77.44] == pytest.approx(left)
    assert [1.25, 1.0125] == pytest.approx([torque_margin(torque, 80) for torque in left[:2]])
    assert "cannot work" == judge_margin(torque_margin(left[2], 80))
    assert 0.8944 == round(lowest_voltage_share(80, 100), 4)


def test_torque_rises_with_the_drop():
    """Derived: 30 Nm without pressure and 80 Nm at 10 bar are 5 Nm a bar, 100 Nm at 14 bar."""
    slope = torque_per_bar(30, 80, 10)

    assert (5.0, 100.0) == (slope, torque_at_drop(30, slope, 14))


def test_bearing_torque():
    """AWWA Manual M49's bearing equation (from memory): 200 mm disc, 10 bar, 0.15, 25 mm shaft make 58.90 Nm."""
    assert 58.90 == round(bearing_torque(200, 10, 0.15, 25), 2)


def test_flanges_are_labelled_as_from_memory():
    """ISO 5211 table 1 was not read: these are the figures the program takes from memory, and it labels them so."""
    assert [32, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000] == list(FLANGE_NM.values())[:10]
    assert ["F03", "F05", "F07", "F10", "F12", "F16"] == [
        choose_flange(torque)[0] for torque in (30, 100, 250, 251, 900, 4000)
    ]
    assert Standing.MEMORY == BY_ID["flange"].standing


@pytest.mark.parametrize(
    ("id_", "standing"),
    [
        ("torque-setting", Standing.PRACTICE),
        ("lamp-trip", Standing.PRACTICE),
        ("contact-pair", Standing.PRACTICE),
        ("bearing-torque", Standing.MEMORY),
        ("flange", Standing.MEMORY),
    ],
)
def test_what_is_practice_or_memory_says_so(id_, standing):
    """Nothing that no source was found for claims one."""
    assert standing == BY_ID[id_].standing


@pytest.mark.parametrize(
    ("id_", "figure"),
    [
        ("torque-margin", "1.25 and 1.5"),
        ("stop-angle", "2.5 turns"),
        ("stop-range", "2.5 turns and 5 degrees"),
        ("stop-order", "the order and 1 degree"),
        ("dead-band", "the factor 1.25"),
        ("flow-at-travel", "a rangeability of 50"),
    ],
)
def test_a_figure_of_practice_in_a_derived_formula_is_named(id_, figure):
    """Where the formula is derived but a bound in it is practice, the source names the bound."""
    assert f"{figure} common practice, no source" in BY_ID[id_].source


@pytest.mark.parametrize(
    ("thread", "pitch"),
    [
        ("M5", 0.8),
        ("M6", 1.0),
        ("M8", 1.25),
        ("M10", 1.5),
        ("M12", 1.75),
        ("M14", 2.0),
        ("M16", 2.0),
        ("M20", 2.5),
        ("M24", 3.0),
        ("M30", 3.5),
        ("M10x1.25", 1.25),
        ("M10x1", 1.0),
        ("M12x1.5", 1.5),
        ("M12x1.25", 1.25),
    ],
)
def test_metric_threads(thread, pitch):
    """ISO 261 and 262, coarse and fine pitches (seen in reproductions)."""
    assert pitch == pitch_of_thread(thread)


@pytest.mark.parametrize(
    ("thread", "pitch"),
    [("1/4-20", 1.27), ("3/8-16", 1.5875), ("1/2-13", 1.9538), ("1-8", 3.175), ("3/8-24", 1.0583)],
)
def test_inch_threads(thread, pitch):
    """ASME B1.1, threads an inch (seen in reproductions): the pitch is 25.4 mm over them."""
    assert pitch == round(pitch_of_thread(thread), 4)


@pytest.mark.parametrize(
    ("thread", "radius", "angle", "turns"),
    [
        ("M8", 40, 4.467, 2.800),
        ("M10", 50, 4.289, 2.916),
        ("M12", 60, 4.170, 3.000),
        ("M16", 80, 3.576, 3.500),
        ("3/8-16", 50, 4.538, 2.756),
        ("1/2-13", 60, 4.654, 2.687),
    ],
)
def test_two_and_a_half_turns(thread, radius, angle, turns):
    """Geometry (derived): what 2.5 turns make, and the turns for 5 degrees; the small angle is 0.25 % off at most."""
    pitch = pitch_of_thread(thread)
    made = stop_angle(2.5, pitch, radius)

    assert (angle, turns) == (round(made, 3), round(turns_for_angle(5, pitch, radius), 3))
    assert pytest.approx(made, rel=2.5e-3) == math.degrees(2.5 * pitch / radius)


def test_a_contact_past_the_end_leaves_the_range():
    """Derived: M10 at 50 mm, contact 0, 1 and 2 degrees over: 4.29, 5.29 and 6.29 degrees, the range being 5."""
    behind = stop_angle(2.5, 1.5, 50)

    assert [0.711, -0.289, -1.289] == [round(range_left(contact, behind), 3) for contact in (0, 1, 2)]


def test_order_at_the_ends():
    """Derived: 4.3 degrees behind each end with 0.6 of coast are in order; a stop inside or 0.3 behind is not."""
    assert min(order_margins(-4.3, 0, 90, 94.3, 0.6)) > 0
    assert order_margins(0.859, 0, 90, 94.3, 0.6)[0] < 0 < order_margins(0.859, 0, 90, 94.3, 0.6)[1]
    assert order_margins(-4.3, 0, 90, 90.3, 0.6)[1] < 0
    assert 3.689 == round(stop_margin(0.0, 0.6, stop_angle(2.5, 1.5, 50)), 3)


def test_a_stop_half_a_turn_inside_stalls_the_motor_short_of_closed():
    """Derived: three turns in from 2.5 behind stand 0.859 degree inside, at 0.95 % open."""
    inside = -stop_angle(2.5 - 3.0, 1.5, 50)

    assert (0.859, 0.95) == (round(inside, 3), round(travel_of_angle(inside), 2))


def test_the_same_cams_on_a_faster_unit():
    """Derived: 15 s and 0.10 s want cams at 0.60 and 89.40; on a 5 s unit they coast 1.80, 1.20 too far, 1.33 %."""
    assert [0.6, 89.4] == pytest.approx(trip_angles(15, 0.10))
    _, opened = ends_reached(0.6, 89.4, 5, 0.10)

    assert 1.8 == pytest.approx(coast_angle(5, 0.10))
    assert (1.2, 1.33) == (round(opened - 90, 2), round(travel_of_angle(opened - 90), 2))


@pytest.mark.parametrize(
    ("ohms", "held", "sound"),
    [
        ((0.1, 2e6), False, True),
        ((2e6, 0.2), True, True),
        ((0.1, 0.1), True, False),
        ((40, 2e6), False, False),
    ],
)
def test_change_over_contact(ohms, held, sound):
    """Truth table of a change-over contact (definition); 1 ohm and 1 Mohm are common practice, no source."""
    assert sound == is_pair_sound(*ohms, held=held)
    assert (40 in ohms) == ("doubtful" in map(contact_state, ohms))


@pytest.mark.parametrize(
    ("stroke_time", "coast", "needed", "wide"),
    [(15, 0.4, 0.8, 1.0), (5, 1.2, 1.6, 2.0), (60, 0.1, 0.5, 0.625)],
)
def test_dead_bands(stroke_time, coast, needed, wide):
    """Derived: 60 ms, 0.30 % of play, 0.10 % of noise; the reserve of 1.25 is common practice, no source."""
    assert pytest.approx(coast) == coast_travel(stroke_time, 0.060)
    assert pytest.approx(needed) == dead_band_needed(coast, 0.3, 0.1)
    assert pytest.approx(wide) == DEAD_BAND_RESERVE * dead_band_needed(coast, 0.3, 0.1)


def test_hunting_example():
    """Derived: 15 s with 0.30 % hunts over 0.50 %, with 0.41 % it does not."""
    assert pytest.approx(0.5) == hunting_amplitude(0.30, 0.40, "at_band")
    assert not has_limit_cycle(0.41, 0.40, "at_band")


def test_converter_steps():
    """Definition: 8, 10 and 12 bits of the full travel are 0.3922, 0.0978 and 0.0244 %."""
    assert [0.3922, 0.0978, 0.0244] == [round(converter_step(bits), 4) for bits in (8, 10, 12)]


def test_five_point_example():
    """Definitions, hysteresis and errors as in IEC 61298-2 (seen in a reproduction)."""
    figures = static_figures((0.0, 24.6, 49.5, 74.7, 100.0), (0.2, 25.4, 50.5, 75.5, 100.0))

    assert [0.5, -0.5, 1.0, 0.075, 0.1, -0.1] == [round(value, 4) for value in figures]
