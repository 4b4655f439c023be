"""The rule format as JSON Schema, for editors that check while a rule is typed.

Takes nothing, gives one schema document; may import the models and the table of files.
"""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter

from diagnose.knowledge.file_kinds import INSPECTIONS, OPTIONAL, SECTIONS, WHOLE
from diagnose.knowledge.reasons import Cause, RuleFile

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_REF = "#/$defs/{model}"


def rule_schema() -> dict[str, Any]:
    """Describe every kind of rule file.

    Returns:
        A schema that any rule file fits. Under `$defs` each kind of file stands by the name of
        its file or folder (`observations.yaml`, `inspections`, `derived`, `cause`), beside the models.
    """
    shared: dict[str, Any] = {}
    kinds = {name: _describe(model, shared) for name, model in _whole_files().items()}
    for name, sections in _section_files().items():
        kinds[name] = {
            "type": "object",
            "properties": {section: _describe(kind, shared) for section, kind in sections.items()},
            "additionalProperties": False,
        }
    return {
        "$schema": DIALECT,
        "title": "Rule file",
        "anyOf": [{"$ref": _REF.format(model=name)} for name in sorted(kinds)],
        "$defs": dict(sorted({**shared, **kinds}.items())),
    }


def _whole_files() -> dict[str, Any]:
    return {**WHOLE, **OPTIONAL, "derived": RuleFile, "cause": Cause}


def _section_files() -> dict[str, dict[str, Any]]:
    return {**SECTIONS, "inspections": INSPECTIONS}


def _describe(kind: Any, shared: dict[str, Any]) -> dict[str, Any]:  # noqa: ANN401 - a type form
    """Describe one type, moving the models inside it to the shared definitions."""
    described = TypeAdapter(kind).json_schema(ref_template=_REF)
    shared.update(described.pop("$defs", {}))
    return described
