"""Torque: margins, settings, flanges and what low voltage leaves."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.supply import torque_share
from diagnose.trade.torque import (
    FLANGE_NM,
    choose_flange,
    judge_margin,
    lowest_voltage_share,
    setting_limits,
    torque_in_pounds,
    torque_margin,
)

TORQUES = st.floats(1, 250_000)
MOTORS = st.sampled_from(["induction", "permanent_magnet_dc"])


@given(TORQUES, TORQUES, MOTORS)
def test_the_lowest_voltage_leaves_just_the_torque_that_is_needed(needed, rated, motor):
    """Lowest voltage and torque left at a voltage are inverse to each other."""
    share = lowest_voltage_share(needed, rated, motor)

    assert math.isclose(needed, rated * torque_share(motor, share), rel_tol=1e-12)


@given(TORQUES, TORQUES)
def test_a_margin_below_one_never_works_and_one_of_a_half_more_always_does(available, needed):
    """The word follows the margin: it cannot work below 1, and is never doubtful from 1.25 on."""
    margin = torque_margin(available, needed)

    assert (available < needed) == (judge_margin(margin) == "cannot work")
    assert (margin >= 1.25) == (judge_margin(margin) in {"usual", "more than usual"})


def test_a_valve_without_torque_needs_no_voltage():
    """No torque is needed at no voltage."""
    assert 0.0 == lowest_voltage_share(0, 100)


@given(st.floats(0.001, 250_000))
def test_the_flange_is_the_smallest_that_carries_the_torque(torque):
    """The chosen flange carries the torque, and every smaller one does not."""
    name, limit = choose_flange(torque)

    assert FLANGE_NM[name] == limit >= torque
    assert all(other < torque for other in FLANGE_NM.values() if other < limit)


def test_flanges_are_chosen_at_their_very_limit():
    """Exactly the limit still fits; a little more takes the next one (table from memory, unverified)."""
    assert ["F03", "F05", "F07", "F10", "F12", "F16"] == [
        choose_flange(torque)[0] for torque in (30, 100, 250, 251, 900, 4000)
    ]


@pytest.mark.parametrize(
    ("limits", "part"), [((90, 110, 250), "actuator"), ((120, 110, 250), "stem"), ((120, 110, 95), "bracket")]
)
def test_the_weakest_part_sets_the_upper_limit(limits, part):
    """The upper limit is the least of the three, and names its part."""
    assert (80, min(limits), part) == setting_limits(80, *limits)


def test_without_a_window_the_weak_part_is_named():
    """Where the valve needs what a part does not allow, no setting is given."""
    with pytest.raises(ValueError, match="no setting fits: the stem allows 80 Nm, the valve needs 80 Nm"):
        setting_limits(80, 100, 80, 100)


@given(st.floats(-1e5, 1e5))
def test_a_foot_is_twelve_inches(torque):
    """The two units of the inch system stay in their ratio."""
    feet, inches = torque_in_pounds(torque)

    assert math.isclose(inches, 12 * feet, rel_tol=1e-12, abs_tol=1e-12)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: torque_margin(0, 80), "torque of the actuator must be above 0 Nm"),
        (lambda: torque_margin(100, -1), "torque of the valve must be above 0 Nm"),
        (lambda: judge_margin(math.nan), "margin must be above 0"),
        (lambda: lowest_voltage_share(-1, 100), "torque of the valve must be 0 Nm or more"),
        (lambda: lowest_voltage_share(1, 0), "rated torque must be above 0 Nm"),
        (lambda: setting_limits(80, 100, 0, 100), "limit of the stem must be above 0 Nm"),
        (lambda: choose_flange(250_001), "torque must be 0 to 250000 Nm"),
        (lambda: torque_in_pounds(math.inf), "torque must be a finite number"),
    ],
)
def test_impossible_numbers_are_named(call, told):
    """Each refusal names the input, what is allowed and the unit."""
    with pytest.raises(ValueError, match=told):
        call()
