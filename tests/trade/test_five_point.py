"""The static test: what shifts, slopes and gaps make of its figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.five_point import COMMANDS, static_figures

SHIFTS = st.floats(-50, 50)


def test_an_exact_unit_shows_nothing():
    """Travels equal to their commands make every figure zero."""
    assert (0, 0, 0, 0, 0, 0) == static_figures(COMMANDS, COMMANDS)


@given(SHIFTS, st.floats(-0.5, 0.5))
def test_a_shift_and_a_slope_show_as_zero_and_span(shift, slope):
    """A straight line off its place shows as zero and span error, not as hysteresis or non-linearity."""
    line = tuple(shift + (1 + slope) * command for command in COMMANDS)

    figures = static_figures(line, line)

    assert pytest.approx((0, 0), abs=1e-9) == (figures.hysteresis, figures.non_linearity)
    assert pytest.approx((shift, 100 * slope), abs=1e-9) == (figures.zero_error, figures.span_error)


@given(st.floats(0, 20))
def test_a_gap_between_the_ways_shows_as_hysteresis_alone(gap):
    """Play shared out to both ways shows in full as hysteresis, by half as error, and not in zero or span."""
    up = tuple(command - gap / 2 for command in COMMANDS)
    down = tuple(command + gap / 2 for command in COMMANDS)

    figures = static_figures(up, down)

    assert pytest.approx((gap / 2, -gap / 2, gap, 0, 0, 0), abs=1e-9) == figures


@given(st.sampled_from([1, 2, 3]), st.floats(0.1, 20))
def test_a_bump_shows_as_non_linearity(point, height):
    """One point off the line, both ways, is a non-linearity of its height."""
    bent = tuple(command + height * (index == point) for index, command in enumerate(COMMANDS))

    assert math.isclose(height, static_figures(bent, bent).non_linearity, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("up", "told"),
    [
        (COMMANDS[:4], "5 travels are wanted each way, not 4"),
        ((0, 25, math.nan, 75, 100), "travel must be -100 to 200 %, not nan %"),
        ((0, 25, 50, 75, 1000), "travel must be -100 to 200 %, not 1000 %"),
    ],
)
def test_impossible_travels_are_named(up, told):
    """A missing or impossible travel is refused."""
    with pytest.raises(ValueError, match=told):
        static_figures(up, COMMANDS)
