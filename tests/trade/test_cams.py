"""Cams and contacts: trips, ends reached, and what a change-over contact reads."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.cams import (
    angle_of_travel,
    coast_angle,
    contact_state,
    ends_reached,
    is_pair_sound,
    lamp_trips,
    travel_of_angle,
    trip_angles,
)

STROKES = st.floats(1, 600)
DELAYS = st.floats(0, 2)


@given(STROKES, DELAYS)
def test_cams_set_for_the_coast_end_at_the_ends(stroke_time, delay):
    """Trip angles and ends reached are inverse: the unit stands at 0 and 90 degrees."""
    closed, opened = ends_reached(*trip_angles(stroke_time, delay), stroke_time, delay)

    assert math.isclose(0, closed, abs_tol=1e-9)
    assert math.isclose(90, opened, abs_tol=1e-9)


@given(STROKES, STROKES, st.floats(0.001, 2))
def test_a_faster_unit_runs_past_the_same_cams(one, other, delay):
    """With the same cams the faster of two units opens further and closes further."""
    fast, slow = sorted((one, other))
    faster, slower = (ends_reached(0.6, 89.4, time, delay) for time in (fast, slow))

    assert faster[0] <= slower[0]
    assert faster[1] >= slower[1]


@given(STROKES)
def test_without_delay_nothing_coasts(stroke_time):
    """No delay, no coast: the cams trip at the ends themselves."""
    assert 0.0 == coast_angle(stroke_time, 0)
    assert (0.0, 90.0) == trip_angles(stroke_time, 0)


@given(st.floats(-20, 120))
def test_travel_and_angle_are_inverse(travel):
    """Going to degrees and back gives the travel again."""
    assert math.isclose(travel, travel_of_angle(angle_of_travel(travel)), rel_tol=1e-12, abs_tol=1e-12)


@given(st.floats(-10, 40), st.floats(50, 100))
def test_lamps_trip_before_their_limits(close_trip, open_trip):
    """On the way to each end the lamp switch trips first."""
    close_low, close_high, open_low, open_high = lamp_trips(close_trip, open_trip)

    assert close_trip < close_low < close_high
    assert open_low < open_high < open_trip


@pytest.mark.parametrize("ohm", [0, 0.999, 1.0, 5, 1e6, 1.1e6, math.inf])
def test_a_contact_is_one_of_three_things(ohm):
    """Below 1 ohm it is closed, above 1 Mohm open, and doubtful from one to the other, both included."""
    wanted = "closed" if ohm in {0, 0.999} else "open" if ohm in {1.1e6, math.inf} else "doubtful"

    assert wanted == contact_state(ohm)


@pytest.mark.parametrize("ohms", [(0.1, 2e6), (2e6, 0.1), (0.1, 0.1), (2e6, 2e6), (40, 2e6), (0.1, 40)])
def test_a_pair_is_sound_in_one_position_of_the_cam_at_most(ohms):
    """Only a closed and an open contact pass, and only in the position that wants them so."""
    assert (ohms == (0.1, 2e6)) == is_pair_sound(*ohms, held=False)
    assert (ohms == (2e6, 0.1)) == is_pair_sound(*ohms, held=True)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: coast_angle(0, 0.1), "stroke time must be above 0 s"),
        (lambda: coast_angle(15, -0.1), "delay must be 0 s or more"),
        (lambda: ends_reached(math.nan, 89, 15, 0.1), "close trip must be a finite number"),
        (lambda: travel_of_angle(math.inf), "angle must be a finite number"),
        (lambda: angle_of_travel(math.nan), "travel must be a finite number"),
        (lambda: lamp_trips(0, math.nan), "open trip must be a finite number"),
        (lambda: contact_state(-1), "contact resistance must be 0 ohm or more"),
        (lambda: contact_state(math.nan), "contact resistance must be 0 ohm or more"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
