"""Shared building blocks of the knowledge models: identifiers, sources, atoms and conditions.

Takes nothing, gives types; imports pydantic only.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cached_property
from typing import Annotated, Any, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    StringConstraints,
    model_validator,
)
from pydantic_core import CoreSchema

_ID_PATTERN = r"^[a-z][a-z0-9_]{0,63}$"
Id = Annotated[str, StringConstraints(pattern=_ID_PATTERN)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=True)]
Minutes = Annotated[float, Field(ge=0, le=10_080)]
Probability = Annotated[float, Field(gt=0, lt=1)]
Strength = Literal["always", "usually", "often", "sometimes", "rarely", "never"]
Rarity = Literal["remote", "rare", "uncommon", "occasional", "common"]

PRACTICE = "common practice, no source"

# Words that the rule engines treat as their own, and the keys of a condition.
_SHAPES = frozenset({"atom", "all", "any", "at_least", "of"})
RESERVED = frozenset({"nil", "true", "false", "id", "sid", "and", "or", "not"}) | _SHAPES


class Model(BaseModel):
    """Base of all knowledge models: frozen, no unknown keys, finite numbers, tuples for lists."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Atom(Model):
    """One fact a condition asks for: an observation's state or a circumstance's value."""

    name: Id
    value: Id

    def __str__(self) -> str:
        """Encode the atom as the one string that every evaluator sees."""
        return f"{self.name}={self.value}"


class Condition(Model):
    """A condition on atoms: one atom, all of several, any of several, or at least n of a few."""

    atom: Atom | None = None
    all: tuple[Condition, ...] = ()
    any: tuple[Condition, ...] = ()
    at_least: Annotated[int, Field(ge=1, le=6)] | None = None
    of: tuple[Condition, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _read_leaf(cls, data: object) -> object:
        """Read `{name: value}` as an atom."""
        if isinstance(data, dict) and len(data) == 1:
            ((name, value),) = data.items()
            if name not in _SHAPES and isinstance(value, str):
                return {"atom": {"name": name, "value": value}}
            if name not in _SHAPES and isinstance(value, bool | int | float):
                raise ValueError(f"the value of '{name}' must be a word")
        return data

    @model_validator(mode="after")
    def _ensure_one_shape(self) -> Self:
        shapes = [
            bool(self.atom),
            bool(self.all or self.any) and self.atom is None,
            self.at_least is not None,
        ]
        if sum(shapes) != 1 or bool(self.of) != (self.at_least is not None):
            raise ValueError("a condition is one `name: value`, `all`, `any`, or `at_least` with `of`")
        if self.at_least is not None and not self.at_least <= len(self.of) <= 6:
            raise ValueError("`at_least` counts among at most six members")
        return self

    @classmethod
    def __get_pydantic_json_schema__(
        cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Describe the form that is written: `{name: value}` in place of the atom inside."""
        written = handler.resolve_ref_schema(handler(core_schema))
        del written["properties"]["atom"]
        word = {"type": "string", "pattern": _ID_PATTERN}
        leaf = {
            "type": "object",
            "propertyNames": {**word, "not": {"enum": sorted(RESERVED)}},
            "additionalProperties": word,
            "minProperties": 1,
            "maxProperties": 1,
        }
        shapes = [{"required": [key]} for key in ("all", "any", "at_least")]
        return {
            "title": written.pop("title"),
            "anyOf": [leaf, {**written, "minProperties": 1, "anyOf": shapes}],
        }

    def atoms(self) -> tuple[Atom, ...]:
        """List every atom of the condition, in the order written."""
        if self.atom is not None:
            return (self.atom,)
        return tuple(a for part in (*self.all, *self.any, *self.of) for a in part.atoms())

    @cached_property
    def mentions(self) -> frozenset[str]:
        """Every atom of the condition, spelled; where none of them is known it cannot hold."""
        return frozenset(map(str, self.atoms()))


class Sourced(Model):
    """Anything that must say where it comes from."""

    source: Text = PRACTICE


def ensure_distinct(names: Iterable[str], where: str) -> None:
    """Refuse a name that stands twice where each may stand once.

    Raises:
        ValueError: Naming the doubled ones.
    """
    doubled = sorted(name for name, count in Counter(names).items() if count > 1)
    if doubled:
        raise ValueError(f"`{where}` names {', '.join(doubled)} twice")
