"""Signals and loops: laws that hold for every number, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.loops import (
    command_error,
    current_ceiling,
    highest_resistance,
    loop_load,
    name_region,
    output_errors,
    received_percent,
    shunt_error,
    slidewire_error,
)
from diagnose.trade.signals import SPANS, command_for_travel, two_point_errors

percents = st.floats(-20, 120)
kinds = st.sampled_from(sorted(SPANS))


@given(kinds, percents)
def test_right_input_reads_what_is_sent(kind, percent):
    """An input set to the kind that is sent reads the command itself."""
    assert math.isclose(percent, received_percent(kind, kind, percent), abs_tol=1e-9)


@given(percents)
def test_quarter_kiloohm_makes_a_voltage_input_right(percent):
    """4-20 mA across 250 ohm is 1-5 V, across 500 ohm 2-10 V."""
    assert math.isclose(percent, received_percent("ma_4_20", "v_1_5", percent, 250), abs_tol=1e-9)
    assert math.isclose(percent, received_percent("ma_4_20", "v_2_10", percent, 500), abs_tol=1e-9)


@given(st.floats(1, 60), st.floats(1, 25))
def test_the_limit_is_where_the_ceiling_is_the_current(compliance, current):
    """A loop of the highest resistance reaches exactly the current it was worked out for."""
    assert math.isclose(current, current_ceiling(compliance, highest_resistance(compliance, current)))


@given(st.floats(1, 60), st.floats(1, 5000), st.floats(0, 3000))
def test_a_loop_fits_or_its_ceiling_lies_low(compliance, inputs, length):
    """The verdict says "fits" exactly where the ceiling reaches what is wanted."""
    load = loop_load(compliance, inputs, length, 24.5)

    assert (load.verdict == "fits") == (load.resistance <= load.limit)
    assert 0 <= load.ceiling_travel <= 100
    assert (load.verdict == "fits") <= (load.ceiling_travel == pytest.approx(100))


@given(st.floats(0, 1000))
def test_three_leads_beat_two(lead):
    """Three leads are never worse than two, and none lose anything."""
    assert slidewire_error(lead, "three") <= slidewire_error(lead, "two")
    assert 0 == slidewire_error(0, "two") == slidewire_error(0, "three")


@given(st.sampled_from(["direct", "reverse"]), percents)
def test_acting_twice_is_nothing(acting, travel):
    """The command for a command is the travel again."""
    assert math.isclose(travel, command_for_travel(acting, command_for_travel(acting, travel)), abs_tol=1e-9)


@given(st.sampled_from(["direct", "reverse"]), percents, st.floats(-5, 5))
def test_command_error_is_what_was_added(acting, travel, error):
    """Travel that stands off its command by so much has that error, whichever way the unit acts."""
    command = command_for_travel(acting, travel)

    assert math.isclose(error, command_error(command, travel + error, acting), abs_tol=1e-9)


@given(st.floats(-3, 3), st.floats(-3, 3))
def test_output_errors_are_what_was_added(zero, top):
    """Currents off their ends by so much have those errors, and the worse one is told."""
    errors = output_errors(4 + zero, 20 + top)

    assert [pytest.approx(e, abs=1e-9) for e in (zero, top, max(abs(zero), abs(top)))] == [
        errors.zero,
        errors.top,
        errors.worst,
    ]


@given(st.floats(-10, 10), st.floats(-10, 10), st.floats(0, 40), st.floats(60, 100))
def test_two_points_give_the_line_back(zero, span, low, high):
    """Points on a line with known zero and span errors give them back."""
    slope = 1 + span / 100
    errors = two_point_errors(low, zero + low * slope, high, zero + high * slope)

    assert [pytest.approx(e, abs=1e-9) for e in (zero, span, zero + span)] == list(errors)


@given(st.floats(0, 25), st.floats(0, 100))
def test_resistor_error_goes_with_both(current, tolerance):
    """Twice the tolerance is twice the error."""
    assert math.isclose(
        shunt_error(current, tolerance / 2) * 2, shunt_error(current, tolerance), abs_tol=1e-12
    )


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: received_percent("v_0_10", "ma_4_20", 50), "follows from no resistor alone"),
        (lambda: received_percent("ma_4_20", "v_0_10", 50, 0), "resistor must be above 0 ohm"),
        (lambda: name_region(math.nan), "current must be"),
        (lambda: highest_resistance(0), "compliance must be above 0 V"),
        (lambda: loop_load(15, -1, 0, 0), "inputs must be 0 ohm or more"),
        (lambda: loop_load(15, 0, 0, 24.5), "resistance must be above 0 ohm"),
        (lambda: slidewire_error(-1, "two"), "lead must be 0 ohm or more"),
        (lambda: command_error(50, 300), "travel must be -100 to 200 %"),
        (lambda: two_point_errors(50, 50, 55, 55), "must be 10 % or more"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    """A number outside its range is named with its range."""
    with pytest.raises(ValueError, match=told):
        call()
