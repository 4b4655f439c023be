"""Conductors and supply against published values; each test names its source and how sure that source is."""

import math

import pytest

from diagnose.trade.conductors import (
    OHM_PER_KM,
    conductor_resistance,
    gauge_area,
    gauge_diameter,
    resistance_at,
)
from diagnose.trade.supply import (
    cable_drop,
    stroke_time_at_frequency,
    supply_deviation,
    supply_verdict,
    torque_share,
    voltage_drop,
)

KFT = 0.3048  # km


def test_listed_conductors():
    """IEC 60228 classes 1, 2 and 5 (four reproductions): highest resistance at 20 degC; class 5 dips at 50 mm2."""
    sizes = (0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95)
    fixed = (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387, 0.268, 0.193)
    flexible = (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554, 0.386, 0.272, 0.206)

    assert sizes == tuple(OHM_PER_KM)
    assert fixed == tuple(conductor_resistance(size) for size in sizes)
    assert flexible == tuple(conductor_resistance(size, "flexible") for size in sizes)


def test_wire_gauge_ends():
    """ASTM B258 (reproductions): No. 36 is 0.005 in, No. 0000 is 0.46 in, 39 steps of 92^(1/39)."""
    assert pytest.approx(0.005 * 25.4, rel=1e-12) == gauge_diameter(36)
    assert pytest.approx(0.46 * 25.4, rel=1e-12) == gauge_diameter(-3)
    assert pytest.approx(1.1229322, rel=1e-7) == gauge_diameter(17) / gauge_diameter(18)


@pytest.mark.parametrize(
    ("gauge", "diameter", "area", "ohm_per_km"),
    [
        (24, 0.5106, 0.2047, 84.22),
        (22, 0.6438, 0.3255, 52.96),
        (20, 0.8118, 0.5176, 33.31),
        (18, 1.0237, 0.8230, 20.95),
        (16, 1.2908, 1.3087, 13.17),
        (14, 1.6277, 2.0809, 8.286),
        (12, 2.0525, 3.3088, 5.211),
        (10, 2.5882, 5.2612, 3.277),
    ],
)
def test_wire_gauge_table(gauge, diameter, area, ohm_per_km):
    """ASTM B258 with the copper of IEC 60028 (derived table)."""
    assert (diameter, area) == (round(gauge_diameter(gauge), 4), round(gauge_area(gauge), 4))
    assert pytest.approx(ohm_per_km, rel=5e-4) == conductor_resistance(gauge_area(gauge))


@pytest.mark.parametrize(("gauge", "ohm"), [(20, 10.15), (18, 6.385), (16, 4.016), (14, 2.525), (12, 1.588)])
def test_copper_wire_tables(gauge, ohm):
    """NBS copper wire tables as reproduced: ohm per 1000 ft of solid wire at 20 degC."""
    assert pytest.approx(ohm, rel=1e-3) == conductor_resistance(gauge_area(gauge)) * KFT


@pytest.mark.parametrize(
    ("gauge", "solid", "stranded"),
    [
        (18, 7.77, 7.95),
        (16, 4.89, 4.99),
        (14, 3.07, 3.14),
        (12, 1.93, 1.98),
        (10, 1.21, 1.24),
        (8, 0.764, 0.778),
    ],
)
def test_wire_at_75_degrees(gauge, solid, stranded):
    """NFPA 70 chapter 9 table 8 (one reproduction read): ohm per 1000 ft at 75 degC; stranded some 2 % more."""
    ours = conductor_resistance(gauge_area(gauge), temperature=75) * KFT

    assert pytest.approx(solid, rel=5e-3) == ours
    assert 1.01 < stranded / ours < 1.035


def test_temperature_factors():
    """IEC 60028 coefficient 0.00393 (from memory, high confidence): 1.1965 at 70 degC, 1.2162 at 75 degC."""
    assert [1.1965, pytest.approx(1.2162, abs=6e-5)] == [round(resistance_at(1, t), 5) for t in (70, 75)]


def test_single_phase_starting_on_thin_wire():
    """Worked example, 7.95 ohm/kft of NFPA 70 table 8: 19.08 V of 120 V are lost, 70.7 % of the torque is left."""
    drop = voltage_drop("single_phase", 2.0, 600 * KFT, 7.95 / KFT)

    assert (19.08, 84.1) == (round(drop, 2), round((120 - drop) / 120 * 100, 1))
    assert 70.7 == round(torque_share("induction", (120 - drop) / 120) * 100, 1)


def test_single_phase_cold_and_warm():
    """Worked example with IEC 60228: 1.2 A over 150 m of 1.5 mm2 lose 4.356 V at 20 degC and 5.212 V at 70 degC."""
    cold, warm = (
        cable_drop(supply="single_phase", voltage=230, current=1.2, length=150, size=1.5, temperature=t)
        for t in (20, 70)
    )

    assert (4.356, 1.894) == (round(cold.drop, 3), round(cold.drop_share, 3))
    assert (5.212, 2.266) == (round(warm.drop, 3), round(warm.drop_share, 3))


def test_three_phases():
    """Worked example with IEC 60228: 4 A at 0.6 over 200 m of 2.5 mm2 lose 6.161 V, 1.540 %."""
    lost = cable_drop(supply="three_phase", voltage=400, current=4, length=200, size=2.5, power_factor=0.6)

    assert (6.161, 1.540) == (round(lost.drop, 3), round(lost.drop_share, 3))


def test_direct_current():
    """Worked example with IEC 60228: 5 A over 40 m of 1.5 mm2 leave 19.16 V of 24 V, outside 10 %."""
    lost = cable_drop(supply="dc", voltage=24, current=5, length=40, size=1.5)

    assert (4.84, 20.17, 19.16) == (round(lost.drop, 2), round(lost.drop_share, 2), round(lost.at_load, 2))
    assert "voltage below tolerance" == supply_verdict(supply_deviation(lost.at_load, 24))


def test_torque_with_the_square_of_the_voltage():
    """NEMA MG 1-12.44 (condensed text read): torque goes with voltage squared, and inversely with frequency squared."""
    ratios = (1.10, 0.95, 0.90, 0.85, 0.80, 0.70, 0.5, 2)

    assert [1.21, 0.9025, 0.81, 0.7225, 0.64, 0.49, 0.25, 4.0] == [
        round(torque_share("induction", ratio), 4) for ratio in ratios
    ]
    assert pytest.approx(1 / 1.44) == torque_share("induction", 1, 1.2)


def test_supply_limits():
    """NEMA MG 1-12.44.1 (condensed text read): 10 % of voltage, 5 % of frequency, 10 % both together."""
    tries = ((10, 0), (-10.01, 0), (10.01, 0), (0, 5.01), (6, 4), (6, 4.01))

    assert [
        "within tolerance",
        "voltage below tolerance",
        "voltage above tolerance",
        "frequency outside tolerance",
        "within tolerance",
        "together outside tolerance",
    ] == [supply_verdict(*one) for one in tries]


def test_sixty_on_fifty():
    """Synchronous speed (derived): a unit for 60 Hz takes 1.2 times as long on 50 Hz."""
    assert math.isclose(1.2, stroke_time_at_frequency(1, 60, 50))


@pytest.mark.parametrize(
    ("temperature", "factor"), [(5, 1.064), (10, 1.042), (15, 1.020), (30, 0.962), (40, 0.926), (50, 0.893)]
)
def test_temperature_table_of_cables(temperature, factor):
    """The table printed with IEC 60228 (a reproduction) follows 250 / (230 + t): ours agrees within 0.2 %."""
    assert factor == round(250 / (230 + temperature), 3)
    assert pytest.approx(factor, rel=2e-3) == 1 / resistance_at(1, temperature)


def test_temperature_rule_of_the_wire_table():
    """NFPA 70 table 8 note 2 (from memory, consistent with 1 / 309.5): 0.00323 per K from 75 degC, within 0.1 %."""
    assert pytest.approx(0.00323, rel=1e-3) == 1 / (234.5 + 75)
    assert pytest.approx(1 + 0.00323 * (20 - 75), rel=1e-3) == resistance_at(1, 20) / resistance_at(1, 75)
