"""Heating, duty, windings and potentiometer against published values; each test names its source and its standing."""

import math

import pytest

from diagnose.trade.heating import allowed_strokes, heated_rise, periodic_rise, time_to_reset, time_to_trip
from diagnose.trade.motor import cycles_per_hour, duty_of, most_starts
from diagnose.trade.potentiometer import (
    contact_resistance,
    gear_slip,
    loading_error,
    spare_track,
    wiper_resistance,
)
from diagnose.trade.windings import (
    DERATING,
    check_reversing,
    derating,
    insulation_at_40,
    lowest_insulation,
    run_capacitance,
    unbalance,
)


def test_time_to_the_cut_out():
    """First-order heating (textbook; derived): 13.863 min at 40 degC ambient, 9.400 at 60, 11.507 min to cool."""
    assert [13.863, 9.400] == [round(time_to_trip(160, 20, trip), 3) for trip in (80, 60)]
    assert 11.507 == round(time_to_reset(80, 45, 20), 3)
    assert math.inf == time_to_trip(80, 20, 80)


@pytest.mark.parametrize(
    ("run", "rest", "cooling", "highest"), [(1, 3, 20, 43.05), (2, 2, 20, 84.00), (2, 2, 30, 99.18)]
)
def test_periodic_duty(run, rest, cooling, highest):
    """First-order heating and cooling in turn (derived)."""
    assert highest == round(periodic_rise(160, run, rest, 20, cooling), 2)


def test_periodic_duty_by_brute_force():
    """The closed form is where thousands of runs and rests end up (derived)."""
    rise = top = 0.0
    for _ in range(2000):
        top = heated_rise(160, 20, 2, rise)
        rise = top * math.exp(-2 / 30)

    assert pytest.approx(top, abs=1e-9) == periodic_rise(160, 2, 2, 20, 30)


@pytest.mark.parametrize(("ambient", "pause"), [(40, 0.1), (55, 0.25), (-20, 0.0), (20, 0.5)])
def test_strokes_by_brute_force(ambient, pause):
    """Stroke by stroke, the cut-out opens in the stroke after the last one allowed (derived)."""
    allowed = allowed_strokes(steady=160, cut_out=120, ambient=ambient, stroke=0.25, pause=pause).strokes
    rise, done = 0.0, 0
    while done < 10_000 and (rise := heated_rise(160, 20, 0.25, rise)) <= 120 - ambient:
        done, rise = done + 1, rise * math.exp(-pause / 30)

    assert (allowed if math.isfinite(allowed) else 10_000) == done


def test_starts_and_cycles():
    """Duty types of IEC 60034-1 (reproductions): S4 25 % with 1 s runs is 900 starts; 15 min of 15 s is 30 cycles."""
    assert (900, 25.0, 900.0) == (most_starts(25, 1), *duty_of(1, 3))
    assert 30 == cycles_per_hour(25, 15)


@pytest.mark.parametrize(
    ("readings", "percent"), [((462, 463, 455), 1.087), ((400, 395, 388), 1.606), ((460, 467, 450), 1.961)]
)
def test_voltage_unbalance(readings, percent):
    """NEMA MG 1-14.36 definition (a public reference's own example for the first): greatest deviation, low or high."""
    assert percent == round(unbalance(*readings), 3)


def test_derating():
    """NEMA MG 1-14.36: full load to 1 %, not above 5 %; points between read off a curve by one public reference."""
    assert (1.0, None) == (derating(0.5), derating(5.1))
    assert 0.966 == round(derating(1.606), 3)
    assert [pytest.approx(factor) for _, factor in DERATING] == [derating(percent) for percent, _ in DERATING]


def test_run_capacitor():
    """Circuit theory (derived): 1.30 A at 200 V and 50 Hz are 20.69 uF; 2652.6 and 3183.1 for 1 A at 1 V."""
    assert 20.69 == round(run_capacitance(1.3, 200, 50), 2)
    assert [2652.6, 3183.1] == [round(run_capacitance(1, 1, hertz), 1) for hertz in (60, 50)]


def test_insulation():
    """Derived from kV + 1 and the halving each 10 K; both from IEEE 43 by memory, so the rule is not checked here."""
    assert [1.23, 1.40, 1.48] == [round(lowest_insulation(volts), 2) for volts in (230, 400, 480)]
    assert (2.0, 8.0) == (insulation_at_40(8, 20), insulation_at_40(8, 40))


def test_reversing_windings():
    """Two like windings in series (derived): 22, 22 and 44 ohm fit; a shorted capacitor makes the third near zero."""
    assert "healthy" == check_reversing(22, 22, 44).verdict
    assert (100.0, 0.0) == (check_reversing(22, 22, 44).share_of_sum, check_reversing(22, 22, 44).apart)
    assert check_reversing(22, 22, 0.2).verdict.startswith("open to close near zero")


def test_windings_of_three_phases():
    """Definition (derived): 22.0, 22.0 and 23.4 ohm are 4.15 % out of balance."""
    assert 4.15 == round(unbalance(22.0, 22.0, 23.4), 2)


def test_potentiometer():
    """Geometry (derived): 1000 ohm over 300 degrees, ratio 3, offset 15: 50, 500, 950 ohm, 5 % spare each side."""
    assert [50.0, 500.0, 950.0] == [wiper_resistance(1000, 15, 3, 300, angle) for angle in (0, 45, 90)]
    assert (5.0, 5.0) == spare_track(15, 3, 300)


def test_potentiometer_load():
    """Circuit theory (derived): -1.22 and -1.45 % at ten times the load, -0.148 % at a hundred times."""
    assert [-1.22, -1.45] == [round(loading_error(k, 1e3, 1e4), 2) for k in (0.5, 2 / 3)]
    assert -0.148 == round(loading_error(2 / 3, 1e3, 1e5), 3)
    worst, place = min((loading_error(k / 1000, 1e3, 1e5), k / 1000) for k in range(1001))
    assert (pytest.approx(-4 / 27, abs=2e-3), pytest.approx(2 / 3, abs=0.01)) == (worst, place)


def test_wiper_contact_and_slipped_gear():
    """Circuit theory and geometry (derived): 1 ohm of contact; a tooth of 48 is 7.5, 2.5 degrees and 2.78 %."""
    assert 1.0 == contact_resistance(412, 590, 1000)
    assert [7.5, 2.5, 2.78] == [round(part, 2) for part in gear_slip(1, 48, 3)]
