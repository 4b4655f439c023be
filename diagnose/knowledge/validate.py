"""Turn plain data into models, and model errors into located faults.

Takes a Document, gives models; may import errors and yaml_nodes.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from diagnose.errors import Fault
from diagnose.knowledge.yaml_nodes import Document, Key

T = TypeVar("T")


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Give the known word nearest to a mistyped one, if any is near."""
    matches = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return matches[0] if matches else None


def suggest(word: str, known: Iterable[str], otherwise: str) -> str:
    """Word the cure for an unknown name: the nearest known one, or `otherwise`."""
    match = nearest(word, known)
    return f"did you mean '{match}'?" if match else otherwise


def validate(kind: type[T] | Any, document: Document, key: Key, faults: list[Fault]) -> T | None:  # noqa: ANN401 - a type form
    """Validate the data at `key` of a document as `kind`, adding faults.

    Returns:
        The model, or None when there were faults.
    """
    data: Any = document.data
    for part in key:
        data = data[part]
    try:
        return TypeAdapter(kind).validate_python(data)  # type: ignore[no-any-return]
    except ValidationError as error:
        faults.extend(_read_errors(error, kind, document, key))
        return None


def _read_errors(error: ValidationError, kind: Any, document: Document, key: Key) -> Iterable[Fault]:  # noqa: ANN401 - a type form
    for item in error.errors():
        where = (*key, *item["loc"])
        if item["type"] == "extra_forbidden":
            yield _unknown_key(str(item["loc"][-1]), kind, document, where)
        elif item["type"] == "missing":
            yield document.fault(
                where[:-1], "missing-key", f"the key '{item['loc'][-1]}' is missing", "add it"
            )
        else:
            message = item["msg"].removeprefix("Value error, ").replace("Input", "the value")
            given = item.get("input")
            shown = f", got {given!r}" if isinstance(given, str | int | float) else ""
            name = ".".join(str(part) for part in item["loc"])
            yield document.fault(
                where, "model", f"{name}: {message[0].lower()}{message[1:]}{shown}"[:400], "correct the value"
            )


def _unknown_key(name: str, kind: Any, document: Document, where: Key) -> Fault:  # noqa: ANN401 - a type form
    line, column = document.key_place(where[:-1], name)
    known = _field_names(kind)
    cure = suggest(name, known, "remove it")
    return Fault(document.path, line, column, "unknown-key", f"'{name}' is no key here", cure)


def _field_names(kind: Any) -> set[str]:  # noqa: ANN401 - a type form
    """Collect the field names of a model and of the models inside it."""
    found: set[str] = set()
    waiting, seen = [kind], set()
    while waiting:
        current = waiting.pop()
        if id(current) in seen:
            continue
        seen.add(id(current))
        if isinstance(current, type) and issubclass(current, BaseModel):
            found |= set(current.model_fields)
            waiting += [field.annotation for field in current.model_fields.values()]
        waiting += list(getattr(current, "__args__", ()))
    return found
