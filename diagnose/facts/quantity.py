"""A typed quantity becomes a number in the wanted unit; pint does the conversion, at the door only.

Takes text, gives a float; may import trade. Raises ValueError with one clause that says what is wrong.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING

from diagnose.trade.conductors import gauge_area

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = r"[+-]?(?:[0-9]{1,15}(?:[.,][0-9]{1,15})?|[.,][0-9]{1,15})(?:[eE][+-]?[0-9]{1,2})?"
_FORM = re.compile(
    rf"\s*({_NUMBER})"
    r"\s*((?:1/)?[^\d\s][^\d]{0,24}(?:(?<=m)[23](?:/[a-z]{1,4})?)?)?\s*"
)
# a wire gauge is a number behind or before its mark, 1/0 to 4/0 for the thick ones
_GAUGE = re.compile(
    r"\s*(?:AWG\s*(?P<behind>[0-9]{1,2}|[1-4]/0)|(?P<before>[0-9]{1,2}|[1-4]/0)\s*AWG)\s*", re.IGNORECASE
)
# three figures after a comma are thousands to one reader and a fraction to the next; 0,125 is plain
_AMBIGUOUS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
# Ways the trade writes a unit that pint does not know.
_WRITTEN = {
    "%": "percent",
    "°": "degree",
    "deg": "degree",
    "°C": "degC",
    "C": "degC",
    "°F": "degF",
    "Ω": "ohm",
    "Ohm": "ohm",
    "ohms": "ohm",
    "R": "ohm",
    "kohm": "kiloohm",
    "kOhm": "kiloohm",
    "k": "kiloohm",
    "Mohm": "megaohm",
    "MOhm": "megaohm",
    "megohm": "megaohm",
    "uF": "microfarad",
    "µF": "microfarad",
    "mm2": "millimeter**2",
    "mm²": "millimeter**2",
    "cm2": "centimeter**2",
    "m3/h": "meter**3/hour",
    "m3/s": "meter**3/second",
    "kg/m3": "kilogram/meter**3",
    "Nm": "newton*meter",
    "N.m": "newton*meter",
    "/h": "1/hour",
    "1/h": "1/hour",
    "starts/h": "1/hour",
    "sec": "second",
    "min": "minute",
    # a phone's keyboard starts small
    "ma": "milliampere",
    "a": "ampere",
    "v": "volt",
    "hz": "hertz",
}
# the kind of current behind volts and amperes changes no number
_CURRENT_KIND = re.compile(r"(m?[VA]|kV) ?(?:AC|DC|ac|dc)")
_LENGTH = "(ft|foot|feet|in|inch)"
_JOINT = r"[-. *·]?"
_FORCE_LENGTH = re.compile(f"(?:lbf{_JOINT}{_LENGTH}|{_LENGTH}{_JOINT}lbf)")
_MASS_LENGTH = re.compile(f"(?:(?:lbs?|pounds?){_JOINT}{_LENGTH}|{_LENGTH}{_JOINT}(?:lbs?|pounds?))")


@cache
def _registry() -> UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def parse_quantity(text: str, unit: str) -> float:
    """Read a quantity with its unit.

    Args:
        text: As typed, for example "20.0 mA" or "48 lbf ft"; a decimal comma is understood.
        unit: The unit wanted, as the rule base writes it.

    Returns:
        The magnitude in the wanted unit.

    Raises:
        ValueError: No number, no unit, an ambiguous comma, or a unit of another dimension.
    """
    if unit == "mm2" and (gauge := _GAUGE.fullmatch(text)):
        return gauge_area(_gauge_number(gauge["behind"] or gauge["before"]))
    value, written = _split(text, unit)
    return _ensure_finite(_convert(value, written, unit), text)


def parse_number(text: str) -> float:
    """Read a number that has no unit; a decimal comma is understood.

    Raises:
        ValueError: No number, an ambiguous comma, or something behind the number.
    """
    number = text.strip().replace("\N{MINUS SIGN}", "-")
    if not re.fullmatch(_NUMBER, number):
        raise ValueError(f"'{text.strip()[:40]}' is not a plain number; write for example '12.5'")
    return _ensure_finite(_to_float(number), text)


def parse_uncertainty(text: str, unit: str) -> float:
    """Read the uncertainty of a reading, a difference: 2 K are 2 degC, not -271 degC.

    Args:
        text: As typed, for example "0.1 mA" or "±0.1 mA".
        unit: The unit of the reading.

    Returns:
        The magnitude in the wanted unit, never negative.

    Raises:
        ValueError: As for `parse_quantity`, and for a negative one.
    """
    value, written = _split(text.strip().removeprefix("±").removeprefix("+/-"), unit)
    if value < 0:
        raise ValueError(f"the uncertainty '{text.strip()[:40]}' is negative; write it without a sign")
    if written == unit:
        return _ensure_finite(value, text)
    return _ensure_finite(_convert(value, written, unit) - _convert(0.0, written, unit), text)


def _split(text: str, unit: str) -> tuple[float, str]:
    """Part the number from its unit."""
    match = _FORM.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if match is None:
        wrong = f"'{text.strip()[:40]}' is not a number with a unit"
        raise ValueError(f"{wrong}; write for example '12.5 {unit}'")
    number, written = match[1], (match[2] or "").strip()
    if not written:
        raise ValueError(f"'{text.strip()}' has no unit; write for example '{number} {unit}'")
    return _to_float(number), written


def _to_float(number: str) -> float:
    if _AMBIGUOUS.fullmatch(number):
        raise ValueError(f"'{number}' may be thousands or a decimal comma; write it with a decimal point")
    return float(number.replace(",", "."))


def _gauge_number(written: str) -> int:
    """Number a gauge as the formula does: 1/0 is 0, 4/0 is -3."""
    return 1 - int(written[0]) if "/" in written else int(written)


def _convert(value: float, written: str, unit: str) -> float:
    if written == unit:
        return value
    import pint

    ureg = _registry()
    try:
        given = ureg.Quantity(value, _name_for_pint(written))
        return float(given.to(_name_for_pint(unit)).magnitude)
    except pint.DimensionalityError:
        raise ValueError(
            f"'{written}' measures something else; {unit} is wanted{_hint(written, unit)}"
        ) from None
    except Exception:  # noqa: BLE001 - pint raises many kinds for text that is no unit
        raise ValueError(
            f"'{written}' is no unit known here; {unit} is wanted{_hint(written, unit)}"
        ) from None


def _name_for_pint(written: str) -> str:
    if match := _CURRENT_KIND.fullmatch(written):
        return match[1]
    if match := _FORCE_LENGTH.fullmatch(written):
        return f"pound_force*{match[1] or match[2]}"
    return _WRITTEN.get(written, written)


def _hint(written: str, unit: str) -> str:
    match = _MASS_LENGTH.fullmatch(written)
    if match and unit == "Nm":
        return f" (pounds here are a mass: say lbf {match[1] or match[2]})"
    return " (for degrees write °F)" if written == "F" else ""


def _ensure_finite(value: float, text: str) -> float:
    if not math.isfinite(value):
        raise ValueError(f"'{text.strip()[:40]}' is no finite number; write the number that was read")
    return value
