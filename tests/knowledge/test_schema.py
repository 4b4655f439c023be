"""The JSON Schema of the rule format: every rule file fits it, faulty ones do not."""

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from diagnose.knowledge.file_kinds import NOT_RULES
from diagnose.knowledge.schema import rule_schema
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.yaml_nodes import read_yaml

FIXTURES = Path(__file__).parent.parent / "fixtures"


def rule_files(directory):
    """List the rule files of a directory, relative to it."""
    paths = [path.relative_to(directory) for path in sorted(directory.rglob("*.yaml"))]
    return [path for path in paths if not NOT_RULES & set(path.parts)]


def find_faults(directory, relative):
    """Validate one file against the schema of its own kind."""
    folder = relative.parts[0]
    inner = folder if folder in {"inspections", "derived"} else "cause"
    schema = {**rule_schema(), "anyOf": [{"$ref": f"#/$defs/{inner if len(relative.parts) > 1 else folder}"}]}
    data = read_yaml(directory / relative).data
    return [error.message for error in Draft202012Validator(schema).iter_errors(data)]


def test_schema_is_valid_itself():
    """The document is a valid schema of its dialect."""
    Draft202012Validator.check_schema(rule_schema())


@pytest.mark.parametrize("path", rule_files(rules_directory()), ids=str)
def test_shipped_files_fit(path):
    """Every shipped rule file fits the schema of its kind."""
    assert [] == find_faults(rules_directory(), path)


@pytest.mark.parametrize("path", rule_files(FIXTURES / "rules_good"), ids=str)
def test_small_base_fits(path):
    """Every file of the small base fits the schema of its kind and the schema of any rule file."""
    good = FIXTURES / "rules_good"

    assert [] == find_faults(good, path)
    assert Draft202012Validator(rule_schema()).is_valid(read_yaml(good / path).data)


@pytest.mark.parametrize("name", ["unknown-key", "missing-key", "model"])
def test_faulty_files_do_not_fit(name):
    """What the loader refuses in one file by its form, the schema refuses too."""
    bad = FIXTURES / "rules_bad" / name
    (path,) = rule_files(bad)

    assert [] != find_faults(bad, path)


@pytest.mark.parametrize(
    ("condition", "fits"),
    [
        ({"motor_hums": "present"}, True),
        ({"all": [{"motor_hums": "present"}, {"any": [{"duty": "on_off"}]}]}, True),
        ({"at_least": 2, "of": [{"a": "present"}, {"b": "present"}]}, True),
        ({"motor_hums": True}, False),
        ({"a": "present", "b": "present"}, False),
        ({"atom": {"name": "a", "value": "present"}}, False),
        ({"all": [{"Motor Hums": "present"}]}, False),
        ({"none": [{"a": "present"}]}, False),
        ({}, False),
    ],
)
def test_conditions_are_described_as_they_are_written(condition, fits):
    """The leaf of a condition is `name: value`; the atom inside is no part of the format."""
    schema = {**rule_schema(), "anyOf": [{"$ref": "#/$defs/Condition"}]}

    assert fits == Draft202012Validator(schema).is_valid(condition)
