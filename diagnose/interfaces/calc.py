"""The command `calc`: a calculation of the trade by name, its inputs as options with their units.

Takes words of the command line, prints; may import everything above.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence

from diagnose.errors import UsageWrong
from diagnose.explanation.calculation_document import build_worked
from diagnose.explanation.calculation_text import (
    option_of,
    render_list,
    render_needs,
    render_worked,
    say_need,
)
from diagnose.facts.inputs import read_input, say_wanted
from diagnose.trade.catalogue.every import BY_ID, CALCULATIONS
from diagnose.trade.catalogue.model import Calculation, Input, Value

HELP = {"-h", "--help"}


def run_calc(name: str | None, words: Sequence[str], *, as_json: bool) -> None:
    """List the calculations, tell what one needs, or work it out.

    Args:
        name: Name of the calculation; None for the list.
        words: The rest of the command line: options and their values.
        as_json: Print JSON.

    Raises:
        UsageWrong: An unknown name or option, a missing or a bad value.
    """
    if name is None or name in HELP:
        print(_list_as_json() if as_json else render_list(CALCULATIONS), end="")
        return
    calculation = find_calculation(name)
    if HELP & set(words):
        print(render_needs(calculation), end="")
        return
    values = read_values(calculation, words)
    values |= _ask_for(calculation, values)
    try:
        worked = build_worked(calculation, values)
    except ValueError as error:
        raise UsageWrong(f"{calculation.id}: {error}") from None
    print(worked.model_dump_json(indent=2) + "\n" if as_json else render_worked(worked), end="")


def find_calculation(name: str) -> Calculation:
    """Find a calculation by its name.

    Raises:
        UsageWrong: There is none; the nearest names are told.
    """
    from rapidfuzz import process

    if name in BY_ID:
        return BY_ID[name]
    near = ", ".join(found for found, _, _ in process.extract(name, BY_ID.keys(), limit=3, score_cutoff=50))
    hint = f"nearest: {near}" if near else "`diagnose calc` lists them"
    raise UsageWrong(f"no calculation '{name[:40]}'; {hint}")


def read_values(calculation: Calculation, words: Sequence[str]) -> dict[str, Value]:
    """Read the options of a calculation; a value ends where the next option begins.

    Raises:
        UsageWrong: An unknown option, one given twice, or a bad value.
    """
    by_option = {option_of(wanted): wanted for wanted in calculation.inputs}
    values: dict[str, Value] = {}
    for option, text in _part_options(calculation, words):
        if option not in by_option:
            raise UsageWrong(f"{calculation.id} has no {option[:40]}; it takes {', '.join(by_option)}")
        wanted = by_option[option]
        if wanted.name in values:
            raise UsageWrong(f"{calculation.id}: {option} is given twice; give it once")
        values[wanted.name] = _read(wanted, text)
    return values


def _part_options(calculation: Calculation, words: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Part the words into options with their values, so that "120 m" needs no quotes."""
    gathered: list[tuple[str, list[str]]] = []
    for word in words:
        if word.startswith("--"):
            option, _, value = word.partition("=")
            gathered.append((option, [value] if value else []))
        elif gathered:
            gathered[-1][1].append(word)
        else:
            example = option_of(calculation.inputs[0])
            raise UsageWrong(f"{calculation.id}: '{word[:40]}' stands before any option, as {example}")
    return ((option, " ".join(parts)) for option, parts in gathered)


def _read(wanted: Input, text: str) -> Value:
    if not text.strip():
        raise UsageWrong(f"{option_of(wanted)} has no value; wanted: {say_wanted(wanted)}")
    try:
        return read_input(wanted, text)
    except ValueError as error:
        raise UsageWrong(f"{option_of(wanted)}: {error}") from None


def _ask_for(calculation: Calculation, values: dict[str, Value]) -> dict[str, Value]:
    """Ask for what is missing at a terminal; in a pipe name it.

    Raises:
        UsageWrong: Something is missing and nobody is there to ask.
    """
    missing = [
        wanted for wanted in calculation.inputs if wanted.name not in values and wanted.default is None
    ]
    if missing and not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise UsageWrong(f"{calculation.id} also needs {', '.join(map(say_need, missing))}")
    return {wanted.name: _ask(wanted) for wanted in missing}


def _ask(wanted: Input) -> Value:
    """Ask until the answer will do; the result alone goes to stdout."""
    while True:
        hint = f" ({say_wanted(wanted)})" if wanted.choices else f", for example {wanted.example}"
        print(f"{wanted.says}{hint}: ", end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line:
            raise UsageWrong(f"no answer; also needed: {say_need(wanted)}")
        if not line.strip():
            print(f"a value is wanted: {say_wanted(wanted)}", file=sys.stderr)
            continue
        try:
            return read_input(wanted, line)
        except ValueError as error:
            print(error, file=sys.stderr)


def _list_as_json() -> str:
    listed = [
        {
            "id": calculation.id,
            "title": calculation.title,
            "answers": calculation.answers,
            "inputs": [
                {"option": option_of(wanted), "says": wanted.says, "allowed": say_wanted(wanted)}
                for wanted in calculation.inputs
            ],
            "source": calculation.source,
            "standing": calculation.standing,
        }
        for calculation in CALCULATIONS
    ]
    return json.dumps(listed, indent=2) + "\n"
