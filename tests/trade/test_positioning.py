"""Positioning: laws of coast, dead band and hunting."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from diagnose.trade.positioning import (
    coast_travel,
    converter_step,
    dead_band_needed,
    has_limit_cycle,
    hunting_amplitude,
    hunting_starts,
    is_nudged_by_noise,
    position_tolerance,
    rest_error,
    smallest_steps,
    travel_speed,
)

BANDS = st.floats(0.05, 20)
COASTS = st.floats(0, 20)
ORDERS = st.sampled_from(["at_band", "at_zero"])
STROKES = st.floats(1, 600)
SECONDS = st.floats(0, 2)


@given(STROKES, SECONDS, SECONDS)
def test_coast_is_the_sum_of_two_parts_that_scale_with_speed(stroke_time, delay, braking):
    """No time, no coast; twice the speed, twice the coast; the two parts add."""
    whole = coast_travel(stroke_time, delay, braking)

    assert 0.0 == coast_travel(stroke_time, 0, 0)
    assert math.isclose(2 * whole, coast_travel(stroke_time / 2, delay, braking), rel_tol=1e-9, abs_tol=1e-12)
    assert math.isclose(
        whole, coast_travel(stroke_time, delay) + coast_travel(stroke_time, 0, braking), abs_tol=1e-9
    )


@given(STROKES, st.floats(0.001, 2))
def test_braking_is_the_square_law(stroke_time, braking):
    """Even braking from v in a time is v squared over twice the deceleration."""
    speed = travel_speed(stroke_time)

    assert math.isclose(
        speed**2 / (2 * speed / braking), coast_travel(stroke_time, 0, braking), rel_tol=1e-12
    )


@given(BANDS, COASTS, ORDERS)
def test_it_rests_inside_the_band_or_hunts(band, coast, order):
    """A unit either ends a move within half the band or hunts with twice its rest error, never both."""
    rest = rest_error(band, coast, order)

    assert (abs(rest) > band / 2) == has_limit_cycle(band, coast, order)
    wanted = 2 * abs(rest) if has_limit_cycle(band, coast, order) else 0.0
    assert wanted == hunting_amplitude(band, coast, order)


@given(BANDS, COASTS, COASTS, ORDERS)
def test_more_coast_never_cures_hunting(band, one, other, order):
    """What hunts with a coast hunts with a longer one, at least as far."""
    short, long = sorted((one, other))

    assert hunting_amplitude(band, short, order) <= hunting_amplitude(band, long, order)


@given(BANDS, COASTS)
def test_stopping_at_zero_hunts_wherever_stopping_at_the_band_does(band, coast):
    """The stop at zero error needs twice the band."""
    assume(has_limit_cycle(band, coast, "at_band"))

    assert has_limit_cycle(band, coast, "at_zero")
    assert has_limit_cycle(band, coast, "at_band") == has_limit_cycle(2 * band, coast, "at_zero")


@given(st.floats(0.01, 10), st.floats(0, 5), st.floats(0, 5))
def test_the_band_that_is_needed_is_not_left_on_the_far_side(coast, backlash, noise):
    """With the smallest dead band and a little more it rests; play and noise after the move do not send it back."""
    band = dead_band_needed(coast, backlash, noise) * 1.0001
    rest = rest_error(band, coast, "at_band")

    assert not has_limit_cycle(band, coast, "at_band")
    assert rest - backlash - noise > -band / 2


def test_nothing_to_cover_needs_no_band():
    """Without coast, play and noise no dead band is needed."""
    assert 0.0 == dead_band_needed(0, 0, 0)


@given(BANDS, COASTS, ORDERS)
def test_onward_and_back_make_up_the_band(band, coast, order):
    """The two smallest steps of a unit at rest are not negative and add to the dead band."""
    assume(not has_limit_cycle(band, coast, order))
    onward, back = smallest_steps(band, coast, order)

    assert min(onward, back) >= 0
    assert math.isclose(band, onward + back, rel_tol=1e-12)


def test_a_hunting_unit_has_no_smallest_step():
    """Where it hunts there is no rest to step from."""
    with pytest.raises(ValueError, match=r"coasts 0.4 % hunts with a dead band of 0.3 %"):
        smallest_steps(0.3, 0.4, "at_band")


@given(BANDS, st.floats(-20, 20), st.floats(0, 20))
def test_noise_wider_than_the_band_always_nudges(band, rest, noise):
    """Noise wider than the dead band starts the motor whatever the rest error; no noise never does within it."""
    assume(noise > band)

    assert is_nudged_by_noise(rest, noise, band)
    assert not is_nudged_by_noise(band / 2, 0, band)


@given(st.floats(0.1, 40), STROKES, SECONDS)
def test_a_pause_makes_starts_fewer(amplitude, stroke_time, pause):
    """Starts fall with the pause, and without one the unit runs all the time."""
    starts = hunting_starts(amplitude, stroke_time, 0)

    assert math.isclose(100 / stroke_time * 3600, starts * amplitude, rel_tol=1e-12)
    assert hunting_starts(amplitude, stroke_time, pause) <= starts


def test_a_bit_more_halves_the_step():
    """Each bit halves the step, nearly; one bit is the whole travel."""
    assert 100 == converter_step(1)
    assert all(0.45 < converter_step(n + 1) / converter_step(n) < 0.5 for n in range(4, 16))


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: travel_speed(0), "stroke time must be above 0 s"),
        (lambda: coast_travel(15, -1), "delay must be 0 s or more"),
        (lambda: coast_travel(15, 0, math.nan), "braking time must be 0 s or more"),
        (lambda: rest_error(0, 0.4, "at_band"), "dead band must be above 0 %"),
        (lambda: has_limit_cycle(1, -0.4, "at_band"), "coast must be 0 % or more"),
        (lambda: hunting_starts(0, 15, 0), "amplitude must be above 0 %"),
        (lambda: hunting_starts(1, 15, -1), "pause must be 0 s or more"),
        (lambda: dead_band_needed(0.4, -1, 0), "backlash must be 0 % or more"),
        (lambda: dead_band_needed(0.4, 0, -1), "noise must be 0 % or more"),
        (lambda: is_nudged_by_noise(math.nan, 0, 1), "rest error must be a finite number"),
        (lambda: position_tolerance(1, -1), "play must be 0 % or more"),
        (lambda: converter_step(0), "bits must be 1 to 32"),
        (lambda: converter_step(8.5), "bits must be a whole number, not 8.5"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
