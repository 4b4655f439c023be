"""Quantities as they are typed: commas, units of the trade, and what is refused with which words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.facts.quantity import parse_quantity, parse_uncertainty


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("20.0 mA", "mA", 20),
        ("20,0 mA", "mA", 20),
        ("0,125 A", "mA", 125),
        (",5 A", "A", 0.5),
        ("-0,5 mA", "mA", -0.5),
        ("\N{MINUS SIGN}3 °", "°", -3),
        ("  12.5V ", "V", 12.5),
        ("20\N{NO-BREAK SPACE}ma", "mA", 20),
        ("1234,567 V", "V", 1234.567),
        ("1.5e3 V", "kV", 1.5),
        ("50 %", "%", 50),
        ("230 V AC", "V", 230),
        ("24VDC", "V", 24),
        ("20 mA DC", "mA", 20),
        ("470 k", "ohm", 470_000),
        ("1.2 kΩ", "ohm", 1200),
        ("5 Mohm", "ohm", 5_000_000),
        ("16 µF", "uF", 16),
        ("80 °C", "degC", 80),
        ("176 °F", "degC", 80),
        ("353.15 K", "°C", 80),
        ("60 starts/h", "/h", 60),
        ("60 1/h", "/h", 60),
        ("60 /h", "1/h", 60),
        ("1 1/min", "1/h", 60),
        ("2 min", "s", 120),
        ("48 Nm", "Nm", 48),
    ],
)
def test_quantities_are_read_as_the_trade_writes_them(text, unit, value):
    """Numbers and units come out in the wanted unit."""
    assert value == pytest.approx(parse_quantity(text, unit), abs=1e-9)


@pytest.mark.parametrize("written", ["lbf ft", "lbf-ft", "ft-lbf", "ft.lbf", "ft lbf", "lbf·ft"])
def test_pound_force_feet_are_newton_metres(written):
    """One pound-force foot is 0.3048 m x 4.4482216152605 N (exact by definition)."""
    assert 48 * 0.3048 * 4.4482216152605 == pytest.approx(parse_quantity(f"48 {written}", "Nm"))


@pytest.mark.parametrize("written", ["ft-lb", "ft lb", "lb-ft", "ftlb", "lb ft", "ft-lbs", "foot-pounds"])
def test_pounds_that_are_a_mass_are_refused_with_the_cure(written):
    """A pound is a mass; the answer says how to write a torque."""
    with pytest.raises(ValueError, match=r"pounds here are a mass: say lbf (ft|foot)"):
        parse_quantity(f"48 {written}", "Nm")


@pytest.mark.parametrize("written", ["in-lb", "in lbs", "inlb", "lb.in"])
def test_inch_pounds_are_refused_with_the_cure(written):
    """The same for inches."""
    with pytest.raises(ValueError, match="say lbf in"):
        parse_quantity(f"48 {written}", "Nm")


@pytest.mark.parametrize("unit", ["m", "mm", "mA", "°"])
def test_only_where_a_torque_is_wanted_is_one_told_of(unit):
    """A length given in foot-pounds is refused without a word on how to write a torque."""
    with pytest.raises(ValueError, match=f"{unit} is wanted$"):
        parse_quantity("48 ft-lb", unit)


@pytest.mark.parametrize("number", ["1,234", "-12,500", "999,999"])
def test_comma_before_three_figures_is_refused(number):
    """Thousands to one reader, a fraction to the next: the number is not guessed."""
    with pytest.raises(
        ValueError, match="may be thousands or a decimal comma; write it with a decimal point"
    ):
        parse_quantity(f"{number} V", "V")


@pytest.mark.parametrize(
    ("text", "unit", "wrong"),
    [
        ("20", "mA", "'20' has no unit; write for example '20 mA'"),
        ("20 V", "mA", "'V' measures something else; mA is wanted"),
        ("80 F", "degC", "for degrees write °F"),
        ("5 %", "V", "'%' measures something else"),
        ("5 furlongs per", "V", "is no unit known here; V is wanted"),
        ("5 __import__", "V", "is no unit known here"),
        ("nan V", "V", "is not a number with a unit"),
        ("inf V", "V", "is not a number with a unit"),
        ("1e999 V", "V", "is not a number with a unit"),
        ("9" * 400 + " V", "V", "is not a number with a unit"),
        ("4-20 mA", "mA", "is not a number with a unit"),
        ("1,234.5 V", "V", "is not a number with a unit"),
        ("1 000 V", "V", "is not a number with a unit"),
        ("\N{ARABIC-INDIC DIGIT THREE} V", "V", "is not a number with a unit"),
        ("", "V", "is not a number with a unit"),
        ("V", "V", "is not a number with a unit"),
        ("2**99 V", "V", "is not a number with a unit"),
    ],
)
def test_what_is_no_quantity_is_refused(text, unit, wrong):
    """No number, no unit, another dimension, or no end: each is told in one clause."""
    with pytest.raises(ValueError) as caught:
        parse_quantity(text, unit)

    assert wrong in str(caught.value)


@given(st.text(max_size=40))
def test_any_text_gives_a_number_or_a_value_error(text):
    """No text whatever brings anything but a finite number or a ValueError."""
    try:
        value = parse_quantity(text, "V")
    except ValueError:
        return

    assert abs(value) < float("inf")


@given(st.floats(-1e6, 1e6), st.sampled_from(["mA", "V", "ohm", "%", "Nm", "°", "degC", "s"]))
def test_a_written_number_is_read_back(value, unit):
    """What was written with twelve decimals is read back as it was."""
    assert float(f"{value:.12f}") == parse_quantity(f"{value:.12f} {unit}", unit)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("0.1 mA", "mA", 0.1),
        ("±0,1 mA", "mA", 0.1),
        ("+/- 100 uA", "mA", 0.1),
        ("2 K", "degC", 2),
        ("2 °C", "degC", 2),
        ("3.6 °F", "degC", 2),
        ("0 V", "V", 0),
    ],
)
def test_uncertainty_is_a_difference(text, unit, value):
    """Degrees of an uncertainty have a size and no zero point."""
    assert value == pytest.approx(parse_uncertainty(text, unit), abs=1e-9)


@pytest.mark.parametrize("text", ["-0.1 mA", "±-0.1 mA", "0.1", "1 %"])
def test_impossible_uncertainty_is_refused(text):
    """A negative one, one without unit and one of another dimension are refused."""
    with pytest.raises(ValueError):
        parse_uncertainty(text, "mA")
