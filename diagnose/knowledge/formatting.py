"""The one look of rule files: order of keys, indentation, short mappings on one line, folded long texts.

Takes the text of a rule file, gives it in that look; may import written and the tables of files. Comments stay
with the entry they were written above or beside, which a general round-trip writer loses when keys change places.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml
from pydantic import BaseModel
from yaml.emitter import Emitter
from yaml.nodes import MappingNode, ScalarNode

from diagnose.knowledge.acting import Step
from diagnose.knowledge.file_kinds import INSPECTIONS, SECTIONS, WHOLE
from diagnose.knowledge.reasons import Cause, Confirmation, RuleFile
from diagnose.knowledge.words import Condition
from diagnose.knowledge.written import Entry, Piece, list_comments, read_written, walk_entries
from diagnose.knowledge.yaml_nodes import Document, parse_yaml

WIDTH = 110
_STEP = "  "
_RESOLVER = yaml.resolver.Resolver()
# Keys of a draft that no finished rule has; they stand first.
_FIRST = ("drafted",)
_LAST = ("source",)


def kind_of_file(relative: Path) -> Any:  # noqa: ANN401 - a type form, or a table of sections
    """Name what a rule file holds, from its place in the rules directory."""
    name, folder = relative.as_posix(), relative.parts[0] if len(relative.parts) > 1 else ""
    if name in WHOLE:
        return WHOLE[name]
    if name in SECTIONS:
        return SECTIONS[name]
    return {"inspections": INSPECTIONS, "derived": RuleFile}.get(folder, Cause)


def format_text(document: Document, kind: Any) -> str:  # noqa: ANN401 - a type form
    """Write a rule file in the one look.

    Args:
        document: The file, its root a mapping.
        kind: What the file holds, as `kind_of_file` names it.

    Returns:
        Text with the same data and the same comments; formatting it again changes nothing.
    """
    if "&" in document.text and _has_anchors(document.text):
        return document.text  # an alias has no place of its own; the rule format needs none
    written = read_written(document, kind)
    head = [*written.head, *([""] if written.head and written.root.entries[0].is_spaced else [])]
    lines = [*head, *_mapping(written.root, ""), *written.tail]
    text = "\n".join(line.rstrip() for line in lines) + "\n"
    _ensure_same(document, text)
    return text


def _has_anchors(text: str) -> bool:
    return any(getattr(event, "anchor", None) for event in yaml.parse(text, Loader=yaml.SafeLoader))


def _ensure_same(document: Document, text: str) -> None:
    """Refuse to hand out a text that lost or changed anything; this never happens, or it is a bug.

    Raises:
        RuntimeError: The text reads back to other data or other comments.
    """
    again = parse_yaml(text.encode(), document.path)
    before, after = (sorted(text for *_, text in list_comments(d)) for d in (document, again))
    if again.data != document.data or before != after:
        raise RuntimeError(f"formatting {document.path} would change it")


def _mapping(piece: Piece, indent: str) -> Iterator[str]:
    for number, entry in enumerate(_ordered(piece)):
        if entry.is_spaced and number:
            yield ""
        yield from (indent + comment for comment in entry.before)
        yield from _beside(_pair(entry, indent), entry)


def _ordered(piece: Piece) -> list[Entry]:
    """Put the keys of a model into the order of the format; ids keep the order of the author."""
    order = _key_order(piece)
    if not order:
        return piece.entries
    rank = {name: number for number, name in enumerate(order)}
    return sorted(piece.entries, key=lambda entry: rank.get(str(entry.key), len(rank)))


def _key_order(piece: Piece) -> tuple[str, ...]:
    for kind in piece.kinds:
        if isinstance(kind, dict):
            return (*_FIRST, *kind)
        if isinstance(kind, type) and issubclass(kind, BaseModel) and not _is_condition(piece):
            fields = tuple(name for name in kind.model_fields if name not in _LAST)
            return (*_FIRST, *fields, *_LAST)
    return ()


def _is_condition(piece: Piece) -> bool:
    return Condition in piece.kinds


def _beside(lines: Iterator[str], entry: Entry) -> Iterator[str]:
    """Put the comment of an entry at the end of its first line."""
    for number, line in enumerate(lines):
        yield f"{line}  {entry.beside}" if entry.beside and number == 0 else line


def _pair(entry: Entry, indent: str) -> Iterator[str]:
    head = f"{indent}{_key(str(entry.key))}:"
    piece = entry.piece
    short = _one_line(piece, head + " ")
    if short is not None:
        yield f"{head} {short}"
    elif isinstance(piece.node, ScalarNode):
        mark, *rest = _long_scalar(piece.node, indent + _STEP)
        yield f"{head} {mark}"
        yield from rest
    elif filled := _filled_ids(piece, head + " ", indent + _STEP):
        yield from filled
    else:
        yield head
        yield from (_mapping if _is_mapping(piece) else _sequence)(piece, indent + _STEP)


def _sequence(piece: Piece, indent: str) -> Iterator[str]:
    for number, entry in enumerate(piece.entries):
        if entry.is_spaced and number:
            yield ""
        yield from (indent + comment for comment in entry.before)
        yield from _beside(_item(entry, indent), entry)


def _item(entry: Entry, indent: str) -> Iterator[str]:
    head, piece = f"{indent}- ", entry.piece
    short = _one_line(piece, head)
    if short is not None:
        yield head + short
    elif isinstance(piece.node, ScalarNode):
        mark, *rest = _long_scalar(piece.node, indent + _STEP)
        yield head + mark
        yield from rest
    elif two := _two_lines(piece, head):
        yield from two
    else:
        lines = (_mapping if _is_mapping(piece) else _sequence)(piece, indent + _STEP)
        inner = list(lines)
        # comments above the first key stand above the dash, or they would part the dash from its key
        while inner[0].lstrip().startswith("#"):
            yield indent + inner.pop(0).lstrip()
        yield head + inner[0][len(head) :]
        yield from inner[1:]


def _filled_ids(piece: Piece, head: str, indent: str) -> list[str]:
    """Write a long list of ids over several full lines; empty where the list holds anything else."""
    parts = _flow_parts(piece) if _may_flow(piece, is_inside=False) else None
    if _is_mapping(piece) or not parts or not all(part.replace("_", "a").isalnum() for part in parts):
        return []
    return _fill([f"{head}[{parts[0]}", *parts[1:]], indent + " ", "]")


def _fill(parts: list[str], indent: str, end: str) -> list[str]:
    """Set parts one after another, with a comma between, in as few lines as they need."""
    lines = [parts[0]]
    for part in parts[1:]:
        # room for the comma or the end that follows
        if len(lines[-1]) + 2 + len(part) + 1 <= WIDTH:
            lines[-1] += f", {part}"
        else:
            lines[-1] += ","
            lines.append(indent + part)
    lines[-1] += end
    return lines


def _two_lines(piece: Piece, head: str) -> list[str]:
    """Write a short mapping of a list over two lines, parted at a comma; empty where it takes more."""
    if Step in piece.kinds or not _is_mapping(piece) or not _may_flow(piece, is_inside=False):
        return []
    parts = _flow_parts(piece)
    if parts is None:
        return []
    lines = _fill([head + "{" + parts[0], *parts[1:]], " " * (len(head) + 1), "}")
    return lines if len(lines) == 2 and max(map(len, lines)) <= WIDTH else []


def _is_mapping(piece: Piece) -> bool:
    return isinstance(piece.node, MappingNode)


def _one_line(piece: Piece, head: str) -> str | None:
    """Write a value on the line of its key where it fits and the format lets it."""
    if isinstance(piece.node, ScalarNode):
        text = _scalar(piece.node, flow=False)
        return text if text is not None and len(head) + len(text) <= WIDTH else None
    if Step in piece.kinds or not _may_flow(piece, is_inside=False):
        return None
    text = _flow(piece)
    return text if text is not None and len(head) + len(text) <= WIDTH else None


def _may_flow(piece: Piece, *, is_inside: bool) -> bool:
    """Tell whether a value may stand on one line: no comment inside, and no model inside another but short ones."""
    if any(entry.before or entry.beside for entry in walk_entries(piece)):
        return False
    if not piece.entries or _is_condition(piece):
        return True
    inner = [entry.piece for entry in piece.entries if entry.piece.entries]
    if Confirmation in piece.kinds:
        return not any(entry.piece.entries for part in inner for entry in part.entries)
    if _is_mapping(piece):
        return not is_inside and all(_may_flow(part, is_inside=True) for part in inner)
    return all(_is_condition(part) and _may_flow(part, is_inside=True) for part in inner)


def _flow(piece: Piece) -> str | None:
    """Write a value in flow style; None where a scalar of it does not fit one line."""
    if isinstance(piece.node, ScalarNode):
        return _scalar(piece.node, flow=True)
    parts = _flow_parts(piece)
    if parts is None:
        return None
    inside = ", ".join(parts)
    return f"{{{inside}}}" if _is_mapping(piece) else f"[{inside}]"


def _flow_parts(piece: Piece) -> list[str] | None:
    """Write the entries of a value in flow style, in the order of the format."""
    parts = []
    for entry in _ordered(piece):
        text = _flow(entry.piece)
        if text is None:
            return None
        parts.append(text if entry.key is None else f"{_key(entry.key)}: {text}")
    return parts


def _key(key: str) -> str:
    return key if key.replace("_", "a").isalnum() and key.isascii() else _quoted(key)


def _scalar(node: ScalarNode, *, flow: bool) -> str | None:
    """Write a scalar on one line: as typed where it is plain, else quoted; None for several lines."""
    value = str(node.value)
    if "\n" in value:
        return None
    is_plain = not node.style and node.start_mark.line == node.end_mark.line
    block_plain, flow_plain, is_word = _allowed(value)
    if (flow_plain if flow else block_plain) and (is_word or is_plain):
        return value
    # a number or a truth value is never quoted: that would make it a word
    return value if is_plain and not value else _quoted(value)


@lru_cache(maxsize=65536)
def _allowed(value: str) -> tuple[bool, bool, bool]:
    """Tell whether a text may stand plain in block and in flow style, and whether it then is a word."""
    if not value:
        return False, False, False
    analysis = Emitter(io.StringIO(), allow_unicode=True).analyze_scalar(value)
    tag = _RESOLVER.resolve(ScalarNode, value, (True, False))  # type: ignore[no-untyped-call]  # PyYAML has none
    is_word = tag.endswith(":str")
    return analysis.allow_block_plain, analysis.allow_flow_plain, is_word


def _quoted(value: str) -> str:
    written: str = yaml.dump(value, default_style='"', allow_unicode=True, width=float("inf"))
    return written.rstrip("\n")


def _long_scalar(node: ScalarNode, indent: str) -> list[str]:
    """Write a text over several lines, folded; or literal where it has line breaks of its own."""
    value = str(node.value)
    plain = all(c.isprintable() or c == "\n" for c in value) and not value.startswith((" ", "\n"))
    lines = value.removesuffix("\n").split("\n")
    if plain and "\n" in value and lines[-1] and all(line == line.rstrip() for line in lines):
        return ["|" if value.endswith("\n") else "|-", *((indent + line) if line else "" for line in lines)]
    if plain and "\n" not in value and "  " not in value and not value.endswith(" "):
        return [">-", *_fold(value, indent)]
    return [_quoted(value)]


def _fold(value: str, indent: str) -> Iterator[str]:
    """Break a text at single spaces, each line as long as it may be."""
    line = ""
    for word in value.split(" "):
        if line and len(indent) + len(line) + 1 + len(word) > WIDTH:
            yield indent + line
            line = word
        else:
            line = f"{line} {word}" if line else word
    yield indent + line
