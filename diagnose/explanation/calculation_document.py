"""One calculation as worked out: what was given, what came out, by which formula, and how far to rely on it.

Takes a calculation and its values, gives a frozen document; may import trade and facts.
"""

from __future__ import annotations

import math
import re

from diagnose.explanation.document import Part
from diagnose.facts.inputs import say_choice, say_wanted
from diagnose.trade.catalogue.model import Calculation, Result, Value

_NAME = re.compile(r"[a-z]\w*")
_CONDITION = re.compile(r"(\w+): ")


class Given(Part):
    """One input with its value; `allowed` is its range with unit, or its words."""

    name: str
    says: str
    value: float | str
    unit: str
    allowed: str
    by_default: bool


class Found(Part):
    """One result; where the number is infinite, the words for that."""

    name: str
    says: str
    value: float | str
    unit: str


class Line(Part):
    """One line of the formula, with names and again with the numbers put in; prose has none."""

    formula: str
    inserted: str


class Worked(Part):
    """A calculation worked out, complete enough to render without the catalogue."""

    id: str
    title: str
    answers: str
    given: tuple[Given, ...]
    found: tuple[Found, ...]
    lines: tuple[Line, ...]
    valid: str
    source: str
    standing: str


def build_worked(calculation: Calculation, values: dict[str, Value]) -> Worked:
    """Work a calculation out and say how.

    Args:
        calculation: Entry of the catalogue.
        values: Values given, by input; those left out take their default.

    Returns:
        The frozen document.

    Raises:
        ValueError: The values do not go together, in one clause.
    """
    known = {i.name: values.get(i.name, i.default) for i in calculation.inputs}
    complete = {name: value for name, value in known.items() if value is not None}
    answers = calculation.run(complete)
    found = tuple(map(_find, calculation.results, answers))
    units = {wanted.name: wanted.unit for wanted in calculation.inputs}
    units |= {result.name: result.unit for result in calculation.results}
    told = complete | {part.name: part.value for part in found}
    return Worked(
        id=calculation.id,
        title=calculation.title,
        answers=calculation.answers,
        given=tuple(
            Given(
                name=i.name,
                says=i.says,
                value=complete[i.name],
                unit=i.unit,
                allowed=say_wanted(i),
                by_default=i.name not in values,
            )
            for i in calculation.inputs
        ),
        found=found,
        lines=tuple(
            Line(formula=line, inserted=insert_numbers(line, told, units))
            for line in choose_lines(calculation.formula, complete)
        ),
        valid=calculation.valid,
        source=calculation.source,
        standing=calculation.standing,
    )


def _find(result: Result, value: Value) -> Found:
    is_endless = isinstance(value, float) and math.isinf(value)
    return Found(
        name=result.name,
        says=result.says,
        value=result.endless if is_endless else value,
        unit="" if isinstance(value, str) or is_endless else result.unit,
    )


def choose_lines(formula: tuple[str, ...], values: dict[str, Value]) -> tuple[str, ...]:
    """Keep the lines that hold for the words chosen, each without the word it begins with."""
    chosen = {value for value in values.values() if isinstance(value, str)}
    kept = []
    for line in formula:
        condition = _CONDITION.match(line)
        if condition is None:
            kept.append(line)
        elif condition[1] in chosen:
            kept.append(line[condition.end() :])
    return tuple(kept)


def insert_numbers(line: str, values: dict[str, Value], units: dict[str, str]) -> str:
    """Write a formula's line with numbers and units in place of names; empty where it is prose.

    Args:
        line: "result = expression".
        values: By name of input or result.
        units: By name of input or result.

    Returns:
        "expression in numbers = number unit", or the number alone where that is all.

    >>> insert_numbers("b = 2 * a", {"a": -1.5, "b": -3.0}, {"a": "m", "b": "m"})
    '2 * (-1.5 m) = -3 m'
    """
    name, equals, expression = line.partition(" = ")
    if not equals or name not in values:
        return ""

    def insert(match: re.Match[str]) -> str:
        value = values.get(match[0])
        if value is None:
            return match[0]
        written = write_value(value, units[match[0]])
        return f"({written})" if written.startswith("-") and match[0] != expression else written

    inserted, result = _NAME.sub(insert, expression), write_value(values[name], units[name])
    return result if inserted == result else f"{inserted} = {result}"


def write_value(value: Value, unit: str) -> str:
    """Write a value with its unit, a number to five figures and without an exponent up to a thousand million.

    >>> write_value(0.0841666, "V"), write_value(123456.7, "ohm"), write_value("fits", "")
    ('0.084167 V', '123457 ohm', 'fits')
    >>> write_value(2e6, "ohm"), write_value("single_phase", "")
    ('2000000 ohm', 'single phase')
    >>> write_value(0.6 - 90 / 15 * 0.1, "deg")
    '0 deg'
    """
    if isinstance(value, str):
        return say_choice(value)
    # the difference of two equal lengths may be off by their last binary digit
    value = 0.0 if abs(value) < 1e-12 else value
    number = f"{value:.0f}" if 1e4 <= abs(value) <= 1e9 else f"{value:.5g}"
    return f"{number} {unit}".rstrip()
