"""Located faults: their one line, their order, their exit codes."""

import pickle

import pytest

from diagnose.errors import (
    DiagnoseError,
    ExitCode,
    Fault,
    FaultsFound,
    InputFaulty,
    RulesFaulty,
    fault_in_file,
)


def make_fault(path="rules/a.yaml", line=3, column=5, wrong="it is wrong"):
    """Make a fault with a place of its own."""
    return Fault(path, line, column, "model", wrong, "mend it")


def test_fault_is_one_line_with_place_check_and_cure():
    """A fault prints as path:line:column, the check, what is wrong, what to do."""
    assert "rules/a.yaml:3:5: [model] it is wrong; mend it" == str(make_fault())


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("two\nlines", r"two\nlines"),
        ("\x1b[31mred", r"\x1b[31mred"),
        ("reversed \u202e text", r"reversed \u202e text"),
        ("80 °C", "80 °C"),
    ],
)
def test_what_cannot_be_printed_is_escaped(given, shown):
    """A name out of a hostile file can neither break the line nor steer the terminal."""
    assert f"rules/a.yaml:3:5: [model] {shown}; mend it" == str(make_fault(wrong=given))


def test_faults_are_sorted_by_place_and_told_once():
    """The faults come by path, then line, then column; the same fault is told once."""
    first, second, third, last = (
        make_fault("a", 2, 9),
        make_fault("a", 10, 1),
        make_fault("a", 10, 2),
        make_fault("b", 1, 1),
    )

    error = FaultsFound([last, third, first, second, first])

    assert (first, second, third, last) == error.faults
    assert [str(fault) for fault in (first, second, third, last)] == str(error).splitlines()


@pytest.mark.parametrize(
    ("kind", "code"),
    [
        (RulesFaulty, ExitCode.RULES_FAULTY),
        (InputFaulty, ExitCode.INPUT_FAULTY),
        (DiagnoseError, ExitCode.INPUT_FAULTY),
    ],
)
def test_each_error_carries_its_exit_code(kind, code):
    """Faulty rules end with 3, faulty input with 4."""
    assert code == kind.exit_code


def test_exit_codes_leave_one_to_bugs():
    """Code 1 means a bug and belongs to nothing else."""
    assert {0, 2, 3, 4, 5} == {int(code) for code in ExitCode}


def test_error_survives_the_way_between_processes():
    """A pickled error comes back with its faults."""
    error = pickle.loads(pickle.dumps(RulesFaulty([make_fault()])))  # noqa: S301 - our own bytes

    assert (make_fault(),) == error.faults
    assert str(make_fault()) == str(error)


def test_fault_in_file_stands_at_its_head():
    """A fault of a whole file points at its first character."""
    assert Fault("a.yaml", 1, 1, "missing-file", "gone", "add it") == fault_in_file(
        "a.yaml", "missing-file", "gone", "add it"
    )
