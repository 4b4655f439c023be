"""A rule file as written: entries with their comments and blank lines, each knowing which model it fills.

Takes a Document, gives a tree of entries; may import validate and yaml_nodes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from diagnose.knowledge.validate import kinds_at
from diagnose.knowledge.yaml_nodes import Document

_BREAK = re.compile(r"\r\n|[\n\r\x85\u2028\u2029]")
_HASH = re.compile(r"(?:^|(?<=\s))#")


@dataclass
class Piece:
    """One value: a scalar, or the entries of a mapping or a sequence.

    Attributes:
        node: The node as read.
        kinds: The models or types that may stand here.
        entries: Entries of a mapping or a sequence, in the order written.
    """

    node: Node
    kinds: list[Any]
    entries: list[Entry] = field(default_factory=list)


@dataclass
class Entry:
    """One key with its value, or one item of a sequence.

    Attributes:
        key: The key; None for an item.
        before: Whole-line comments above it.
        beside: The comment at the end of its first line.
        is_spaced: True where a blank line stands above it.
    """

    key: str | None
    piece: Piece
    place: tuple[int, int]
    before: list[str] = field(default_factory=list)
    beside: str = ""
    is_spaced: bool = False


@dataclass
class Written:
    """A whole file: the comments at its head, its entries, the comments at its end."""

    head: list[str]
    root: Piece
    tail: list[str]


def read_written(document: Document, kind: Any) -> Written:  # noqa: ANN401 - a type form
    """Take a file apart into entries with their comments.

    Args:
        document: The file, a mapping at its root.
        kind: The model that the whole file fills.

    Returns:
        Every entry and every comment once.

    Raises:
        TypeError: The file holds something else.
    """
    if not isinstance(document.root, MappingNode):
        raise TypeError("a rule file is a mapping")
    root = _build(document.root, [kind])
    written = Written([], root, [])
    _place_comments(written, document)
    return written


def list_comments(document: Document) -> list[tuple[int, int, str]]:
    """List every comment of a file with line and column, from 0."""
    lines = _BREAK.split(document.text)
    spans = list(_scalar_spans(document.root)) if document.root else []
    by_line: dict[int, list[tuple[int, int]]] = {}
    for (first, start), (last, end) in spans:
        for line in range(first, last + 1):
            begin = start if line == first else 0
            by_line.setdefault(line, []).append((begin, end if line == last else len(lines[line])))
    found = []
    for number, text in enumerate(lines):
        hidden = by_line.get(number, ())
        hash_at = next((at for at in _hashes(text) if not _is_inside(at, hidden)), None)
        if hash_at is not None:
            found.append((number, hash_at, text[hash_at:].rstrip()))
    return found


def _hashes(text: str) -> Iterator[int]:
    """Walk the places of a line where a comment could begin."""
    return (match.start() for match in _HASH.finditer(text))


def _is_inside(at: int, spans: Iterable[tuple[int, int]]) -> bool:
    return any(begin <= at < end for begin, end in spans)


def _scalar_spans(node: Node) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Walk the stretches of text that scalars take; inside them `#` begins no comment."""
    if isinstance(node, ScalarNode):
        start, end = node.start_mark, node.end_mark
        # the head line of a block scalar may carry a comment
        first = (start.line + 1, 0) if node.style in {"|", ">"} else (start.line, start.column)
        yield first, (end.line, end.column)
    elif isinstance(node, SequenceNode):
        for child in node.value:
            yield from _scalar_spans(child)
    elif isinstance(node, MappingNode):
        for key, value in node.value:
            yield from _scalar_spans(key)
            yield from _scalar_spans(value)


def _build(node: Node, kinds: list[Any]) -> Piece:
    piece = Piece(node, kinds)
    if isinstance(node, MappingNode):
        for key, value in node.value:
            inner = _build(value, _inner(kinds, key.value))
            piece.entries.append(Entry(str(key.value), inner, (key.start_mark.line, key.start_mark.column)))
    elif isinstance(node, SequenceNode):
        for index, value in enumerate(node.value):
            inner = _build(value, _inner(kinds, index))
            piece.entries.append(Entry(None, inner, (value.start_mark.line, value.start_mark.column)))
    return piece


def _inner(kinds: list[Any], key: str | int) -> list[Any]:
    """Name the kinds of what stands under a key; a plain dict of kinds is a table of sections."""
    found: list[Any] = []
    for kind in kinds:
        if isinstance(kind, dict):
            found += kinds_at(kind[key], ()) if key in kind else []
        else:
            found += kinds_at(kind, (key,))
    return found


def walk_entries(piece: Piece) -> Iterator[Entry]:
    """Walk all entries, the outer before the inner, in the order written."""
    for entry in piece.entries:
        yield entry
        yield from walk_entries(entry.piece)


def _place_comments(written: Written, document: Document) -> None:
    """Give each comment to the entry it is written above or beside."""
    entries = list(walk_entries(written.root))
    lines = _BREAK.split(document.text)
    for line, column, text in list_comments(document):
        if lines[line][:column].strip():
            owner = next((e for e in entries if e.place[0] == line), None)
            if owner is None:
                owner = [e for e in entries if e.place[0] < line][-1]
            # an entry of several lines may have several; the others go above it
            if owner.beside:
                owner.before.append(text)
            else:
                owner.beside = text
            continue
        below = next((e for e in entries if e.place[0] > line), None)
        if below is None:
            written.tail.append(text)
        elif below is entries[0]:
            written.head.append(text)
        else:
            below.before.append(text)
    for entry in entries:
        above = entry.place[0] - len(entry.before) - 1
        entry.is_spaced = 0 <= above < len(lines) and not lines[above].strip()
