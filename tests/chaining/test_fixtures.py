"""Every evaluator on every fixture file."""

import pytest

from diagnose.chaining.compile import Firing, compile_rules
from diagnose.chaining.engine import run_engine
from diagnose.chaining.plain import run_plain


@pytest.mark.parametrize("run", [run_plain, run_engine])
def test_fixture_fires_as_written(chaining_fixture, make_knowledge, run):
    """The evaluator fires exactly what the fixture file says, on exactly those atoms."""
    compiled = compile_rules(make_knowledge(chaining_fixture))
    for case in chaining_fixture["cases"]:
        expected = {Firing(rule, tuple(atoms)) for rule, atoms in case["fires"].items()}
        assert expected == run(compiled, case["facts"]), case["facts"]


def test_fixture_fires_every_rule(chaining_fixture, make_knowledge):
    """No rule of a fixture file stays silent in all of its cases."""
    compiled = compile_rules(make_knowledge(chaining_fixture))
    fired = {rule for case in chaining_fixture["cases"] for rule in case["fires"]}
    assert set(compiled.by_id) == fired
