"""The same rules in CLIPS 6.4, a rule engine from outside: equal firings on equal facts.

Source: CLIPS (NASA Johnson Space Center, public domain), by its Python binding clipspy. Each
compiled rule becomes one `defrule` without salience or retraction; its firing is an asserted
fact, and the facts are read by walking the fact list once.
"""

from __future__ import annotations

import random

import clips
import pytest

from diagnose.chaining.compile import CompiledRule, Concluded, Firing, compile_rules, make_compiled
from diagnose.chaining.engine import run_engine
from diagnose.chaining.plain import run_plain


def build_clips(compiled):
    """Build a CLIPS environment that holds the compiled rules."""
    environment = clips.Environment()
    for number, rule in enumerate(compiled.rules):
        conditions = " ".join(f'(known "{atom}")' for atom in rule.atoms)
        concluded = f'(assert (known "{rule.conclusion.atom}"))' if rule.conclusion.atom else ""
        environment.build(f'(defrule r{number} {conditions} => (assert (fired "{rule.id}")) {concluded})')
    return environment


def run_clips(environment, compiled, facts):
    """Run one case and give the firings, with the atoms of each rule as compiled."""
    environment.reset()
    for fact in facts:
        environment.assert_string(f'(known "{fact}")')
    environment.run()
    fired = [str(fact[0]) for fact in environment.facts() if fact.template.name == "fired"]
    return frozenset(Firing(rule_id, compiled.by_id[rule_id].atoms) for rule_id in fired)


def draw_rules(rng, count):
    """Draw rules in three stages, each stage on the conclusions of the one before."""
    rules = []
    for number in range(count):
        stage = number * 3 // count
        atoms = {
            f"o{rng.randrange(20)}={rng.choice(['present', 'absent'])}" for _ in range(rng.choice([1, 2, 3]))
        }
        if stage:
            atoms.add(f"d{stage - 1}_{rng.randrange(count // 6)}=present")
        target = f"d{stage}_{rng.randrange(count // 6)}"
        conclusion = Concluded("observation", target, f"{target}=present")
        rules.append(CompiledRule(f"r{number}", f"r{number}", stage, tuple(sorted(atoms)), conclusion))
    return make_compiled(rules)


def draw_facts(compiled, rng, around):
    """Draw facts that make some rules fire, and leave out one of them half of the time."""
    facts = {atom for rule in rng.sample(compiled.rules, around) for atom in rule.atoms}
    left_out = {rng.choice(sorted(facts))} if rng.random() < 0.5 else set()
    return sorted(facts - left_out)


def check_equal(compiled, rng, cases):
    """Compare CLIPS with both evaluators, and give how many rules fired at least once."""
    environment = build_clips(compiled)
    seen = set()
    for _ in range(cases):
        facts = draw_facts(compiled, rng, 5)
        expected = run_clips(environment, compiled, facts)
        assert expected == run_plain(compiled, facts), facts
        assert expected == run_engine(compiled, facts), facts
        seen |= {firing.rule_id for firing in expected}
    return len(seen)


@pytest.mark.parametrize("seed", range(3))
def test_drawn_rules_fire_as_in_clips(seed):
    """Drawn rules of three stages fire as they fire in CLIPS."""
    rng = random.Random(seed)
    compiled = draw_rules(rng, 60)
    assert check_equal(compiled, rng, 300) == 60


def test_rule_base_fires_as_in_clips(knowledge):
    """The shipped rules fire as they fire in CLIPS, nearly all of them at least once."""
    compiled = compile_rules(knowledge)
    assert check_equal(compiled, random.Random(11), 1_000) > 0.9 * len(compiled.rules)


def test_swapped_state_is_noticed():
    """A rule base with one state swapped does not fire as the right one does in CLIPS."""
    rng = random.Random(5)
    compiled = draw_rules(rng, 60)
    environment = build_clips(compiled)
    first = compiled.rules[0]
    name, state = first.atoms[0].split("=")
    swapped = f"{name}={'absent' if state == 'present' else 'present'}"
    wrong = CompiledRule(
        first.id, first.base_id, 0, tuple(sorted((swapped, *first.atoms[1:]))), first.conclusion
    )
    broken = make_compiled([wrong, *compiled.rules[1:]])
    facts = [draw_facts(compiled, rng, 5) for _ in range(300)]
    assert any(run_clips(environment, compiled, case) != run_engine(broken, case) for case in facts)
