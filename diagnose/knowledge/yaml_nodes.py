"""Read hostile YAML into plain data that still knows line and column of every node.

Takes text, gives `Document`; may import errors only. Limits: file size, nesting depth, number of nodes
after alias expansion; no tags beyond plain YAML, no code, doubled keys refused. Only true and false are
truth values and only decimal numbers are numbers: yes, no, on, off, 010, 1:30 and dates stay words.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import NoReturn

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from diagnose.errors import Fault, FaultsFound, fault_in_file

MAX_BYTES = 1_000_000
MAX_DEPTH = 30
MAX_NODES = 200_000

Key = tuple[str | int, ...]

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_TAGS = "tag:yaml.org,2002:"
# The tags that YAML itself gives to untagged values; any other tag was typed by somebody.
_SCALAR_TAGS = {
    _TAGS + name for name in ("str", "int", "float", "bool", "null", "timestamp", "value", "merge")
}
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_FLOAT = re.compile(r"[-+]?(?:[0-9]+\.[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?")


@dataclass(frozen=True)
class Document:
    """One parsed YAML file: its data and where each node stood.

    Attributes:
        path: File as named by the user.
        data: Plain dicts, lists and scalars.
        text: The text itself, for the places.
    """

    path: str
    data: object
    text: str

    @cached_property
    def root(self) -> Node | None:
        """The node tree, composed anew when a place is asked for: keeping it doubles the time of loading."""
        return _compose(self.text)

    def place(self, key: Key) -> tuple[int, int]:
        """Give line and column of the node at `key`, or of its nearest existing parent."""
        node = self.root
        best = node
        for part in key:
            node = _child(node, part)
            if node is None:
                break
            best = node
        return _mark(best)

    def count_lines(self, key: Key) -> int:
        """Count the lines that the node at `key` takes up, its nearest existing parent's where it is missing."""
        node = self.root
        for part in key:
            child = _child(node, part)
            if child is None:
                break
            node = child
        return node.end_mark.line - node.start_mark.line if node else 0

    def key_place(self, key: Key, name: str) -> tuple[int, int]:
        """Give line and column of the key `name` in the mapping at `key`."""
        node: Node | None = self.root
        for part in key:
            node = _child(node, part)
        if isinstance(node, MappingNode):
            for key_node, _ in node.value:
                if key_node.value == name:
                    return _mark(key_node)
        return self.place(key)

    def fault(self, key: Key, check: str, wrong: str, cure: str) -> Fault:
        """Make a fault placed at the node at `key`."""
        line, column = self.place(key)
        return Fault(self.path, line, column, check, wrong, cure)


def _mark(node: Node | None) -> tuple[int, int]:
    return (node.start_mark.line + 1, node.start_mark.column + 1) if node else (1, 1)


def _child(node: Node | None, part: str | int) -> Node | None:
    if isinstance(node, MappingNode):
        for key_node, value in node.value:
            if key_node.value == str(part):
                return value  # type: ignore[no-any-return]  # nodes are untyped lists
    if isinstance(node, SequenceNode) and isinstance(part, int) and part < len(node.value):
        return node.value[part]  # type: ignore[no-any-return]  # nodes are untyped lists
    return None


def read_yaml(path: Path, shown: str | None = None, limit: int = MAX_BYTES) -> Document:
    """Read one YAML file.

    Args:
        path: The file.
        shown: How faults name it; the path itself when left out.
        limit: Largest size in bytes.

    Raises:
        FaultsFound: The file is missing, too large, not UTF-8 text, or not plain YAML.
    """
    name = shown or str(path)
    try:
        with path.open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            # a pipe tells no size, so never more than the limit is taken in
            raw = file.read(limit + 1) if size <= limit else b""
    except OSError as error:
        reason = error.strerror or str(error)
        raise FaultsFound(
            [fault_in_file(name, "unreadable", f"cannot be read: {reason}", "check path and permissions")]
        ) from None
    if max(size, len(raw)) > limit:
        wrong = f"{max(size, len(raw)):,} bytes; at most {limit:,} are read"
        raise FaultsFound([fault_in_file(name, "too-large", wrong, "give a smaller file")])
    return parse_yaml(raw, name)


def parse_yaml(raw: bytes, name: str) -> Document:
    """Parse YAML text given as bytes; faults name it `name`.

    Raises:
        FaultsFound: Not UTF-8 text, or not plain YAML.
    """
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FaultsFound(
            [Fault(name, line, 1, "not-text", "not UTF-8 text", "save it as UTF-8 text")]
        ) from None
    try:
        root = _compose(text)
    except (yaml.YAMLError, RecursionError) as error:
        raise FaultsFound([_syntax_fault(name, error)]) from None
    faults: list[Fault] = []
    data = _Builder(name, faults).build(root) if root is not None else None
    if faults:
        raise FaultsFound(faults)
    return Document(name, data, text)


def _compose(text: str) -> Node | None:
    loader = _Loader(text)
    try:
        return loader.get_single_node()
    finally:
        loader.dispose()


def _syntax_fault(name: str, error: BaseException) -> Fault:
    mark = getattr(error, "problem_mark", None)
    problem = getattr(error, "problem", None) or str(error).partition("\n")[0] or "nested too deep"
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    return Fault(name, line, column, "yaml", str(problem), "mend the YAML at this place")


class _Refused(Exception):
    """Raised inside the builder when the rest of the file is not worth reading."""


class _Builder:
    """Turns nodes into data, collecting faults; counts nodes so that aliases cannot explode."""

    def __init__(self, name: str, faults: list[Fault]) -> None:
        self._name = name
        self._faults = faults
        self._count = 0

    def build(self, node: Node) -> object:
        try:
            return self._build(node, 0)
        except _Refused:
            return None

    def _build(self, node: Node, depth: int) -> object:
        self._count += 1
        if self._count > MAX_NODES or depth > MAX_DEPTH:
            wrong = f"more than {MAX_DEPTH} levels or {MAX_NODES:,} nodes"
            self._refuse(node, "too-deep", wrong, "write it flatter, without aliases of aliases")
        if isinstance(node, ScalarNode):
            return self._scalar(node)
        if isinstance(node, MappingNode) and node.tag == _TAGS + "map":
            return dict(self._pairs(node, depth))
        if isinstance(node, SequenceNode) and node.tag == _TAGS + "seq":
            return [self._build(child, depth + 1) for child in node.value]
        return self._refuse_tag(node)

    def _pairs(self, node: MappingNode, depth: int) -> Iterator[tuple[str, object]]:
        seen: set[str] = set()
        for key_node, value in node.value:
            if not isinstance(key_node, ScalarNode):
                self._refuse(key_node, "yaml", "a key must be a word", "write a plain key")
            if key_node.tag not in _SCALAR_TAGS:
                self._refuse_tag(key_node)
            key = str(key_node.value)
            if key in seen:
                wrong = f"the key '{key[:60]}' stands twice"
                self._add_fault(key_node, "doubled-key", wrong, "keep one of them")
            seen.add(key)
            yield key, self._build(value, depth + 1)

    def _scalar(self, node: ScalarNode) -> object:
        text = str(node.value)
        match node.tag.removeprefix(_TAGS):
            case "bool" if text.lower() in {"true", "false"}:
                return text.lower() == "true"
            case "int" if _INT.fullmatch(text):
                return int(text)
            case "float" if _FLOAT.fullmatch(text):
                return float(text)
            case "null":
                return None
        return text if node.tag in _SCALAR_TAGS else self._refuse_tag(node)

    def _refuse_tag(self, node: Node) -> NoReturn:
        self._refuse(node, "yaml", f"the tag {node.tag[:60]} is not plain YAML here", "use plain values only")

    def _refuse(self, node: Node, check: str, wrong: str, cure: str) -> NoReturn:
        self._add_fault(node, check, wrong, cure)
        raise _Refused

    def _add_fault(self, node: Node, check: str, wrong: str, cure: str) -> None:
        line, column = _mark(node)
        self._faults.append(Fault(self._name, line, column, check, wrong, cure))
