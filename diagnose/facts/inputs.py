"""The inputs of a calculation, read from typed text: unit, dimension and allowed range are seen to here.

Takes an input of the catalogue and text, gives its value; may import trade and quantity.
"""

from __future__ import annotations

import re

from diagnose.facts.quantity import parse_number, parse_quantity
from diagnose.trade.catalogue.model import Input, Value

_SPAN_UNITS = {"ma": "mA", "v": "V", "ohm": "ohm"}
_OPEN = 1e9
_OVER_RANGE = frozenset(["OL", "O.L", "O.L.", "OPEN"])


def read_input(wanted: Input, text: str) -> Value:
    """Read the value of one input.

    Args:
        wanted: The input.
        text: As typed, for example "120m" or "three_phase".

    Returns:
        A number in the input's unit, or one of its words.

    Raises:
        ValueError: One clause that says what is wrong, then what is wanted.
    """
    try:
        return _choose(wanted, text) if wanted.choices else _measure(wanted, text)
    except ValueError as error:
        raise ValueError(f"{error}; wanted: {say_wanted(wanted)}") from None


def _choose(wanted: Input, text: str) -> str:
    known = {_fold(choice): choice for choice in wanted.choices}
    if _fold(text) not in known:
        raise ValueError(f"'{text.strip()[:40]}' is none of the words known here")
    return known[_fold(text)]


def _fold(word: str) -> tuple[str, tuple[str, ...]]:
    """Fold a word onto its letters and its numbers, so that 4-20 mA, 4..20mA and ma_4_20 are one."""
    lower = word.lower()
    return "".join(re.findall(r"[a-z]", lower)), tuple(re.findall(r"\d+", lower))


def say_choice(choice: str) -> str:
    """Say one of an input's words as it is written in the trade.

    >>> say_choice("ma_4_20"), say_choice("three_phase"), say_choice("M10x1.25")
    ('4-20 mA', 'three phase', 'M10x1.25')
    """
    span = re.fullmatch(r"(ma|v|ohm)_(\d+)_(\d+)", choice)
    if span:
        return f"{span[2]}-{span[3]} {_SPAN_UNITS[span[1]]}"
    return choice.replace("_", " ")


def _measure(wanted: Input, text: str) -> float:
    # a meter shows OL where a contact is open; only readings that may be so high have it
    if wanted.highest >= _OPEN and wanted.unit == "ohm" and text.strip().upper() in _OVER_RANGE:
        return wanted.highest
    value = parse_quantity(text, wanted.unit) if wanted.unit else parse_number(text)
    # a conversion's last binary digit must not put 104 °F above 40 degC
    value = float(f"{value:.12g}")
    ensure_allowed(wanted, value)
    return value


def ensure_allowed(wanted: Input, value: Value) -> None:
    """Refuse a value that is none of the input's words, or a number outside its range.

    Raises:
        ValueError: In one clause.
    """
    if wanted.choices:
        if value not in wanted.choices:
            raise ValueError(f"'{value}' is none of {say_wanted(wanted)}")
    elif isinstance(value, str) or not wanted.lowest <= value <= wanted.highest:
        raise ValueError(f"{_write(value, wanted.unit)} is out of range")


def say_wanted(wanted: Input) -> str:
    """Say what an input may be: its words, or its range with the unit."""
    if wanted.choices:
        return ", ".join(map(say_choice, wanted.choices))
    return f"{wanted.lowest:.12g} to {_write(wanted.highest, wanted.unit)}"


def _write(value: Value, unit: str) -> str:
    number = value if isinstance(value, str) else f"{value:.12g}"
    return f"{number} {unit}".rstrip()
