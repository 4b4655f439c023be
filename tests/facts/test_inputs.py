"""Inputs of calculations read from text: units accepted, bad values refused with range and unit, round trips."""

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.facts.inputs import read_input, say_wanted
from diagnose.facts.quantity import parse_number, parse_quantity
from diagnose.trade.catalogue.every import CALCULATIONS
from diagnose.trade.catalogue.model import Input

LENGTH = Input("length", "length", "m", 0.5, 5000)
TORQUE = Input("torque", "torque", "Nm", 1, 250000)
SIZE = Input("size", "size", "mm2", 0.05, 400)
SHARE = Input("share", "share", "", 0, 1)
KIND = Input("kind", "kind", choices=("three_phase", "M10x1"))
REGISTRY = pint.UnitRegistry()
# ways people write a unit, and the same for pint
WAYS = {
    "m": {"ft": "foot", "km": "kilometer", "cm": "centimeter", "in": "inch"},
    "V": {"mV": "millivolt", "kV": "kilovolt"},
    "A": {"mA": "milliampere"},
    "mA": {"A": "ampere", "uA": "microampere"},
    "ohm": {"kohm": "kiloohm", "Mohm": "megaohm"},
    "ohm/km": {"ohm/m": "ohm/meter", "mohm/m": "milliohm/meter"},
    "mm2": {"cm2": "centimeter**2"},
    "min": {"s": "second", "h": "hour"},
    "s": {"ms": "millisecond", "min": "minute"},
    "deg": {"rad": "radian"},
    "degC": {"°F": "degF", "K": "kelvin"},
    "uF": {"nF": "nanofarad", "mF": "millifarad"},
    "Nm": {"lbf ft": "force_pound*foot", "lbf in": "force_pound*inch", "kN m": "kilonewton*meter"},
}
OURS = {
    "min": "minute",
    "s": "second",
    "deg": "degree",
    "m": "meter",
    "mm2": "millimeter**2",
    "Nm": "newton*meter",
    "uF": "microfarad",
}
PAIRS = [(unit, way, name) for unit, ways in WAYS.items() for way, name in ways.items()]


@pytest.mark.parametrize(("unit", "way", "name"), PAIRS, ids=[f"{way}-{unit}" for unit, way, _ in PAIRS])
@settings(deadline=None)  # the first conversion loads the library
@given(value=st.floats(0.01, 1000))
def test_conversions_round_trip(unit, way, name, value):
    """What pint writes in another unit is read back as the value it was."""
    there = REGISTRY.Quantity(value, OURS.get(unit, unit)).to(name).magnitude
    # typed numbers have at most fifteen figures on either side of the point and a short exponent
    typed = f"{there:.14e}"

    assert math.isclose(value, parse_quantity(f"{typed} {way}", unit), rel_tol=1e-9, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("wanted", "text", "value"),
    [
        (LENGTH, "120m", 120),
        (LENGTH, "120 m", 120),
        (LENGTH, "0.12 km", 120),
        (LENGTH, "600 ft", 182.88),
        (TORQUE, "50 lbf ft", 67.7908974167),
        (SIZE, "1,5 mm²", 1.5),
        (SIZE, "14 AWG", 2.08090771710),
        (SIZE, "awg 1/0", 53.4751207321),
        (SHARE, "0,85", 0.85),
        (KIND, "three-phase", "three_phase"),
        (KIND, "m10x1", "M10x1"),
    ],
)
def test_units_are_accepted_in_the_text(wanted, text, value):
    """A value is read in any unit of its dimension, a word in any case."""
    found = read_input(wanted, text)

    assert value == (found if isinstance(found, str) else pytest.approx(found, rel=1e-11))


@pytest.mark.parametrize(
    ("wanted", "text", "told"),
    [
        (LENGTH, "0 m", "0 m is out of range; wanted: 0.5 to 5000 m"),
        (LENGTH, "-3 m", "-3 m is out of range; wanted: 0.5 to 5000 m"),
        (LENGTH, "9 km", "9000 m is out of range; wanted: 0.5 to 5000 m"),
        (LENGTH, "nan m", "'nan m' is not a number with a unit"),
        (LENGTH, "inf m", "'inf m' is not a number with a unit"),
        (LENGTH, "120", "'120' has no unit; write for example '120 m'"),
        (LENGTH, "120 V", "'V' measures something else; m is wanted"),
        (LENGTH, "", "wanted: 0.5 to 5000 m"),
        (TORQUE, "48 ft-lb", "say lbf ft"),
        (TORQUE, "48 lb ft", "say lbf ft"),
        (SIZE, "99 AWG", "wire gauge must be -3 to 40"),
        (SHARE, "0.9 V", "'0.9 V' is not a plain number"),
        (SHARE, "2", "2 is out of range; wanted: 0 to 1"),
        (KIND, "two_phase", "'two_phase' is none of the words known here; wanted: three phase, M10x1"),
    ],
)
def test_a_bad_value_is_refused_with_what_is_wanted(wanted, text, told):
    """One line says what is wrong, the allowed range and the unit wanted."""
    with pytest.raises(ValueError) as refused:
        read_input(wanted, text)

    assert told in str(refused.value)
    assert str(refused.value).endswith(say_wanted(wanted))
    assert "\n" not in str(refused.value)


def test_the_end_of_a_range_survives_conversion():
    """104 °F are 40 degC, and 40 degC are allowed where 40 degC is the highest."""
    assert 40.0 == read_input(Input("t", "t", "degC", -60, 40), "104 °F")


def test_a_plain_number_takes_a_decimal_comma_but_no_doubt():
    """0,125 is plain, 1,250 may be thousands."""
    assert 0.125 == parse_number("0,125")
    with pytest.raises(ValueError, match="decimal point"):
        parse_number("1,250")


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=[c.id for c in CALCULATIONS])
def test_both_ends_of_every_range_can_be_typed(calculation):
    """Lowest and highest of every input are read back as themselves."""
    for wanted in calculation.inputs:
        if not wanted.choices:
            ends = [wanted.lowest, wanted.highest]

            assert ends == [read_input(wanted, f"{end:.12f} {wanted.unit}") for end in ends]
