"""The formulas of the trade against published values; each test names its source and how sure that source is."""

import pytest

from diagnose.trade.motor import VOLTAGE_BAND, cycles_per_hour, tolerance_band
from diagnose.trade.potentiometer import wiper_resistance
from diagnose.trade.signals import (
    SPANS,
    command_for_travel,
    percent_of_signal,
    signal_of_percent,
    volts_across,
)


@pytest.mark.parametrize(
    ("current", "percent"), [(4, 0), (8, 25), (12, 50), (16, 75), (20, 100), (3.8, -1.25), (20.5, 103.125)]
)
def test_live_zero_signal(current, percent):
    """IEC 60381-1 (range, seen in reproductions) and the limits of NAMUR NE 43 (seen in reproductions)."""
    assert pytest.approx(percent) == percent_of_signal("ma_4_20", current)
    assert pytest.approx(current) == signal_of_percent("ma_4_20", percent)


def test_voltage_ranges():
    """IEC 60381-2 gives 0-10 V and 1-5 V (scope text, seen in a reproduction)."""
    assert ((0, 10, "V"), (1, 5, "V")) == (SPANS["v_0_10"], SPANS["v_1_5"])


@pytest.mark.parametrize(("ohm", "kind"), [(250, "v_1_5"), (500, "v_2_10")])
def test_a_resistor_turns_current_into_voltage(ohm, kind):
    """Ohm's law: 250 ohm makes 1-5 V and 500 ohm makes 2-10 V of 4-20 mA (derived)."""
    assert (SPANS[kind].low, SPANS[kind].high) == (volts_across(4, ohm), volts_across(20, ohm))


def test_failure_levels_across_a_resistor():
    """NAMUR NE 43 levels (seen in reproductions) across 250 ohm (derived)."""
    assert [0.9, 0.95, 5.125, 5.25] == [pytest.approx(volts_across(i, 250)) for i in (3.6, 3.8, 20.5, 21.0)]


@pytest.mark.parametrize("kind", list(SPANS))
def test_per_cent_and_signal_are_inverse(kind):
    """Definition: going to the signal and back changes nothing."""
    assert [pytest.approx(p) for p in (0, 12.5, 100)] == [
        percent_of_signal(kind, signal_of_percent(kind, p)) for p in (0, 12.5, 100)
    ]


def test_reverse_acting_mirrors():
    """Definition of the acting direction: reverse is 100 less the travel, twice is nothing."""
    assert [100, 75, 0] == [command_for_travel("reverse", travel) for travel in (0, 25, 100)]
    assert [0, 25, 100] == [command_for_travel("direct", travel) for travel in (0, 25, 100)]


def test_potentiometer():
    """Geometry (derived): 1000 ohm, 300 degrees, ratio 3, offset 15 degrees read 50, 500 and 950 ohm."""
    assert [50.0, 500.0, 950.0] == [wiper_resistance(1000, 15, 3, 300, angle) for angle in (0, 45, 90)]


def test_supply_band():
    """IEC 60038: 230 V and 400 V plus or minus ten per cent (seen in reproductions)."""
    assert (207, 253) == tuple(pytest.approx(v) for v in tolerance_band(230, VOLTAGE_BAND))
    assert (360, 440) == tuple(pytest.approx(v) for v in tolerance_band(400, VOLTAGE_BAND))


def test_cycles_of_a_duty_factor():
    """Derived from the duty factor of IEC 60034-1: 15 min an hour with 15 s strokes are 30 cycles."""
    assert 30 == cycles_per_hour(25, 15)
