"""A calculation, or the list of all, as text of 80 columns.

Takes documents and entries of the catalogue, gives strings; may import the document and text. Nothing is printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.explanation.calculation_document import Given, Line, Worked, write_value
from diagnose.explanation.text import WIDTH, wrap
from diagnose.facts.inputs import say_choice, say_wanted
from diagnose.trade.catalogue.model import Calculation, Input

_HANG = 4


def render_worked(worked: Worked, width: int = WIDTH) -> str:
    """Render a calculation that was worked out: result first, then how, then how far to rely on it.

    Args:
        worked: The document.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end.
    """
    lines = [*wrap(f"{worked.title} [{worked.id}]", width), ""]
    for found in worked.found:
        lines += wrap(f"{found.says}: {write_value(found.value, found.unit)}", width, 2, _HANG)
    lines.append("")
    for line in worked.lines:
        lines += _formula(line, width)
    lines += ["", "Given"]
    for given in worked.given:
        lines += wrap(_given(given), width, 2, _HANG)
    lines.append("")
    lines += _standing(worked.valid, worked.source, worked.standing, width)
    return "\n".join(lines) + "\n"


def say_briefly(worked: Worked) -> tuple[str, ...]:
    """Say how a result came about and what it rests on, one line each, not wrapped."""
    return (
        f"{worked.title} [{worked.id}]",
        *(
            f"{_sign(line.formula)}; {_sign(line.inserted)}" if line.inserted else _sign(line.formula)
            for line in worked.lines
        ),
        f"Source: {worked.source}. Standing: {worked.standing}",
    )


def _formula(line: Line, width: int) -> Iterator[str]:
    yield from wrap(_sign(line.formula), width, 2, _HANG)
    if line.inserted:
        yield from wrap(f"= {_sign(line.inserted)}", width, 4, _HANG)


def _sign(formula: str) -> str:
    """Write powers and products as a person would."""
    return formula.replace(" ** ", "^").replace(" * ", " x ")


def _say_condition(line: str) -> str:
    """Say the word of a choice that a line of the formula begins with."""
    head, colon, rest = line.partition(": ")
    return f"{say_choice(head)}{colon}{rest}" if colon and " " not in head else line


def _given(given: Given) -> str:
    allowed = f"not given; allowed: {given.allowed}" if given.by_default else f"allowed: {given.allowed}"
    return f"{given.says}: {write_value(given.value, given.unit)} ({allowed})"


def _standing(valid: str, source: str, standing: str, width: int) -> Iterator[str]:
    for head, text in (("Holds", valid), ("Source", source), ("Standing", standing)):
        yield from wrap(f"{head}: {text}", width)


def render_list(calculations: Iterable[Calculation]) -> str:
    """List all calculations, one a line."""
    every = tuple(calculations)
    column = max(len(calculation.id) for calculation in every) + 2
    lines = [f"{calculation.id:<{column}}{calculation.title}" for calculation in every]
    return "\n".join([*lines, "", "What one needs and how it is called: diagnose calc NAME --help"]) + "\n"


def render_needs(calculation: Calculation, width: int = WIDTH) -> str:
    """Say what a calculation answers, what it needs and how it is called.

    Args:
        calculation: Entry of the catalogue.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end.
    """
    lines = [f"{calculation.title} [{calculation.id}]", *wrap(calculation.answers, width), ""]
    for wanted in calculation.inputs:
        lines += wrap(f"{option_of(wanted)}  {_need(wanted)}", width, 2, _HANG)
    lines.append("")
    for line in calculation.formula:
        lines += wrap(_sign(_say_condition(line)), width, 2, _HANG)
    lines += ["", *_standing(calculation.valid, calculation.source, calculation.standing, width), ""]
    lines += wrap(f"For example: {say_example(calculation)}", width)
    return "\n".join(lines) + "\n"


def option_of(wanted: Input) -> str:
    """Name the option of an input."""
    return f"--{wanted.name.replace('_', '-')}"


def say_need(wanted: Input) -> str:
    """Say an input by its option and what it may be."""
    return f"{option_of(wanted)} ({say_wanted(wanted)})"


def _need(wanted: Input) -> str:
    default = "" if wanted.default is None else f"; {write_value(wanted.default, wanted.unit)} if left out"
    return f"{wanted.says} ({say_wanted(wanted)}{default})"


def say_example(calculation: Calculation) -> str:
    """Write a call that works, with every input that must be given."""
    needed = (wanted for wanted in calculation.inputs if wanted.default is None)
    options = (f"{option_of(wanted)} {wanted.example.replace(' ', '')}" for wanted in needed)
    return " ".join(("diagnose calc", calculation.id, *options))
