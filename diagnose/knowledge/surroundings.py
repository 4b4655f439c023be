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
_REVEALS = "revealed by"
# drawn as strong as "often" where the cause itself has no link to what its inspection shows
_CONFIRMS = 0.7


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
    kept, left_out = _nearest(graph, name, _confirming(knowledge, name), most)
    part = graph.subgraph(kept)
    nodes = (
        Node(_layer(graph, name, node), node, data["kind"], data["says"], node == name)
        for node, data in part.nodes(data=True)
    )
    edges = (
        Edge(start, end, data["word"], data["strength"])
        for start, end, data in part.edges(data=True)
        # among the neighbours only the ways that lead on from the middle, or the picture is a thicket
        if name in {start, end} or _leads_on(graph, name, start, end)
    )
    return Surroundings(name, tuple(sorted(nodes)), tuple(sorted(edges)), left_out)


def _layer(graph: nx.DiGraph[str], name: str, node: str) -> int:
    """Give the column of a node; what a rule in the middle concludes stands to its right."""
    is_concluded = graph.nodes[name]["kind"] == "rule" and graph.has_edge(name, node)
    return max(LAYER.values()) + 1 if is_concluded else LAYER[graph.nodes[node]["kind"]]


def _leads_on(graph: nx.DiGraph[str], name: str, start: str, end: str) -> bool:
    """Tell whether a tie between two neighbours leads on from the middle: through a state, or to a look."""
    kinds = {graph.nodes[start]["kind"], graph.nodes[end]["kind"]}
    middle = graph.nodes[name]["kind"]
    leads = "consequence" in kinds or graph.edges[start, end]["word"] == _REVEALS
    return (leads and middle not in kinds) or (middle == "inspection" and kinds == {"cause", "observation"})


def _confirming(knowledge: Knowledge, name: str) -> set[str]:
    """Name the inspections that confirm a cause, or the causes that an inspection confirms."""
    pairs = [(c, found.inspection) for c, cause in knowledge.causes.items() for found in cause.confirmed_by]
    return {look for cause, look in pairs if cause == name} | {cause for cause, look in pairs if look == name}


def _nearest(graph: nx.DiGraph[str], name: str, confirming: set[str], most: int) -> tuple[set[str], int]:
    """Keep the middle, what confirms it, its neighbours by strength, and through states what lies further."""
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
    near |= dict.fromkeys(confirming, 1.0)
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
        faces = (cause.links, cause.brings_about, *_mode_links(knowledge, name))
        shown = {link.to for links in faces for link in links}
        for links in faces:
            yield from (Edge(name, link.to, link.strength, knowledge.strength(link)) for link in links)
        for shift in cause.circumstances:
            word = f"{shift.decibans:+g} dB"
            yield from (
                Edge(atom.name, name, word, min(1.0, abs(shift.decibans) / 20)) for atom in shift.when.atoms()
            )
        for confirmation in cause.confirmed_by:
            yield from (
                Edge(name, seen, f"confirmed if {state}", _CONFIRMS if state == "present" else 0.0)
                for seen, state in confirmation.expects.items()
                if seen not in shown
            )
    for name, state in knowledge.consequences.items():
        yield from (Edge(name, link.to, link.strength, knowledge.strength(link)) for link in state.links)
    for name, look in knowledge.inspections.items():
        yield from (Edge(seen, name, _REVEALS, 1.0) for seen in look.reveals)
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
