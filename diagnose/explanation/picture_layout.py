"""Where each box and line of a picture of surroundings goes: columns from left to right, no box over another.

Takes Surroundings, gives boxes and ties in inches; may import knowledge. Pure: nothing is drawn here.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from diagnose.knowledge.surroundings import Edge, Node, Surroundings

BOX_WIDTH = 3.1
COLUMN_GAP = 1.7
LINE_HEIGHT = 0.15
PADDING = 0.12
ROW_GAP = 0.14
MARGIN = 0.35
HEAD = 0.75
_COLUMNS = 42
_SWEEPS = 8


@dataclass(frozen=True)
class Box:
    """One labelled box; x and y are its lower left corner in inches, the first `heads` lines its id."""

    node: Node
    heads: int
    lines: tuple[str, ...]
    x: float
    y: float
    height: float

    @property
    def middle(self) -> float:
        """Give the height of the box's middle."""
        return self.y + self.height / 2


@dataclass(frozen=True)
class Tie:
    """One line between two boxes, from `start` to `end`, in inches."""

    edge: Edge
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class Layout:
    """A whole picture: its size in inches, its boxes and its ties."""

    width: float
    height: float
    boxes: tuple[Box, ...]
    ties: tuple[Tie, ...]


def lay_out(surroundings: Surroundings) -> Layout:
    """Place the boxes in columns by kind, each column ordered so that lines cross little.

    Args:
        surroundings: Nodes with their layers, and edges.

    Returns:
        Boxes that do not overlap, and ties between the sides that face each other.
    """
    columns = _order_columns(surroundings)
    labels = {node.name: _label(node, surroundings) for node in surroundings.nodes}
    passed = [_is_passed(column, surroundings) for column in columns]
    stacks = [sum(_height(labels[node.name]) + ROW_GAP for node in column) for column in columns]
    # lines that pass a column would run behind its boxes: those go into a band above all others
    band = max((stack for stack, above in zip(stacks, passed, strict=True) if above), default=0.0)
    tallest = max((stack for stack, above in zip(stacks, passed, strict=True) if not above), default=0.0)
    boxes = [
        box
        for number, column in enumerate(columns)
        for box in _stack(
            column,
            labels,
            MARGIN + number * (BOX_WIDTH + COLUMN_GAP),
            (MARGIN + tallest, band) if passed[number] else (MARGIN, tallest),
        )
    ]
    width = 2 * MARGIN + len(columns) * BOX_WIDTH + (len(columns) - 1) * COLUMN_GAP
    placed = {box.node.name: box for box in boxes}
    ties = tuple(_tie(edge, placed) for edge in surroundings.edges)
    return Layout(width, tallest + band + 2 * MARGIN + HEAD, tuple(boxes), ties)


def _is_passed(column: list[Node], surroundings: Surroundings) -> bool:
    """Tell whether a line runs from the left of a column to its right."""
    layer = {node.name: node.layer for node in surroundings.nodes}
    own = column[0].layer
    return any(
        min(layer[edge.start], layer[edge.end]) < own < max(layer[edge.start], layer[edge.end])
        for edge in surroundings.edges
    )


def _order_columns(surroundings: Surroundings) -> list[list[Node]]:
    """Order each column by the mean place of what its boxes are tied to, sweeping to and fro."""
    layers = sorted({node.layer for node in surroundings.nodes})
    columns = [[node for node in surroundings.nodes if node.layer == layer] for layer in layers]
    strength = {edge.start: 0.0 for edge in surroundings.edges} | {
        edge.end: 0.0 for edge in surroundings.edges
    }
    for edge in surroundings.edges:
        for end in (edge.start, edge.end):
            strength[end] = max(strength[end], edge.strength)
    # strongest first to begin with; the sweeps move only what a crossing gains from
    for column in columns:
        column.sort(key=lambda node: (-strength.get(node.name, 0.0), node.name))
    for sweep in range(_SWEEPS):
        place = {
            node.name: (row + 0.5) / len(column) for column in columns for row, node in enumerate(column)
        }
        for column in columns if sweep % 2 else reversed(columns):
            column.sort(key=lambda node: _mean_place(node, surroundings, place))
            place |= {node.name: (row + 0.5) / len(column) for row, node in enumerate(column)}
    return columns


def _mean_place(node: Node, surroundings: Surroundings, place: dict[str, float]) -> float:
    others = [edge.end for edge in surroundings.edges if edge.start == node.name]
    others += [edge.start for edge in surroundings.edges if edge.end == node.name]
    return sum(place[other] for other in others) / len(others) if others else place[node.name]


def _label(node: Node, surroundings: Surroundings) -> tuple[str, ...]:
    """Wrap the id, the sentence and the words of its links with the middle, which no line then carries."""
    words = dict.fromkeys(
        edge.word
        for edge in surroundings.edges
        if surroundings.centre != node.name and {surroundings.centre, node.name} == {edge.start, edge.end}
    )
    linked = textwrap.wrap(f"[{', '.join(words)}]", _COLUMNS) if words else []
    return (*_name(node), *textwrap.wrap(node.says, _COLUMNS), *linked)


def _name(node: Node) -> list[str]:
    return textwrap.wrap(node.name, _COLUMNS)


def _height(lines: tuple[str, ...]) -> float:
    return len(lines) * LINE_HEIGHT + 2 * PADDING


def _stack(
    column: list[Node], labels: dict[str, tuple[str, ...]], x: float, room: tuple[float, float]
) -> list[Box]:
    """Stack the boxes of one column from the top, spread over its room (lower end, height)."""
    bottom, height = room
    used = sum(_height(labels[node.name]) + ROW_GAP for node in column)
    spare = (height - used) / (len(column) + 1)
    top = bottom + height - spare
    boxes = []
    for node in column:
        tall = _height(labels[node.name])
        boxes.append(Box(node, len(_name(node)), labels[node.name], x, top - tall, tall))
        top -= tall + ROW_GAP + spare
    return boxes


def _tie(edge: Edge, placed: dict[str, Box]) -> Tie:
    """Tie the sides that face each other; within one column, the right sides."""
    start, end = placed[edge.start], placed[edge.end]
    from_right, to_left = start.x <= end.x, start.x < end.x
    return Tie(
        edge,
        (start.x + (BOX_WIDTH if from_right else 0), start.middle),
        (end.x + (0 if to_left else BOX_WIDTH), end.middle),
    )
