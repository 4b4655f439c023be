"""The catalogue as a whole: every entry runs on its own example, and its formula says what its function does."""

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.explanation.calculation_document import choose_lines
from diagnose.facts.inputs import read_input
from diagnose.trade.catalogue import heating, loops, motor, potentiometer, signals, supply
from diagnose.trade.catalogue.every import BY_ID, CALCULATIONS
from diagnose.trade.catalogue.model import Standing

PARTS = (signals, loops, supply, motor, heating, potentiometer)
ELECTRICAL = [calculation for part in PARTS for calculation in part.CALCULATIONS]
FUNCTIONS = ("sqrt", "exp", "log", "atan", "tan", "degrees", "radians", "pi")
PLAIN = {name: getattr(math, name) for name in FUNCTIONS} | {"max": max, "min": min, "abs": abs}


def example_of(calculation, **chosen):
    """Read every input's example, with some words chosen."""
    typed = {wanted.name: chosen.get(wanted.name, wanted.example) for wanted in calculation.inputs}
    return {wanted.name: read_input(wanted, typed[wanted.name]) for wanted in calculation.inputs}


def ways_to_choose():
    """List every calculation with each word of each of its choices."""
    for calculation in CALCULATIONS:
        yield pytest.param(calculation, {}, id=calculation.id)
        for wanted in calculation.inputs:
            for word in wanted.choices:
                yield pytest.param(calculation, {wanted.name: word}, id=f"{calculation.id}-{word}")


def test_names_are_distinct_and_plain():
    """A name is small letters, figures and dashes, and means one calculation."""
    assert len(CALCULATIONS) == len(BY_ID)
    assert [] == [name for name in BY_ID if not re.fullmatch(r"[a-z][a-z0-9-]*", name)]


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=list(BY_ID))
def test_entry_is_whole(calculation):
    """An entry says its source and standing, ends every range, and shows an example for every input."""
    assert calculation.source
    assert isinstance(calculation.standing, Standing)
    assert calculation.formula
    assert [] == [i.name for i in calculation.inputs if not i.choices and not i.lowest < i.highest]
    assert [] == [
        i.name
        for i in calculation.inputs
        if i.default is not None and i.choices and i.default not in i.choices
    ]


@pytest.mark.parametrize(("calculation", "chosen"), list(ways_to_choose()))
def test_formula_says_what_the_function_does(calculation, chosen):
    """Worked out from its own text, each line of a formula gives the function's result."""
    values = example_of(calculation, **chosen)
    try:
        answers = calculation.run(values)
    except ValueError:
        # two words that do not go together are refused, and only where a word was chosen
        assert chosen
        return
    names = {result.name: answer for result, answer in zip(calculation.results, answers, strict=True)}
    for line in choose_lines(calculation.formula, values):
        name, equals, expression = line.partition(" = ")
        if equals and name in names and isinstance(names[name], float | int):
            assert pytest.approx(names[name], rel=1e-9, abs=1e-9) == eval(expression, PLAIN | values | names)  # noqa: S307


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=list(BY_ID))
def test_every_line_is_prose_or_names_a_result(calculation):
    """A line with an equals sign names a result before it, so that its numbers can be put in."""
    conditions = {word for wanted in calculation.inputs for word in wanted.choices}
    names = {result.name for result in calculation.results}
    for line in calculation.formula:
        word, colon, rest = line.partition(": ")
        bare = rest if colon and word in conditions else line
        assert " = " not in bare or bare.partition(" = ")[0] in names, line


def values_of(wanted):
    """Draw a value an input allows, its ends among them."""
    if wanted.choices:
        return st.sampled_from(wanted.choices)
    return st.floats(wanted.lowest, wanted.highest) | st.sampled_from([wanted.lowest, wanted.highest])


@pytest.mark.parametrize("calculation", ELECTRICAL, ids=[calculation.id for calculation in ELECTRICAL])
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_every_allowed_value_gives_a_number_or_one_clear_line(calculation, data):
    """Over the whole of every range a calculation gives numbers and words, or says in one line why not."""
    values = {wanted.name: data.draw(values_of(wanted), wanted.name) for wanted in calculation.inputs}
    answers, refused = (), ""
    try:
        answers = calculation.run(values)
    except ValueError as error:
        refused = str(error)
    if refused:
        assert refused.count("\n") == refused.count("math domain") == 0
        return

    assert len(calculation.results) == len(answers)
    assert [] == [a for a in answers if not isinstance(a, str) and math.isnan(a)]
