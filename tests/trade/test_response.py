"""Step response: times of a lag and of a drive at constant speed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.response import dead_time_share, lag_of_times, lag_times, ramp_times

CONSTANTS = st.floats(0.01, 1000)
DEAD_TIMES = st.floats(0, 1000)


@given(CONSTANTS, DEAD_TIMES)
def test_times_and_lag_are_inverse(time_constant, dead_time):
    """Time constant and dead time come back from the two step times."""
    found = lag_of_times(*lag_times(time_constant, dead_time))

    assert pytest.approx((time_constant, dead_time), rel=1e-9, abs=1e-9) == found


@given(st.floats(0.1, 100), st.floats(1, 600), st.floats(0, 60))
def test_a_drive_takes_longer_for_a_longer_step(step, stroke_time, dead_time):
    """Step times of a drive grow with the step, lie in order and end before the move does."""
    t63, t86 = ramp_times(step, stroke_time, dead_time)

    assert dead_time < t63 < t86 < dead_time + step * stroke_time / 100
    assert t63 < ramp_times(step * 1.1, stroke_time, dead_time)[0]


@given(CONSTANTS, DEAD_TIMES)
def test_the_share_of_dead_time_lies_between_none_and_all(time_constant, dead_time):
    """No dead time is no share; the share stays within 100 %."""
    t63, _ = lag_times(time_constant, dead_time)

    assert 0 <= dead_time_share(dead_time, t63) <= 100
    assert 0 == dead_time_share(0, t63)


def test_a_hair_more_than_twice_is_no_dead_time():
    """Times read at rounded levels give no dead time, not a negative one."""
    assert (2.01, 0.0) == pytest.approx(lag_of_times(2.0, 4.01))


@pytest.mark.parametrize(("t63", "t86"), [(2, 2), (2, 1), (2, 4.1)])
def test_times_of_no_lag_are_refused(t63, t86):
    """T86 not above T63, or more than twice as long, is no first-order lag."""
    with pytest.raises(ValueError, match=r"T86 of a first-order lag lies above 2 s, at most at 4.04 s"):
        lag_of_times(t63, t86)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: lag_times(0, 1), "time constant must be above 0 s"),
        (lambda: lag_times(1, -1), "dead time must be 0 s or more"),
        (lambda: lag_of_times(math.nan, 1), "T63 must be above 0 s"),
        (lambda: ramp_times(0, 15, 0), "step must be above 0 %"),
        (lambda: ramp_times(10, 15, -1), "dead time must be 0 s or more"),
        (lambda: dead_time_share(3, 2.5), "dead time must be 0 to 2.5 s"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
