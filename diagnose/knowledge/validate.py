"""Turn plain data into models, and model errors into located faults.

Takes a Document, gives models; may import errors and yaml_nodes.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from functools import cache
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, TypeAdapter, ValidationError

from diagnose.errors import Fault
from diagnose.knowledge.yaml_nodes import Document, Key

T = TypeVar("T")

# A file with more faults than this is a wrong file; the rest would bury the first.
MAX_FAULTS = 200


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
        adapter: TypeAdapter[T] = _adapter(kind)  # type: ignore[arg-type]  # every type form can be hashed
        return adapter.validate_python(data)
    except ValidationError as error:
        items = error.errors(include_url=False)
        faults.extend(_read_error(dict(item), kind, document, key) for item in items[:MAX_FAULTS])
        if len(items) > MAX_FAULTS:
            wrong = f"{len(items) - MAX_FAULTS} more faults in this file"
            faults.append(document.fault(key, "model", wrong, "correct the first ones and look again"))
        return None


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:  # noqa: ANN401 - a type form
    """Keep one adapter for each kind of file: making one costs more than reading a file."""
    return TypeAdapter(kind)


def _read_error(item: dict[str, Any], kind: Any, document: Document, key: Key) -> Fault:  # noqa: ANN401 - a type form
    where = (*key, *item["loc"])
    if item["type"] == "extra_forbidden":
        return _unknown_key(item["loc"], kind, document, where)
    if item["type"] == "missing":
        return document.fault(where[:-1], "missing-key", f"the key '{item['loc'][-1]}' is missing", "add it")
    message = item["msg"].removeprefix("Value error, ").replace("Input", "the value")
    given = item.get("input")
    shown = f", got {repr(given)[:60]}" if isinstance(given, str | int | float) else ""
    name = ".".join(str(part)[:60] for part in where if part != "[key]") or "the file"
    wrong = f"{name}: {message[:1].lower()}{message[1:300]}{shown}"
    return document.fault(where, "model", wrong, "correct the value")


def _unknown_key(loc: tuple[str | int, ...], kind: Any, document: Document, where: Key) -> Fault:  # noqa: ANN401 - a type form
    name = str(loc[-1])
    line, column = document.key_place(where[:-1], name)
    known = {field for found in kinds_at(kind, loc[:-1]) if _is_model(found) for field in found.model_fields}
    cure = suggest(name, known, "remove it")
    return Fault(document.path, line, column, "unknown-key", f"'{name[:60]}' is no key here", cure)


def _is_model(kind: Any) -> bool:  # noqa: ANN401 - a type form
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def kinds_at(kind: Any, loc: tuple[str | int, ...]) -> list[Any]:  # noqa: ANN401 - a type form
    """Follow an error's path through the types, to the models that may stand at its end."""
    kinds = list(_options(kind))
    for part in loc:
        inner = [k.model_fields[part].annotation for k in kinds if _is_model(k) and part in k.model_fields]
        inner += [get_args(k)[-1 if get_origin(k) is dict else 0] for k in kinds if get_args(k)]
        kinds = [option for k in inner for option in _options(k)]
    return kinds


def _options(kind: Any) -> Iterator[Any]:  # noqa: ANN401 - a type form
    """Look inside `Annotated` and unions."""
    if get_origin(kind) is Annotated:
        yield from _options(get_args(kind)[0])
    elif get_origin(kind) in {Union, UnionType}:
        for option in get_args(kind):
            yield from _options(option)
    else:
        yield kind
