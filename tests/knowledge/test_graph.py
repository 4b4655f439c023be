"""The rule base as a graph: what leads to what."""

from diagnose.knowledge.graph import build_graph


def test_edges_run_from_what_brings_about_to_what_is_seen(small_base):
    """Causes, states, rules and inspections lead to observations; observations feed rules."""
    graph = build_graph(small_base)

    assert graph.has_edge(("causes", "cam_early"), ("observations", "switch_made"))
    assert graph.has_edge(("causes", "cam_late"), ("consequences", "overheated"))
    assert graph.has_edge(("consequences", "overheated"), ("observations", "cut_out_open"))
    assert graph.has_edge(("inspections", "turn_wheel"), ("observations", "wheel_turns_on"))
    assert graph.has_edge(("observations", "switch_made"), ("rules", "limit_stops_early"))
    assert graph.has_edge(("rules", "limit_stops_early"), ("observations", "short_by_limit"))
    # two causes together show it, so both lead there
    assert graph.has_edge(("causes", "stop_out"), ("observations", "runs_past_open"))


def test_every_entry_is_a_node(small_base):
    """An entry without any edge is still there to be found."""
    nodes = build_graph(small_base).nodes

    assert ("observations", "supply_low") in nodes
    assert ("circumstances", "duty") in nodes
