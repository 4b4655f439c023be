"""The rule base as a directed graph, and the checks that walk it: orphans, loops, rules out of reach.

Takes Knowledge, gives graphs and faults; may import supports. The only module of this layer that imports
networkx, inside functions, because that import costs more than loading the rules.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.supports import can_hold, expand_rule, list_strengths

if TYPE_CHECKING:
    import networkx as nx

# A node: section and id.
Node = tuple[str, str]


def build_graph(knowledge: Knowledge) -> nx.DiGraph[Node]:
    """Build the graph: an edge runs from what brings about, feeds or reveals to what it leads to.

    Returns:
        Nodes `(section, id)`; cause and state to observation, cause to state, observation and
        circumstance to rule, rule to what it concludes, inspection to observation.
    """
    import networkx as nx

    graph: nx.DiGraph[Node] = nx.DiGraph()
    for section in ("observations", "circumstances", "causes", "consequences", "inspections", "rules"):
        graph.add_nodes_from((section, name) for name in getattr(knowledge, section))
    for edge in _list_edges(knowledge):
        graph.add_edge(*edge)
    return graph


def _list_edges(knowledge: Knowledge) -> Iterator[tuple[Node, Node]]:
    for name, cause in knowledge.causes.items():
        yield from ((("causes", name), ("observations", o)) for o in list_strengths(knowledge, name))
        brought = (*cause.brings_about, *(x for mode in cause.modes.values() for x in mode.brings_about))
        yield from ((("causes", name), ("consequences", x.to)) for x in brought if knowledge.strength(x) > 0)
    for name, state in knowledge.consequences.items():
        yield from ((("consequences", name), ("observations", x.to)) for x in state.links)
    for together in knowledge.exclusives.together:
        for pair in together.pairs:
            yield from (
                (("causes", c), ("observations", x.to))
                for c in pair.causes
                for x in pair.links
                if x.to in knowledge.observations
            )
    for name, look in knowledge.inspections.items():
        yield from ((("inspections", name), ("observations", o)) for o in look.reveals)
    yield from _list_rule_edges(knowledge)


def _list_rule_edges(knowledge: Knowledge) -> Iterator[tuple[Node, Node]]:
    for name, rule in knowledge.rules.items():
        for atom in rule.when.atoms():
            section = "observations" if atom.name in knowledge.observations else "circumstances"
            yield (section, atom.name), ("rules", name)
        if rule.concludes.observation:
            yield ("rules", name), ("observations", rule.concludes.observation)
        if rule.concludes.ruled_out:
            yield ("rules", name), ("causes", rule.concludes.ruled_out)


def check_orphans(base: Located) -> Iterator[Fault]:
    """Find observations that nothing links to and no rule uses."""
    graph = build_graph(base.knowledge)
    for name in base.knowledge.observations:
        node = ("observations", name)
        shown = any(section in {"causes", "consequences"} for section, _ in graph.predecessors(node))
        if not shown and not any(section == "rules" for section, _ in graph.successors(node)):
            wrong = f"no cause or state shows '{name}' and no rule uses it"
            yield base.fault(("observations", name), "orphan", wrong, "link it or remove it")


def check_cycles(base: Located) -> Iterator[Fault]:
    """Find rules that conclude each other in a loop."""
    import networkx as nx

    graph: nx.DiGraph[Node] = nx.DiGraph()
    graph.add_edges_from(_list_rule_edges(base.knowledge))
    for component in nx.strongly_connected_components(graph):
        rules = sorted(name for section, name in component if section == "rules")
        if len(component) > 1 and rules:
            wrong = f"rules conclude each other in a loop: {', '.join(rules[:6])}"
            cure = "take one conclusion of the loop out of the conditions"
            yield base.fault(("rules", rules[0]), "cycle", wrong, cure)


def check_reachable(base: Located) -> Iterator[Fault]:
    """Find rules whose condition can never hold, whatever is told."""
    knowledge = base.knowledge
    ways = {name: expand_rule(rule) for name, rule in knowledge.rules.items()}
    reached: set[str] = set()
    while True:
        concluded = {str(knowledge.rules[name].concludes.observation) for name in reached}
        new = {
            name
            for name in knowledge.rules.keys() - reached
            if any(_is_possible(knowledge, branch, concluded) for branch in ways[name])
        }
        if not new:
            break
        reached |= new
    for name in knowledge.rules:
        if name not in reached and ways[name]:
            wrong = f"the condition of '{name}' can never hold"
            cure = "ask for what can be seen, or for what another rule concludes, without contradiction"
            yield base.fault(("rules", name, "when"), "unreachable", wrong, cure)


def _is_possible(knowledge: Knowledge, branch: frozenset[str], concluded: set[str]) -> bool:
    """Tell whether a branch can hold; a derived observation is concluded present or unknown, never absent."""
    for atom in branch:
        name, _, value = atom.partition("=")
        record = knowledge.observations.get(name)
        if record is not None and record.derived and (value == "absent" or name not in concluded):
            return False
    return can_hold(knowledge, branch)
