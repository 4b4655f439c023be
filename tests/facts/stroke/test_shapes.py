"""The shape of the errors: clipped, sloped, shifted, gapped and bumped units are told apart."""

import pytest
from stroke_simulation import Unit

from diagnose.facts.stroke.points import Point, find_points, read_hysteresis, read_linearity, read_point_error
from diagnose.facts.stroke.shape import find_shapes
from diagnose.trade.five_point import static_figures

FIVE = [0, 25, 50, 75, 100, 75, 50, 25, 0]


def points_of(travels, commands=(0, 25, 50, 75, 100)):
    """Make resting points reached from both sides."""
    return tuple(Point(c, t, t, None, 0.0) for c, t in zip(commands, travels, strict=True))


def kinds(points):
    """Name the shapes found."""
    return [shape.kind for shape in find_shapes(points, 0.75)]


@pytest.mark.parametrize(
    ("travels", "expected"),
    [
        ((0, 25, 50, 75, 100), ["exact"]),
        ((0, 25, 50, 75, 80), ["clipped_open"]),
        ((20, 25, 50, 75, 100), ["clipped_closed"]),
        ((0, 20, 40, 60, 80), ["slope"]),
        ((5, 30, 55, 80, 105), ["shift"]),
        ((5, 30, 55, 80, 100), ["shift"]),
        ((0, 25, 50, 60, 60), ["clipped_open"]),
    ],
)
def test_the_two_patterns_of_minus_twenty_are_told_apart(travels, expected):
    """0 25 50 75 80 is a clipped end and 0 20 40 60 80 a wrong slope, though both end 20 % short."""
    assert expected == kinds(points_of(travels))


def test_a_bump_at_one_place_is_no_slope():
    """One point of nine that stands out is a bump there."""
    commands = tuple(range(10, 91, 10))
    travels = [c + (4 if c == 40 else 0) for c in commands]

    (shape,) = find_shapes(points_of(travels, commands), 0.75)

    assert ("bump", 4.0) == (shape.kind, pytest.approx(shape.size))


def test_a_constant_gap_between_directions_is_found():
    """Up and down 3 % apart at every point is a gap."""
    points = tuple(Point(c, c - 1.5, c + 1.5, None, 0.0) for c in (25, 50, 75))

    assert ["gap"] == kinds(points)


@pytest.mark.parametrize("noise", [0.0, 0.15])
@pytest.mark.parametrize(
    ("unit", "expected"),
    [
        (Unit(), "exact"),
        (Unit(top=80), "clipped_open"),
        (Unit(bottom=12), "clipped_closed"),
        (Unit(gain=0.8), "slope"),
        (Unit(offset=6), "shift"),
        (Unit(play=4), "gap"),
    ],
)
def test_a_simulated_flaw_is_named(run_log, noise, unit, expected):
    """Each flaw of a simulated unit gives its own shape and no other, through noise too."""
    report = run_log(unit, FIVE, noise=noise)

    assert [expected] == [shape.kind for shape in report.shapes]


def test_too_few_points_have_no_shape():
    """Both ends alone cannot tell a clip from a slope, so nothing is said."""
    assert () == find_shapes(points_of((0, 80), (0, 100)), 0.75)


def test_figures_agree_with_the_five_point_formulas():
    """On the handbook's five points the general formulas give what the five-point ones give."""
    up, down = (0.0, 24.6, 49.5, 74.7, 100.0), (0.2, 25.4, 50.5, 75.5, 100.0)
    points = tuple(Point(c, u, d, None, 0.0) for c, u, d in zip((0, 25, 50, 75, 100), up, down, strict=True))
    wanted = static_figures(up, down)

    assert wanted.hysteresis == pytest.approx(read_hysteresis(points).value)
    assert wanted.non_linearity == pytest.approx(read_linearity(points).value)
    assert max(wanted.highest_error, -wanted.lowest_error) == pytest.approx(read_point_error(points).value)


def test_no_holds_give_no_points():
    """Without a motion there is no point."""
    assert () == find_points((), None)
