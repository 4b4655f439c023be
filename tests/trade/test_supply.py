"""Conductors and supply: laws that hold for every number, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.trade.conductors import (
    OHM_PER_KM,
    conductor_resistance,
    gauge_diameter,
    resistance_at,
    resistance_at_20,
)
from diagnose.trade.supply import (
    cable_drop,
    longest_cable,
    supply_deviation,
    supply_verdict,
    torque_share,
    voltage_at_impedance,
    voltage_drop,
)

amps = st.floats(0.01, 100)
metres = st.floats(0.1, 5000)
ohms = st.floats(0.01, 100)


@given(st.floats(0.01, 1e4), st.floats(-60, 180))
def test_temperature_and_back(resistance, temperature):
    """Bringing a resistance to a temperature and back to 20 degC changes nothing."""
    assert math.isclose(resistance, resistance_at_20(resistance_at(resistance, temperature), temperature))


@given(amps, metres, ohms, st.floats(1, 3))
def test_drop_grows_with_length_and_current(current, length, core, times):
    """The drop goes with length and with current, and is nothing without either."""
    one = voltage_drop("single_phase", current, length, core)

    assert math.isclose(times * one, voltage_drop("single_phase", current, times * length, core))
    assert math.isclose(times * one, voltage_drop("single_phase", times * current, length, core))
    assert 0 == voltage_drop("dc", 0, length, core) == voltage_drop("dc", current, 0, core)


@given(amps, metres, ohms)
def test_three_phases_lose_less(current, length, core):
    """For one current in each line three phases lose sqrt(3) / 2 of what one phase loses."""
    ratio = voltage_drop("three_phase", current, length, core) / voltage_drop(
        "single_phase", current, length, core
    )

    assert math.isclose(math.sqrt(3) / 2, ratio)


@given(amps, ohms, st.floats(0.1, 50))
def test_longest_cable_loses_what_is_allowed(current, core, allowed):
    """A cable of the longest length loses exactly the drop that is allowed."""
    length = longest_cable(
        supply="single_phase", voltage=230, current=current, resistance=core, allowed=allowed
    )

    assert math.isclose(allowed / 100 * 230, voltage_drop("single_phase", current, length, core))


@given(st.sampled_from(sorted(OHM_PER_KM)), st.sampled_from(["fixed", "flexible"]))
def test_listed_sizes_lie_near_plain_copper(size, strands):
    """The table's highest resistance lies above solid copper of that size, by less than a fifth."""
    assert 1 < conductor_resistance(size, strands) / (1000 / 58 / size) < 1.2


@given(st.floats(0, 3), st.floats(0.5, 2))
def test_torque_at_nominal_is_whole(voltage, frequency):
    """Voltage and frequency raised alike leave the torque, and a dc motor minds no frequency."""
    assert math.isclose(1, torque_share("induction", frequency, frequency))
    assert torque_share("permanent_magnet_dc", voltage, frequency) == voltage


def test_cable_leaves_a_permanent_magnet_motor_more():
    """At one drop a dc motor keeps torque with voltage, an induction motor with its square."""
    parts = {"voltage": 100, "current": 1, "length": 50, "size": 1.0}
    direct, one_phase = (cable_drop(supply=kind, **parts) for kind in ("dc", "single_phase"))

    assert direct.at_load == one_phase.at_load
    assert math.isclose(direct.torque_left**2 / 100, one_phase.torque_left)


def test_constant_impedance_loses_less_than_constant_current():
    """With a load of constant resistance the voltage left is a little more than with constant current."""
    assert 24 - 24 / 4.8 * 1.2 < voltage_at_impedance(24, 4.8, 1.2) < 24


def test_deviation_at_the_limit_is_within():
    """Exactly 10 % low is still within tolerance."""
    assert "within tolerance" == supply_verdict(supply_deviation(207, 230))


@pytest.mark.parametrize(
    ("call", "told"),
    [
        (lambda: voltage_drop("dc", 1, 1, 1, power_factor=0.8), "no power factor"),
        (lambda: voltage_drop("single_phase", 1, 1, 1, power_factor=1.2), "power factor must be 0 to 1"),
        (lambda: voltage_drop("single_phase", -1, 1, 1), "current must be 0 A or more"),
        (lambda: voltage_drop("single_phase", 1, math.nan, 1), "length must be"),
        (lambda: cable_drop(supply="dc", voltage=12, current=50, length=100, size=0.5), "uses up the 12 V"),
        (lambda: conductor_resistance(0), "size must be above 0 mm2"),
        (lambda: gauge_diameter(41), "wire gauge must be -3 to 40"),
        (lambda: supply_deviation(200, 0), "nominal value must be above 0"),
        (lambda: torque_share("induction", 1, 0), "ratio of frequencies must be above 0"),
    ],
)
def test_what_cannot_be_is_refused(call, told):
    """A number outside its range is named with its range."""
    with pytest.raises(ValueError, match=told):
        call()
