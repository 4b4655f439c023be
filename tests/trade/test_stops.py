"""Stops: turns and degrees, ranges and the order of events at an end."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.stops import (
    PITCH_MM,
    order_margins,
    pitch_of_thread,
    range_left,
    stop_angle,
    stop_margin,
    turns_for_angle,
)

TURNS = st.floats(-10, 10)
PITCHES = st.floats(0.5, 6)
RADII = st.floats(10, 500)
ANGLES = st.floats(-15, 105)


@given(TURNS, st.floats(0.5, 3), st.floats(31, 500))
def test_turns_and_degrees_are_inverse(turns, pitch, radius):
    """Going to degrees and back gives the turns again."""
    there = stop_angle(turns, pitch, radius)

    assert math.isclose(turns, turns_for_angle(there, pitch, radius), rel_tol=1e-9, abs_tol=1e-12)


@given(TURNS, PITCHES, RADII)
def test_turning_in_is_the_mirror_of_turning_out(turns, pitch, radius):
    """The same turns the other way give the same angle the other way; none gives none."""
    assert -stop_angle(turns, pitch, radius) == stop_angle(-turns, pitch, radius)
    assert 0.0 == stop_angle(0, pitch, radius)


@given(TURNS, st.floats(0.01, 5), PITCHES, RADII)
def test_more_turns_give_more_degrees(turns, more, pitch, radius):
    """The angle grows with the turns, and shrinks with a longer arm."""
    assert stop_angle(turns, pitch, radius) < stop_angle(turns + more, pitch, radius)
    assert abs(stop_angle(turns, pitch, radius * 2)) <= abs(stop_angle(turns, pitch, radius))


@given(ANGLES, st.floats(0, 20), ANGLES)
def test_coast_eats_the_margin(trip, coast, behind):
    """A degree more of coast is a degree less of margin."""
    assert math.isclose(stop_margin(trip, 0, behind) - coast, stop_margin(trip, coast, behind), abs_tol=1e-9)


@given(st.floats(-10, 10), st.floats(80, 100), st.floats(0, 5), st.floats(0, 10))
def test_the_two_ends_mirror_each_other(close_trip, open_trip, coast, gap):
    """The same gap beyond the trips of both ends leaves the same margin at both."""
    close, opened = order_margins(close_trip - gap, close_trip, open_trip, open_trip + gap, coast)

    assert math.isclose(close, opened, abs_tol=1e-9)
    assert math.isclose(gap - coast, close, abs_tol=1e-9)


def test_a_setting_may_leave_its_range_at_either_side():
    """The range counts both ways from the nominal end."""
    assert [1.0, -1.0, -1.0] == [range_left(contact, 0.0, 5.0) for contact in (4, 6, -6)]


def test_threads_of_one_diameter_differ():
    """Coarse and fine threads of one diameter are not taken for each other."""
    assert len({pitch_of_thread(thread) for thread in ("M12", "M12x1.5", "M12x1.25")}) == 3
    assert pitch_of_thread("3/8-16") > pitch_of_thread("3/8-24")
    assert all(0.5 <= pitch <= 6 for pitch in PITCH_MM.values())


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: pitch_of_thread("M11"), "no thread 'M11' in the table; give its pitch in mm instead"),
        (lambda: stop_angle(math.nan, 1.5, 50), "turns must be a finite number"),
        (lambda: stop_angle(2.5, 0, 50), "pitch must be above 0 mm"),
        (lambda: stop_angle(2.5, 1.5, -50), "arm radius must be above 0 mm"),
        (lambda: turns_for_angle(90, 1.5, 50), "angle must be -45 to 45 deg"),
        (lambda: range_left(0, 4, 0), "adjusting range must be above 0 deg"),
        (lambda: stop_margin(0, -1, 4), "coast must be 0 deg or more"),
        (lambda: order_margins(-4, 90, 0, 94, 0.6), "close limit .90 deg. must trip below the open one"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
