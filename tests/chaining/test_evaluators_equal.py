"""All evaluators give the same firings: by truth table, on generated facts, in any order.

The truth table of a rule is also held against the words of its condition, so that equal
evaluators cannot be equally wrong about what was written.
"""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.chaining import engine
from diagnose.chaining.atoms import CERTAIN, name_of
from diagnose.chaining.batch import run_batch
from diagnose.chaining.compile import SAID, CompiledRule, Concluded, compile_rules, make_compiled
from diagnose.chaining.engine import run_engine
from diagnose.chaining.plain import run_plain

RULE_SETS = ["branches", "stages", "exclusions", "contradictions"]
ROWS = 3**8
JUNK = ("junk=present", "junk=absent", "opening")


def truth_table(atoms, rng):
    """List all states of the names behind some atoms: unknown, each value, another value.

    Beyond 3^8 rows, as many rows are drawn at random instead.
    """
    choices = []
    for name in sorted({name_of(atom) for atom in atoms}):
        values = {atom.removesuffix(CERTAIN) for atom in atoms if name_of(atom) == name}
        if values <= {f"{name}=present", f"{name}=absent"}:
            choices.append([(), (f"{name}=present",), (f"{name}=absent",)])
        else:
            said = [(value,) for value in sorted({*values, f"{name}=other"})]
            choices.append([(), *said, *((value, value + CERTAIN) for (value,) in said)])
    rows = itertools.product(*choices)
    count = 1
    for choice in choices:
        count *= len(choice)
    if count > ROWS:
        rows = ([rng.choice(choice) for choice in choices] for _ in range(ROWS))
    return [frozenset(atom for part in row for atom in part) for row in rows]


def conditions_of(knowledge):
    """Give the condition behind each base id of compiled rules."""
    conditions = {rule.id: rule.when for rule in knowledge.rules.values()}
    for cause in knowledge.causes.values():
        for kind, listed in (("shift", cause.circumstances), ("ruled_out", cause.ruled_out)):
            conditions |= {f"{cause.cause}.{kind}.{n}": entry.when for n, entry in enumerate(listed, start=1)}
    return conditions


def holds(condition, atoms, suffix):
    """Tell whether a condition holds, straight from its words."""
    if condition.atom is not None:
        return f"{condition.atom}{suffix}" in atoms
    if condition.at_least is not None:
        return sum(holds(part, atoms, suffix) for part in condition.of) >= condition.at_least
    return all(holds(part, atoms, suffix) for part in condition.all) and (
        not condition.any or any(holds(part, atoms, suffix) for part in condition.any)
    )


def find_difference(compiled, left, right, sets):
    """Give the first set of facts on which two evaluators differ, or None."""
    return next((facts for facts in sets if left(compiled, facts) != right(compiled, facts)), None)


def run_alone(rules, atoms):
    """Run the columns on one case."""
    return run_batch(rules, [atoms])[0]


def is_equal_at_once(compiled, sets):
    """Tell whether the columns give, for all sets together, what the plain evaluator gives for each."""
    return [run_plain(compiled, facts) for facts in sets] == run_batch(compiled, sets)


def check_truth_tables(knowledge):
    """Hold every rule, by itself, against all evaluators and its own words on all states of its atoms."""
    rng = random.Random(10)
    conditions = conditions_of(knowledge)
    by_base = {}
    for rule in compile_rules(knowledge).rules:
        by_base.setdefault(rule.base_id, []).append(rule)
    for base_id, rules in by_base.items():
        alone = make_compiled(rules)
        suffix = CERTAIN if rules[0].conclusion.kind == "ruled_out" else ""
        table = truth_table([atom for rule in rules for atom in rule.atoms], rng)
        assert is_equal_at_once(alone, table), base_id
        for row in table:
            fired = run_plain(alone, row)
            assert fired == run_engine(alone, row), (base_id, row)
            assert holds(conditions[base_id.removesuffix(SAID)], row, suffix) == bool(fired), (base_id, row)
    return len(by_base)


def cover_rules(compiled, rng, times=20):
    """Draw sets of facts until each rule fired and missed by one atom that many times each.

    Uniform draws would fire hardly any rule of four conditions, so each draw is built around
    the rules seen least: all atoms of some, all but one of others, and a little noise.
    """
    vocabulary = sorted({atom for rule in compiled.rules for atom in rule.atoms} | set(JUNK))
    fires, misses, sets = Counter(), Counter(), []
    while True:
        wanting = [rule for rule in compiled.rules if min(fires[rule.id], misses[rule.id]) < times]
        if not wanting:
            return sets
        facts = set(rng.sample(vocabulary, min(len(vocabulary), rng.randrange(4))))
        for rule in rng.sample(wanting, min(len(wanting), 6)):
            dropped = (
                rng.choice([*rule.atoms, ""])
                if fires[rule.id] >= times
                else rng.choice(["", "", rule.atoms[0]])
            )
            facts |= set(rule.atoms) - {dropped}
        fired = run_plain(compiled, facts)
        known = facts | {compiled.by_id[firing.rule_id].conclusion.atom for firing in fired}
        fires.update(firing.rule_id for firing in fired)
        misses.update(rule.id for rule in compiled.rules if len(set(rule.atoms) - known) == 1)
        sets.append(frozenset(facts))
        assert len(sets) < 100 * len(compiled.rules), [(r.id, fires[r.id], misses[r.id]) for r in wanting][:5]


def make_layered(rng, count, names):
    """Draw rules in four layers; those of a layer may ask for what lower layers conclude."""
    rules, made = [], []
    for number in range(count):
        stage = number * 4 // count
        lower = [f"d{n}=present" for n, s in made if s < stage]
        pool = [f"o{rng.randrange(names)}={rng.choice(['present', 'absent'])}" for _ in range(4)]
        pool += rng.sample(lower, min(len(lower), 2))
        atoms = tuple(sorted(set(rng.sample(pool, rng.choice([1, 1, 2, 2, 3, 4])))))
        target = rng.randrange(count // 3 + 1) * 4 + stage
        made.append((target, stage))
        rules.append(
            CompiledRule(
                f"r{number:04d}",
                f"r{number:04d}",
                stage,
                atoms,
                Concluded("observation", f"d{target}", f"d{target}=present"),
            )
        )
    return make_compiled(rules)


def test_truth_tables_of_fixtures(chaining_fixture, make_knowledge):
    """Every rule of the fixtures means, in every evaluator, what its condition says."""
    assert check_truth_tables(make_knowledge(chaining_fixture)) > 0


def test_truth_tables_of_the_rule_base(knowledge):
    """Every rule of the shipped base means, in every evaluator, what its condition says."""
    assert check_truth_tables(knowledge) > 100


def test_equal_on_generated_facts_of_the_rule_base(knowledge):
    """All evaluators agree where each shipped rule fires, and misses by one atom, 20 times."""
    compiled = compile_rules(knowledge)
    sets = cover_rules(compiled, random.Random(20))
    assert find_difference(compiled, run_plain, run_engine, sets) is None
    assert is_equal_at_once(compiled, sets)


@pytest.mark.parametrize("seed", range(3))
def test_equal_on_layered_rules(seed):
    """All evaluators agree on drawn rules of four stages, each fired and just missed 20 times."""
    rng = random.Random(seed)
    compiled = make_layered(rng, 120, 40)
    assert len(compiled.stages) == 4
    sets = cover_rules(compiled, rng)
    assert find_difference(compiled, run_plain, run_engine, sets) is None
    assert is_equal_at_once(compiled, sets)


def test_equal_beyond_one_rule_set():
    """All evaluators agree where one stage needs several rule sets."""
    rng = random.Random(4)
    compiled = make_layered(rng, 1_600, 700)
    assert len(list(engine.split_stage(compiled.stages[0]))) > 1
    vocabulary = sorted({atom for rule in compiled.rules for atom in rule.atoms})
    sets = [rng.sample(vocabulary, 300) for _ in range(20)]
    assert find_difference(compiled, run_plain, run_engine, sets) is None
    assert is_equal_at_once(compiled, sets)


LAYERED = make_layered(random.Random(7), 60, 15)
VOCABULARY = sorted({atom for rule in LAYERED.rules for atom in rule.atoms} | set(JUNK))


@given(st.lists(st.sampled_from(VOCABULARY), max_size=25), st.randoms(use_true_random=False))
def test_order_of_facts_changes_nothing(facts, rng):
    """Facts in another order, with repeats, give the same firings."""
    shuffled = [*facts, *facts]
    rng.shuffle(shuffled)
    assert run_engine(LAYERED, facts) == run_engine(LAYERED, shuffled)


@given(st.permutations(VOCABULARY))
def test_order_inside_a_batch_changes_nothing(order):
    """The engine itself, past the sorting of the wrapper, is indifferent to the order of arrival."""
    rule_set = engine._register(LAYERED)[0][0]
    facts = [atom for atom in order if atom in rule_set.vocabulary][:12]
    expected = {f for f in run_plain(LAYERED, facts) if LAYERED.by_id[f.rule_id].stage == 0}
    assert expected == set(engine._run_case(rule_set, facts, str(next(engine._CASES))))


def drop_condition(rule):
    """Forget the last atom of a rule."""
    return replace(rule, atoms=rule.atoms[:-1])


def swap_state(rule):
    """Take present for absent in the first atom of a rule, or the other way round."""
    first, state = rule.atoms[0].split("=")
    other = {"present": "absent", "absent": "present"}[state]
    return replace(rule, atoms=tuple(sorted([f"{first}={other}", *rule.atoms[1:]])))


@pytest.mark.parametrize("break_rule", [drop_condition, swap_state])
@pytest.mark.parametrize("run", [run_plain, run_engine, run_alone])
def test_comparison_catches_a_bug(run, break_rule):
    """One dropped condition or one swapped state in one evaluator is found by the same comparison."""
    sets = cover_rules(LAYERED, random.Random(3))
    other = run_engine if run is run_plain else run_plain
    broken = [rule.id for rule in LAYERED.rules if len(rule.atoms) > 1 and rule.atoms[0].startswith("o")][
        ::10
    ]
    assert broken
    for rule_id in broken:
        rules = make_compiled(break_rule(r) if r.id == rule_id else r for r in LAYERED.rules)

        def run_broken(_, facts, rules=rules):
            return run(rules, facts)

        assert find_difference(LAYERED, run_broken, other, sets) is not None, rule_id
