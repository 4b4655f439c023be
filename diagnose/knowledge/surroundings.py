"""What lies around one id: a graph of causes, states, observations, inspections and rules near it.

Takes the knowledge base, gives frozen nodes and edges in layers; may import the models.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Link

if TYPE_CHECKING:
    import networkx as nx

# From left to right: what is known beforehand, causes, states, what shows, what makes use of it or reveals it.
LAYER = {"circumstance": 0, "cause": 1, "consequence": 2, "observation": 3, "rule": 4, "inspection": 4}
MOST_NODES = 40
_CONFIRMS = "confirmed by"


@dataclass(frozen=True, order=True)
class Node:
    """One thing of the picture.

    Attributes:
        layer: Column from left to right.
        is_centre: True for the thing that was asked for.
    """

    layer: int
    name: str
    kind: str
    says: str
    is_centre: bool = False


class Edge(NamedTuple):
    """One link of the picture, from left to right in meaning.

    Attributes:
        strength: Probability behind the word, 0 for a denial; 1 for links without a strength.
    """

    start: str
    end: str
    word: str
    strength: float


@dataclass(frozen=True)
class Surroundings:
    """Nodes and edges around one id; `left_out` counts the weakest neighbours that found no room."""

    centre: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    left_out: int


def find_surroundings(knowledge: Knowledge, name: str, most: int = MOST_NODES) -> Surroundings | None:
    """Find what lies around an id.

    Args:
        knowledge: The loaded rule base.
        name: Id of a cause, state, observation, inspection, rule or circumstance.
        most: Nodes shown at most; the weakest links are left out first.

    Returns:
        The neighbours, and for a cause also the inspections that reveal what it shows strongly;
        None where the id has no links to draw.
    """
    graph = _link_graph(knowledge)
    if name not in graph or graph.degree(name) == 0:
        return None
    kept, left_out = _nearest(graph, name, most)
    part = graph.subgraph(kept)
    nodes = (
        Node(LAYER[data["kind"]], node, data["kind"], data["says"], node == name)
        for node, data in part.nodes(data=True)
    )
    edges = [
        Edge(start, end, data["word"], data["strength"])
        for start, end, data in part.edges(data=True)
        # among the neighbours only the ways that lead on from the middle, or the picture is a thicket
        if name in {start, end} or graph.nodes[name]["kind"] not in _kinds(graph, start, end)
    ]
    return Surroundings(name, tuple(sorted(nodes)), tuple(sorted(_plain(edges, name))), left_out)


def _plain(edges: list[Edge], name: str) -> Iterator[Edge]:
    """Drop the tie from a cause to its inspection where one of the things shown leads there."""
    led_to = {edge.end for edge in edges if edge.start != name}
    return (edge for edge in edges if edge.word != _CONFIRMS or edge.end not in led_to)


def _kinds(graph: nx.DiGraph[str], *names: str) -> set[str]:
    return {graph.nodes[name]["kind"] for name in names}


def _nearest(graph: nx.DiGraph[str], name: str, most: int) -> tuple[set[str], int]:
    """Keep the middle, its neighbours by strength, and through states what lies one further."""
    near = {
        other: max(
            graph.edges[pair]["strength"] for pair in ((name, other), (other, name)) if graph.has_edge(*pair)
        )
        for other in {*graph.successors(name), *graph.predecessors(name)}
    }
    for state in [other for other in near if graph.nodes[other]["kind"] == "consequence"]:
        beyond = graph.successors(state) if graph.has_edge(name, state) else graph.predecessors(state)
        for other in beyond:
            pair = (state, other) if graph.has_edge(state, other) else (other, state)
            chance = near[state] * graph.edges[pair]["strength"]
            near[other] = max(near.get(other, 0.0), chance)
    near.pop(name, None)
    ordered = sorted(near, key=lambda other: (-near[other], other))
    return {name, *ordered[: most - 1]}, max(0, len(ordered) - (most - 1))


def _link_graph(knowledge: Knowledge) -> nx.DiGraph[str]:
    """Build the graph of every link between causes, states, observations, inspections and rules."""
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph()
    for kind, names in _named(knowledge):
        for name, says in names:
            graph.add_node(name, kind=kind, says=says)
    for start, end, word, strength in _edges(knowledge):
        # of several modes the strongest way stands for the cause
        if not graph.has_edge(start, end) or graph.edges[start, end]["strength"] < strength:
            graph.add_edge(start, end, word=word, strength=strength)
    return graph


def _named(knowledge: Knowledge) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    yield "circumstance", [(name, record.question) for name, record in knowledge.circumstances.items()]
    yield "inspection", [(name, record.says) for name, record in knowledge.inspections.items()]
    yield "rule", [(name, rule.says) for name, rule in knowledge.rules.items()]
    yield "consequence", [(name, state.says) for name, state in knowledge.consequences.items()]
    yield "observation", [(name, record.says) for name, record in knowledge.observations.items()]
    yield "cause", [(name, cause.says) for name, cause in knowledge.causes.items()]


def _edges(knowledge: Knowledge) -> Iterator[Edge]:
    for name, cause in knowledge.causes.items():
        for links in (cause.links, cause.brings_about, *_mode_links(knowledge, name)):
            yield from (Edge(name, link.to, link.strength, knowledge.strength(link)) for link in links)
        for shift in cause.circumstances:
            word = f"{shift.decibans:+g} dB"
            yield from (
                Edge(atom.name, name, word, min(1.0, abs(shift.decibans) / 20)) for atom in shift.when.atoms()
            )
        for confirmation in cause.confirmed_by:
            yield Edge(name, confirmation.inspection, _CONFIRMS, 1.0)
    for name, state in knowledge.consequences.items():
        yield from (Edge(name, link.to, link.strength, knowledge.strength(link)) for link in state.links)
    for name, look in knowledge.inspections.items():
        yield from (Edge(seen, name, "revealed by", 1.0) for seen in look.reveals)
    for name, rule in knowledge.rules.items():
        known = (*knowledge.observations, *knowledge.circumstances)
        yield from (
            Edge(atom.name, name, atom.value, 1.0) for atom in rule.when.atoms() if atom.name in known
        )
        target = rule.concludes.observation or rule.concludes.ruled_out
        if target:
            yield Edge(name, target, "concludes" if rule.concludes.observation else "rules out", 1.0)


def _mode_links(knowledge: Knowledge, cause: str) -> Iterator[tuple[Link, ...]]:
    for mode in knowledge.causes[cause].modes.values():
        yield from (mode.links, mode.brings_about)
