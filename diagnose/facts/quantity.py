"""A typed quantity becomes a number in the wanted unit; pint does the conversion, at the door only.

Takes text, gives a float; may import errors. Raises ValueError with one clause that says what is wrong.
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import UnitRegistry

_FORM = re.compile(r"^\s*([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*([^\d\s][^\d]{0,24})?\s*$")
# Ways the trade writes a unit that pint does not know.
_WRITTEN = {
    "%": "percent",
    "°": "degree",
    "deg": "degree",
    "°C": "degC",
    "C": "degC",
    "Ω": "ohm",
    "ohms": "ohm",
    "R": "ohm",
    "kohm": "kiloohm",
    "k": "kiloohm",
    "Mohm": "megaohm",
    "uF": "microfarad",
    "µF": "microfarad",
    "Nm": "newton*meter",
    "N.m": "newton*meter",
    "lbf ft": "foot*pound_force",
    "lbf in": "inch*pound_force",
    "V AC": "volt",
    "V DC": "volt",
    "/h": "1/hour",
    "sec": "second",
    "min": "minute",
}


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
    match = _FORM.match(text)
    if match is None:
        raise ValueError(
            f"'{text.strip()[:40]}' is not a number with a unit; write for example '12.5 {unit}'"
        )
    number, written = match[1], (match[2] or "").strip()
    if re.search(r",\d{3}$", number):
        raise ValueError(f"'{number}' may be thousands or a decimal comma; write it with a decimal point")
    value = float(number.replace(",", "."))
    if not written:
        raise ValueError(f"'{text.strip()}' has no unit; write for example '{number} {unit}'")
    return _convert(value, written, unit)


def _convert(value: float, written: str, unit: str) -> float:
    if written == unit:
        return value
    import pint

    ureg = _registry()
    try:
        given = ureg.Quantity(value, _WRITTEN.get(written, written))
        result = float(given.to(_WRITTEN.get(unit, unit)).magnitude)
    except pint.DimensionalityError:
        raise ValueError(f"'{written}' measures something else; {unit} is wanted{_hint(written)}") from None
    except Exception:  # noqa: BLE001 - pint raises many kinds for text that is no unit
        raise ValueError(f"'{written}' is no unit known here; {unit} is wanted") from None
    if not math.isfinite(result):
        raise ValueError(f"'{value:g} {written}' is no finite number of {unit}")
    return result


def _hint(written: str) -> str:
    pounds = re.fullmatch(r"(ft|in)[-. *]?lbs?|lbs?[-. *]?(ft|in)", written)
    return f" (pounds here are a mass: say lbf {pounds[1] or pounds[2]})" if pounds else ""
