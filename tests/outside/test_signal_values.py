"""Signals and loops against published values; each test names its source and how sure that source is."""

import pytest

from diagnose.trade.loops import (
    current_ceiling,
    highest_resistance,
    loop_load,
    name_region,
    received_percent,
    shunt_error,
    slidewire_error,
)
from diagnose.trade.signals import percent_of_signal


def test_levels_of_failure_and_measurement():
    """NAMUR NE 43 (three reproductions): 3.8 to 20.5 mA measures, 3.6 and 21 mA fail; the rest by elimination."""
    currents = (0, 3.6, 3.7, 3.8, 3.99, 4, 12, 20, 20.2, 20.5, 20.8, 21, 22)

    assert [
        "failure low",
        "failure low",
        "undefined low",
        "under range",
        "under range",
        "normal",
        "normal",
        "normal",
        "over range",
        "over range",
        "undefined high",
        "failure high",
        "failure high",
    ] == [name_region(current) for current in currents]


def test_levels_of_failure_in_per_cent():
    """NAMUR NE 43 levels on the range of IEC 60381-1 (derived): 3.6 is -2.5 %, 21 is 106.25 %."""
    assert [pytest.approx(-2.5), pytest.approx(106.25)] == [
        percent_of_signal("ma_4_20", i) for i in (3.6, 21)
    ]


@pytest.mark.parametrize(
    ("source", "configured", "resistor", "sent", "arrives"),
    [
        ("ma_4_20", "v_0_10", 250, (0, 50, 100), (10, 30, 50)),
        ("ma_4_20", "v_0_10", 500, (0, 50, 100), (20, 60, 100)),
        ("ma_4_20", "ma_0_20", 250, (0, 50, 100), (20, 60, 100)),
        ("ma_0_20", "ma_4_20", 250, (20, 50, 100), (0, 37.5, 100)),
        ("v_0_10", "v_1_5", 250, (10, 50, 100), (0, 100, 225)),
        ("v_1_5", "v_0_10", 250, (0, 50, 100), (10, 30, 50)),
        ("v_0_10", "v_2_10", 250, (20, 60, 100), (0, 50, 100)),
    ],
)
def test_wrong_input_types(source, configured, resistor, sent, arrives):
    """Derived from the spans of IEC 60381 and Ohm's law: what a wrongly set input reads."""
    assert [pytest.approx(p, abs=1e-9) for p in arrives] == [
        received_percent(source, configured, command, resistor) for command in sent
    ]


def test_resistor_tolerance():
    """Ohm's law (derived): 0.1 % is 0.125 % of span at 20 mA and 0.025 % at 4 mA."""
    assert [pytest.approx(0.125), pytest.approx(0.025)] == [shunt_error(i, 0.1) for i in (20, 4)]


def test_source_limits():
    """Ohm's law (derived): 15 V drives 750 ohm at 20 mA, 731.7 at 20.5 mA, 714.3 at 21 mA."""
    assert [750.0, 731.7, 714.3] == [round(highest_resistance(15, i), 1) for i in (20, 20.5, 21)]


def test_loop_of_three_inputs():
    """Ohm's law with 24.5 ohm/km of IEC 60228 (four reproductions): two inputs fit, a third stops at 97.60 %."""
    two, three = loop_load(15, 500, 300, 24.5), loop_load(15, 750, 300, 24.5)

    assert (pytest.approx(514.7), pytest.approx(750), "fits", 100.0) == (
        two.resistance,
        two.limit,
        two.verdict,
        two.ceiling_travel,
    )
    assert (764.7, 19.616, 97.60) == (
        round(three.resistance, 1),
        round(three.ceiling, 3),
        round(three.ceiling_travel, 2),
    )
    assert three.verdict.startswith("too much")
    assert pytest.approx(three.ceiling) == current_ceiling(15, 764.7)


def test_slidewire_leads():
    """Circuit theory (derived), 135 ohm being practice: 0.905 ohm a lead is off 1.341 % by two, 0.662 % by three."""
    assert [1.341, 0.662] == [round(slidewire_error(18.1 * 0.05, leads), 3) for leads in ("two", "three")]
