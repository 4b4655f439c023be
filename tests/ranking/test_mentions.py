"""What clauses seem to say moves the causes as virtual evidence does."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.chaining.plain import run_plain
from diagnose.facts.model import Evidence, Mention, Origin, OriginKind, State
from diagnose.knowledge.mentions import Mentions
from diagnose.ranking.mentions import compile_lifts, find_sayings, weigh_heard, weigh_likeness, weigh_mentions
from diagnose.ranking.rank import prepare_ranking, rank_evidence

READER = Origin(OriginKind.READER)
PLAIN = Mentions(sharpness=1.0, doubt=0.2)


def say(name: str, chance: float, nothing: float, state: State = State.PRESENT) -> Mention:
    """Make a clause that may say one thing."""
    return Mention(READER, 1.0, ((name, state, chance),), nothing)


@pytest.fixture(scope="module")
def prepared(knowledge):
    """Prepare the shipped rule base once."""
    return prepare_ranking(knowledge)


@pytest.fixture(scope="module")
def lifts(prepared):
    """Work out what tickets of each alternative say, every count equal."""
    return compile_lifts(prepared.network, PLAIN)


def test_lifts_are_likelihoods_against_any_ticket(prepared, lifts):
    """Over all tickets, each alternative as often as its odds say, every lift is 1 in the mean."""
    share = prepared.network.odds / prepared.network.odds.sum()
    assert np.allclose(1.0, lifts.lifts @ share, rtol=1e-12)


def test_no_clause_says_nothing(lifts):
    """Without clauses every alternative keeps its odds."""
    assert not weigh_mentions(lifts, PLAIN, ()).any()


def test_a_clause_that_says_nothing_of_the_list_moves_nothing(lifts):
    """A reader that is sure of nothing leaves every odds exactly as they were."""
    assert np.allclose(0.0, weigh_mentions(lifts, PLAIN, (say("no_movement", 0.0, 1.0),)), atol=1e-12)


def test_a_sure_clause_is_a_mixture_of_its_lift_and_doubt(lifts):
    """One class for certain: doubt + (1 - doubt) x lift, worked by hand."""
    lift = lifts.lifts[lifts.column["no_movement", State.PRESENT]]
    got = weigh_mentions(lifts, PLAIN, (say("no_movement", 1.0, 0.0),))
    assert np.allclose(np.log(0.2 + 0.8 * lift), got, rtol=1e-12)


@given(st.lists(st.tuples(st.floats(0.01, 1), st.floats(0.01, 1)), min_size=1, max_size=5), st.randoms())
def test_the_order_of_clauses_does_not_matter(lifts, drawn, rng):
    """Clauses in any order weigh the same."""
    said = [say(("no_movement", "motor_hot")[n % 2], p, q) for n, (p, q) in enumerate(drawn)]
    mixed = rng.sample(said, len(said))
    assert np.allclose(weigh_mentions(lifts, PLAIN, said), weigh_mentions(lifts, PLAIN, mixed), rtol=1e-9)


def test_what_the_rules_do_not_know_is_passed_over(lifts):
    """A class of another rule base counts for nothing."""
    assert np.allclose(0.0, weigh_mentions(lifts, PLAIN, (say("of_another_base", 0.7, 0.3),)), atol=1e-12)


def test_a_clause_is_told_by_its_words_and_by_the_likely_causes(lifts):
    """Of two readings with equal chances the one that the likely cause shows is told."""
    either = (("motor_hot", State.PRESENT, 0.3), ("no_movement", State.PRESENT, 0.3))
    (saying,) = find_sayings(lifts, PLAIN, (Mention(READER, 1.0, either, 0.1),), {"supply_lost": 0.9})
    assert (saying.observation, saying.state) == ("no_movement", State.PRESENT)
    assert 0.5 < saying.chance < 1


def test_a_clause_that_likely_says_nothing_is_not_told(lifts):
    """What is less likely than "nothing" is left out."""
    assert not list(find_sayings(lifts, PLAIN, (say("motor_hot", 0.001, 0.9),), {"supply_lost": 0.9}))


def test_likeness_counts_once_for_each_cause(prepared, lifts):
    """Every alternative has what its likest member has; what nobody wrote tickets of has 0."""
    got = weigh_likeness(lifts, (("supply_lost", 1.5), ("motor_capacitor_failed", -2.0)))
    wanted = {"supply_lost": 1.5, "motor_capacitor_failed": -2.0}
    for number, alternative in enumerate(prepared.network.alternatives):
        assert max(wanted.get(cause, 0.0) for cause in alternative.members) == got[number]


def test_clauses_and_likeness_are_pooled_with_their_weights(lifts):
    """The factor on the odds is the product of both, each to the power of its weight."""
    settings = Mentions(sharpness=1.0, doubt=0.2, clauses=0.5, likeness=0.8)
    told = Evidence(mentions=(say("no_movement", 0.9, 0.1),), likeness=(("supply_lost", 1.0),))
    wanted = 0.5 * weigh_mentions(lifts, settings, told.mentions) + 0.8 * weigh_likeness(lifts, told.likeness)
    assert np.allclose(wanted, weigh_heard(lifts, settings, told), rtol=1e-12)


def test_a_clause_moves_the_ranking_and_is_told(prepared):
    """A clause that likely says the unit is dead raises lost supply, and the ranking tells by how much."""
    told = Evidence(mentions=(say("no_movement", 0.9, 0.1), say("heater_cold", 0.9, 0.1)))
    before, after = (rank_evidence(prepared, e, run_plain) for e in (Evidence(), told))
    chance = {r.cause: r.probability for r in after.causes}
    assert chance["supply_lost"] > {r.cause: r.probability for r in before.causes}["supply_lost"]
    assert after.heard["supply_lost"] > 0
    assert before.heard == {}
    assert after.information > before.information
