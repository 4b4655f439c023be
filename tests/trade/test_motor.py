"""Heating, duty, windings and potentiometer: laws that hold for every number, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.heating import (
    allowed_strokes,
    heated_rise,
    periodic_rise,
    steady_rise,
    time_to_reset,
    time_to_trip,
)
from diagnose.trade.motor import cycles_per_hour, duty_of, expected_currents, most_starts
from diagnose.trade.potentiometer import (
    contact_resistance,
    gear_slip,
    loading_error,
    spare_track,
    wiper_resistance,
)
from diagnose.trade.windings import (
    check_reversing,
    derating,
    insulation_at_40,
    lowest_insulation,
    run_capacitance,
    unbalance,
)

kelvins = st.floats(10, 300)
minutes = st.floats(0.1, 120)


@given(kelvins, minutes, st.floats(0.05, 0.95))
def test_time_to_trip_turns_heating_round(steady, heating, share):
    """Running for the time to trip ends at the trip."""
    trip = share * steady

    assert math.isclose(trip, heated_rise(steady, heating, time_to_trip(steady, heating, trip)), rel_tol=1e-9)


@given(kelvins, minutes, minutes)
def test_steady_rise_turns_heating_round(steady, run, heating):
    """The steady rise behind a rise after a run is the one that was run with."""
    assert math.isclose(steady, steady_rise(heated_rise(steady, heating, run), run, heating), rel_tol=1e-6)


@given(kelvins, minutes, minutes, minutes, minutes)
def test_periodic_rise_lies_between_one_run_and_for_ever(steady, run, rest, heating, cooling):
    """An endless duty ends above a single run from cold and not above running for ever."""
    highest = periodic_rise(steady, run, rest, heating, cooling)

    assert heated_rise(steady, heating, run) <= highest * (1 + 1e-12)
    assert highest <= steady * (1 + 1e-12)


@given(st.floats(-40, 100), st.floats(0, 15), st.floats(0, 5))
def test_warmer_air_never_allows_more_strokes(ambient, warmer, pause):
    """The hotter the day the fewer strokes."""
    cool, hot = (
        allowed_strokes(steady=160, cut_out=120, ambient=t, stroke=0.25, pause=pause).strokes
        for t in (ambient, ambient + warmer)
    )

    assert hot <= cool


def test_no_time_left_when_it_is_hot_already():
    """Starting above the trip leaves no time to run."""
    assert 0.0 == time_to_trip(160, 20, 80, 90)


@given(st.floats(0.01, 3600), st.floats(0, 3600))
def test_duty_and_starts_belong_together(run, rest):
    """The most starts at the duty factor of a rhythm are the starts of that rhythm."""
    duty = duty_of(run, rest)

    assert math.isclose(duty.starts, most_starts(duty.factor, run))
    assert math.isclose(duty.starts / 2, cycles_per_hour(duty.factor, run))


@given(st.floats(0.1, 1000))
def test_three_alike_are_balanced(reading):
    """Three equal readings have no unbalance, and a scale changes none."""
    assert math.isclose(0, unbalance(reading, reading, reading), abs_tol=1e-9)
    assert math.isclose(unbalance(1, 2, 3), unbalance(reading, 2 * reading, 3 * reading))


@given(st.floats(0, 5), st.floats(0, 5))
def test_derating_never_rises_with_unbalance(one, other):
    """The worse the balance the less the load."""
    low, high = sorted((one, other))

    assert derating(high) <= derating(low)


@given(st.floats(0.1, 1000), st.floats(-20, 100))
def test_insulation_halves_each_ten_kelvin(megohm, temperature):
    """The same reading 10 K warmer stands for twice the insulation."""
    assert math.isclose(2 * insulation_at_40(megohm, temperature), insulation_at_40(megohm, temperature + 10))


@pytest.mark.parametrize(
    ("ohms", "word"),
    [
        ((22, 22, 44), "healthy"),
        ((22, 30, 52), "unlike"),
        ((22, 22, 22), "not the sum"),
        ((22, 22, 1), "near zero"),
    ],
)
def test_reversing_windings_are_told_apart(ohms, word):
    """Healthy, unlike, wrongly measured and shorted each get their own words."""
    assert word in check_reversing(*ohms).verdict


@given(st.floats(0, 1), st.floats(50, 1e5))
def test_a_load_only_takes_away(share, total):
    """Loading never raises the reading, and does nothing at the ends."""
    assert loading_error(share, total, 10 * total) <= 1e-12
    assert 0 == loading_error(0, total, total) == loading_error(1, total, total)


@given(st.floats(0, 20), st.floats(0, 1000), st.floats(0, 1000))
def test_contact_shows_as_twice_itself(contact, low, high):
    """A contact of so many ohm adds itself to both readings and is found again."""
    assert math.isclose(contact, contact_resistance(low + contact, high + contact, low + high), abs_tol=1e-9)


def test_spare_track_is_what_the_wiper_leaves():
    """The track left at open is the total less the wiper's reading there."""
    left = 1000 - wiper_resistance(1000, 15, 3, 300, 90)

    assert math.isclose(left / 10, spare_track(15, 3, 300).at_open)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: heated_rise(0, 20, 1), "steady rise must be above 0 K"),
        (lambda: time_to_reset(80, 90, 20), "at most 80 K, not 90 K"),
        (
            lambda: allowed_strokes(steady=160, cut_out=100, ambient=110, stroke=1, pause=0),
            "ambient must be below",
        ),
        (lambda: expected_currents(2, 1), "stall current must be 2 A or more"),
        (lambda: duty_of(1, -1), "rest must be 0 s or more"),
        (lambda: most_starts(120, 1), "duty factor must be 0 to 100 %"),
        (lambda: cycles_per_hour(25, 0), "stroke time must be above 0 s"),
        (lambda: unbalance(0, 0, 0), "mean of the readings must be above 0"),
        (lambda: check_reversing(math.inf, 22, 44), "each resistance must be"),
        (lambda: run_capacitance(1, 200, 0), "frequency must be above 0 Hz"),
        (lambda: lowest_insulation(0), "voltage must be above 0 V"),
        (lambda: insulation_at_40(-1, 20), "insulation resistance must be 0 Mohm or more"),
        (lambda: loading_error(1.1, 1000, 1000), "place of the wiper must be 0 to 1"),
        (lambda: gear_slip(1, 0, 3), "teeth of the gear must be above 0"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    """A number outside its range is named with its range."""
    with pytest.raises(ValueError, match=told):
        call()
