"""The valve: laws of flow, choking, characteristics and torque under pressure."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.valve import (
    bearing_torque,
    choking_drop,
    cv_of_kv,
    flow_through,
    installed_share,
    kv_of_cv,
    needed_kv,
    opening_share,
    torque_at_drop,
    torque_per_bar,
)

KVS = st.floats(0.001, 1e5)
# a torque too small for a whole number of binary digits comes back rounded
TORQUES = st.floats(0, 1000, allow_subnormal=False)
DROPS = st.floats(0.001, 420)
DENSITIES = st.floats(0.3, 3)
KINDS = st.sampled_from(["linear", "equal_percentage"])
SHARES = st.floats(0.01, 1)


@given(KVS)
def test_the_two_coefficients_are_inverse(kv):
    """Going to Cv and back gives Kv again, and nothing is nothing."""
    assert math.isclose(kv, kv_of_cv(cv_of_kv(kv)), rel_tol=1e-12)
    assert 0.0 == cv_of_kv(0) == kv_of_cv(0)


@given(KVS, DROPS, DENSITIES)
def test_flow_and_coefficient_are_inverse(kv, drop, density):
    """The coefficient that a flow needs passes that flow."""
    assert math.isclose(kv, needed_kv(flow_through(kv, drop, density), drop, density), rel_tol=1e-12)


@given(KVS, DROPS, DENSITIES)
def test_flow_follows_the_square_law(kv, drop, density):
    """Four times the drop, or a quarter of the density, doubles the flow; no drop passes nothing."""
    flow = flow_through(kv, drop, density)

    assert math.isclose(2 * flow, flow_through(kv, 4 * drop, density), rel_tol=1e-12)
    assert math.isclose(2 * flow, flow_through(kv, drop, density / 4), rel_tol=1e-12)
    assert 0.0 == flow_through(kv, 0, density)


@given(st.floats(0.1, 400), st.floats(0, 0.99), SHARES)
def test_a_valve_chokes_below_the_whole_pressure(inlet, part, recovery):
    """A liquid without vapour pressure chokes at FL squared of the inlet, one with some at less or the same."""
    cold = choking_drop(inlet, 0, 221.2, recovery)

    assert math.isclose(recovery**2 * inlet, cold, rel_tol=1e-12)
    assert choking_drop(inlet, part * min(inlet, 221.2), 221.2, recovery) <= cold


@given(st.floats(0, 99), KINDS, st.floats(2, 200))
def test_opening_never_passes_less(travel, kind, rangeability):
    """More travel, more opening; open is open."""
    assert opening_share(travel, kind, rangeability) < opening_share(travel + 1, kind, rangeability)
    assert 1.0 == opening_share(100, kind, rangeability)


@given(st.floats(0, 90), st.floats(2, 200))
def test_equal_steps_multiply_alike(travel, rangeability):
    """Equal percentage: ten per cent of travel multiply the opening by the same factor everywhere."""
    ratio = opening_share(travel + 10, "equal_percentage", rangeability) / opening_share(
        travel, "equal_percentage", rangeability
    )

    assert math.isclose(rangeability**0.1, ratio, rel_tol=1e-9)


@given(SHARES, SHARES)
def test_a_pipe_makes_the_valve_look_wider_open(opening, authority):
    """In a pipe the share of flow is never below the opening; without one they are the same; ends stay."""
    assert installed_share(opening, authority) >= opening * (1 - 1e-12)
    assert math.isclose(opening, installed_share(opening, 1), rel_tol=1e-12)
    assert math.isclose(1, installed_share(1, authority), rel_tol=1e-12)
    assert 0.0 == installed_share(0, authority)


@given(st.floats(0.05, 1), st.floats(0.05, 1), st.floats(0.1, 100))
def test_valve_and_pipe_share_the_drop(opening, authority, total):
    """The flow found is the one at which the drops over valve and pipe add to the whole."""
    kv = 100.0
    full = flow_through(kv, authority * total)
    flow = installed_share(opening, authority) * full
    over_valve = (flow / flow_through(opening * kv, 1)) ** 2
    over_pipe = (1 - authority) * total * (flow / full) ** 2

    assert math.isclose(total, over_valve + over_pipe, rel_tol=1e-9)


@given(TORQUES, TORQUES, DROPS)
def test_torque_comes_back_from_its_slope(still, added, drop):
    """The slope from one known drop gives back the torque there, and the torque without pressure at none."""
    slope = torque_per_bar(still, still + added, drop)

    assert math.isclose(still + added, torque_at_drop(still, slope, drop), rel_tol=1e-9)
    assert still == torque_at_drop(still, slope, 0)


@given(st.floats(50, 2000), DROPS, st.floats(0.05, 0.3))
def test_bearing_torque_grows_with_the_square_of_the_disc(disc, drop, friction):
    """Twice the disc is four times the torque, twice the drop or the friction twice; no drop makes none."""
    torque = bearing_torque(disc, drop, friction, 20)

    assert math.isclose(4 * torque, bearing_torque(2 * disc, drop, friction, 20), rel_tol=1e-9)
    assert math.isclose(2 * torque, bearing_torque(disc, 2 * drop, friction, 20), rel_tol=1e-9)
    assert math.isclose(2 * torque, bearing_torque(disc, drop, 2 * friction, 20), rel_tol=1e-9)
    assert 0.0 == bearing_torque(disc, 0, friction, 20)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: cv_of_kv(-1), "Kv must be 0 m3/h or more"),
        (lambda: kv_of_cv(math.nan), "Cv must be 0 or more"),
        (lambda: flow_through(1, -1), "pressure drop must be 0 bar or more"),
        (lambda: flow_through(1, 1, 0), "density must be above 0 kg/l"),
        (lambda: needed_kv(1, 0), "pressure drop must be above 0 bar"),
        (lambda: needed_kv(-1, 1), "flow must be 0 m3/h or more"),
        (lambda: choking_drop(6.8, 0.7, 221.2, 1.1), "recovery factor must be 0 to 1"),
        (lambda: choking_drop(6.8, 0.7, 221.2, 0), "recovery factor must be above 0"),
        (lambda: choking_drop(6.8, 7, 221.2, 0.9), "vapour pressure must be 0 to 6.8 bar"),
        (lambda: opening_share(101, "linear"), "travel must be 0 to 100 %"),
        (lambda: opening_share(50, "equal_percentage", 1), "rangeability must be above 1"),
        (lambda: installed_share(0.5, 0), "authority must be above 0"),
        (lambda: installed_share(1.5, 0.5), "opening must be 0 to 1"),
        (lambda: torque_per_bar(80, 30, 10), "torque under pressure must be 80 Nm or more"),
        (lambda: torque_at_drop(30, -1, 10), "rise of torque must be 0 Nm/bar or more"),
        (lambda: bearing_torque(200, 10, 0.15, 300), "shaft diameter must be 0 to 200 mm"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
