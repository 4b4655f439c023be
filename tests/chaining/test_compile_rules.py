"""Compiling rules: ids, stages, limits and located faults."""

import networkx as nx
import pytest

from diagnose.chaining.compile import (
    MAX_ATOMS,
    MAX_COMPILED,
    CompiledRule,
    Concluded,
    compile_rules,
    make_compiled,
)
from diagnose.errors import RulesFaulty


def rule(name, when, **concludes):
    """Write a rule as a rule file has it."""
    return {"id": name, "says": "It holds.", "when": when, "concludes": concludes}


def present(*names):
    """Write that all of these are present."""
    return {"all": [{name: "present"} for name in names]}


def faults_of(knowledge):
    """Compile a faulty rule base and give its faults."""
    with pytest.raises(RulesFaulty) as caught:
        compile_rules(knowledge)
    return caught.value.faults


def test_cycle_names_its_loop(make_knowledge):
    """Rules that conclude each other in a loop are a fault that names the loop."""
    rules = [
        rule("one", present("b", "x"), observation="a"),
        rule("two", present("a"), observation="c"),
        rule("three", present("c"), observation="b"),
        rule("innocent", present("c"), observation="d"),
    ]
    (fault,) = faults_of(make_knowledge({"rules": rules}))
    loop = fault.wrong.rpartition(": ")[2].split(" -> ")
    assert ("cycle", "rules/derived") == (fault.check, fault.path)
    assert {"one", "two", "three"} == set(loop)
    assert loop[0] == loop[-1]


def test_rule_on_its_own_conclusion_is_a_cycle(make_knowledge):
    """A rule that asks for what it concludes is a loop of one."""
    (fault,) = faults_of(make_knowledge({"rules": [rule("self", present("a", "b"), observation="a")]}))
    assert "self -> self" in fault.wrong


def test_two_makers_of_one_observation_are_no_cycle(make_knowledge):
    """An observation may be concluded by several rules; asking for its absence does not wait for them."""
    rules = [
        rule("one", present("x"), observation="a"),
        rule("two", present("y"), observation="a"),
        rule("not_a", {"all": [{"a": "absent"}]}, observation="b"),
    ]
    compiled = compile_rules(make_knowledge({"rules": rules}))
    assert {"one": 0, "two": 0, "not_a": 0} == {r.id: r.stage for r in compiled.rules}


def test_limits_are_located_faults(make_knowledge):
    """Too many branches, too many facts and ruling out by sight are all reported at once."""
    rules = [
        rule("wide", {"any": [{f"o{n}": "present"} for n in range(33)]}, observation="a"),
        rule("deep", present(*(f"o{n}" for n in range(MAX_ATOMS + 1))), observation="b"),
    ]
    causes = {"sound": {"ruled_out": [{"when": {"hums": "present"}, "says": "It hums."}]}}
    faults = faults_of(make_knowledge({"rules": rules, "causes": causes}))
    expected = [
        ("rules/derived", "too-many-branches"),
        ("rules/derived", "too-many-facts"),
        ("rules/part/sound.yaml", "ruled-out-by-sight"),
    ]
    assert expected == [(fault.path, fault.check) for fault in faults]
    assert ["wide", "deep", "sound"] == [
        next(name for name in ("wide", "deep", "sound") if name in fault.wrong) for fault in faults
    ]


def test_too_many_rules_are_refused():
    """The total is limited, and the largest rule is named."""
    rules = [
        CompiledRule(f"r{n}", "large" if n % 2 else f"r{n}", 0, (f"o{n}=present",), Concluded("caution", "c"))
        for n in range(MAX_COMPILED + 1)
    ]
    assert MAX_COMPILED == len(make_compiled(rules[1:]).rules)
    with pytest.raises(RulesFaulty, match=r"too-many-rules.*'large'"):
        make_compiled(rules)


def test_digest_follows_the_content(make_knowledge):
    """Equal rules have equal digests whatever order they come in; a changed atom changes the digest."""
    one, two = rule("one", present("x"), observation="a"), rule("two", present("y"), observation="b")
    changed = rule("two", present("z"), observation="b")
    digests = [
        compile_rules(make_knowledge({"rules": r})).digest for r in ([one, two], [two, one], [one, changed])
    ]
    assert digests[0] == digests[1]
    assert digests[0] != digests[2]


def stages_by_networkx(compiled):
    """Stage the rules with a graph library: the longest way from the start."""
    graph = nx.DiGraph()
    graph.add_nodes_from(r.base_id for r in compiled.rules)
    makers = [(r.conclusion.atom, r.base_id) for r in compiled.rules if r.conclusion.atom]
    graph.add_edges_from(
        (maker, r.base_id) for r in compiled.rules for atom, maker in makers if atom in r.atoms
    )
    return {base: n for n, layer in enumerate(nx.topological_generations(graph)) for base in layer}


def test_stages_equal_those_of_a_graph_library(chaining_fixture, make_knowledge):
    """Stages are the layers that networkx finds."""
    compiled = compile_rules(make_knowledge(chaining_fixture))
    assert stages_by_networkx(compiled) == {r.base_id: r.stage for r in compiled.rules}


def test_stages_of_the_rule_base_equal_those_of_a_graph_library(knowledge):
    """Stages of the shipped rules are the layers that networkx finds."""
    compiled = compile_rules(knowledge)
    assert stages_by_networkx(compiled) == {r.base_id: r.stage for r in compiled.rules}
    assert len({r.stage for r in compiled.rules}) == len(compiled.stages)
