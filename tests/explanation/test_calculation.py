"""A calculation as worked out: document, numbers put into the formula, text of 80 columns, JSON and back."""

import pytest

from diagnose.explanation.calculation_document import (
    Worked,
    build_worked,
    choose_lines,
    insert_numbers,
    write_value,
)
from diagnose.explanation.calculation_text import render_list, render_needs, render_worked, say_example
from diagnose.facts.inputs import read_input
from diagnose.trade.catalogue.every import BY_ID, CALCULATIONS


def work_out(name, **typed):
    """Work a calculation out on its examples, or on what is typed."""
    calculation = BY_ID[name]
    needed = {i.name: i.example for i in calculation.inputs if i.default is None} | typed
    by_name = {wanted.name: wanted for wanted in calculation.inputs}
    return build_worked(calculation, {key: read_input(by_name[key], text) for key, text in needed.items()})


def test_whole_text(ensure_golden):
    """A cable's drop prints result, formula with numbers, ranges, source and standing."""
    ensure_golden(
        "calc-cable-drop.txt", render_worked(work_out("cable-drop", length="120 m", size="1.5 mm2"))
    )


def test_needs_in_full(ensure_golden):
    """What a calculation needs is told with ranges, units, defaults and a call that works."""
    ensure_golden("calc-cable-drop-help.txt", render_needs(BY_ID["cable-drop"]))


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=list(BY_ID))
def test_every_text_fits_eighty_columns(calculation):
    """No line of an answer or of a help text is wider than 80 columns."""
    text = render_worked(work_out(calculation.id)) + render_needs(calculation)

    assert [] == [line for line in text.splitlines() if len(line) > 80]
    assert calculation.source.split()[0] in text


def test_the_list_names_every_calculation_on_one_line():
    """The list has one line a calculation, none wider than 80 columns."""
    lines = render_list(CALCULATIONS).splitlines()

    assert list(BY_ID) == [line.split()[0] for line in lines[: len(BY_ID)]]
    assert [] == [line for line in lines if len(line) > 80]


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=list(BY_ID))
def test_document_round_trips_as_json(calculation):
    """A saved document renders as the fresh one."""
    worked = work_out(calculation.id)

    assert render_worked(worked) == render_worked(Worked.model_validate_json(worked.model_dump_json()))


def test_only_the_lines_that_hold_are_shown():
    """Of a formula for several kinds only the chosen kind's lines stay, without the kind."""
    formula = ("dc: a = 1", "single_phase: a = 2", "b = a")

    assert ("a = 2", "b = a") == choose_lines(formula, {"supply": "single_phase", "x": 3.0})


def test_numbers_take_the_place_of_names_only():
    """Functions and numbers of a formula stay as they are."""
    line = insert_numbers("x = sqrt(y) * 1000 / pi", {"x": 2.0, "y": 4.0}, {"x": "A", "y": "V"})

    assert "sqrt(4 V) * 1000 / pi = 2 A" == line
    assert "2 A" == insert_numbers("x = y", {"x": 2.0, "y": 2.0}, {"x": "A", "y": "A"})
    assert "" == insert_numbers("the greatest of three", {"x": 2.0}, {"x": "A"})


def test_what_never_happens_is_said_in_words():
    """An infinite result is words in text and in JSON."""
    worked = work_out("time-to-cut-out", steady="60 K")

    assert "never opens" == worked.found[1].value
    assert "run time: never opens" in render_worked(worked)


@pytest.mark.parametrize(
    ("value", "unit", "written"),
    [
        (0.0841666, "V", "0.084167 V"),
        (250000.0, "Nm", "250000 Nm"),
        (12345.6, "ohm", "12346 ohm"),
        (-2.5, "%", "-2.5 %"),
    ],
)
def test_numbers_have_no_exponent_where_people_read_them(value, unit, written):
    """Five figures, and below a million no exponent."""
    assert written == write_value(value, unit)


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=list(BY_ID))
def test_the_example_call_names_every_needed_input(calculation):
    """The call shown as an example holds each option that must be given."""
    call = say_example(calculation)

    assert [] == [
        i.name
        for i in calculation.inputs
        if i.default is None and f"--{i.name.replace('_', '-')} " not in call
    ]
