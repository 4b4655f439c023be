"""Step times against solutions by an open library: a first-order lag and a drive at constant speed.

The terms T63, T86 and dead time are those of ISA-75.25.01 (from memory, unverified); the times of a
first-order lag follow from its solution and are asserted as such.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.signal import step as step_of

from diagnose.trade.response import SHARE_T63, SHARE_T86, lag_of_times, lag_times, ramp_times


def crossing(times, values, level):
    """Find when a rising curve first reaches a level, between its points."""
    return float(np.interp(level, values, times))


@pytest.mark.parametrize(("time_constant", "dead_time"), [(2.0, 0.5), (0.2, 0.0), (12.0, 3.0)])
def test_first_order_lag(time_constant, dead_time):
    """scipy.signal's step response of 1 / (tau s + 1): T63 = tau + dead time, T86 = 2 tau + dead time."""
    times = np.linspace(0, 8 * time_constant, 20_001)
    _, values = step_of(([1.0], [time_constant, 1.0]), T=times)
    read = tuple(dead_time + crossing(times, values, level) for level in (0.632, 0.865))

    # 63.2 and 86.5 are rounded figures: they lie 0.01 and 0.03 time constants off
    assert lag_times(time_constant, dead_time) == pytest.approx(read, abs=0.003 * time_constant)
    assert (time_constant, dead_time) == pytest.approx(lag_of_times(*read), abs=0.006 * time_constant)


def test_shares_are_those_of_one_and_two_time_constants():
    """The definitions say 63.2 and 86.5 per cent of the final change (ISA-75.25.01, from memory, unverified)."""
    assert [0.632, 0.865] == [round(share, 3) for share in (SHARE_T63, SHARE_T86)]


@pytest.mark.parametrize(("step", "stroke_time", "dead_time"), [(10, 15, 0.2), (50, 60, 0.0), (2, 5, 1.5)])
def test_constant_speed(step, stroke_time, dead_time):
    """scipy.integrate walks a drive that waits, runs at 100 / T and stops at its step (kinematics)."""
    speed, end = 100 / stroke_time, dead_time + step * stroke_time / 100
    found = solve_ivp(
        lambda time, _: [speed if dead_time <= time < end else 0.0],
        (0, end * 1.1),
        [0.0],
        max_step=end / 4000,
    )
    rising = found.t[found.t >= dead_time], found.y[0][found.t >= dead_time]
    read = tuple(crossing(*rising, share * step) for share in (SHARE_T63, SHARE_T86))

    assert ramp_times(step, stroke_time, dead_time) == pytest.approx(read, abs=end / 1000)
