"""Several origins' word on one observation."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.facts.combine import combine_facts, multiply_pairs
from diagnose.facts.model import Fact, Origin, OriginKind, State

YES, NO, HEARD, DENIED = (0.95, 0.05), (0.05, 0.95), (0.7, 0.3), (0.3, 0.7)
CERTAIN, RULED_OUT = (1.0, 0.0), (0.0, 1.0)


def make_fact(observation: str, pair: tuple[float, float], words: str = "", after: str = "") -> Fact:
    """Make a fact; its origin does not matter here."""
    state = State.PRESENT if pair[0] > pair[1] else State.ABSENT
    return Fact(observation, state, Origin(OriginKind.TICKET, words), pair, after)


@given(st.lists(st.sampled_from([YES, HEARD, (0.8, 0.1)]), max_size=5), st.randoms())
def test_equal_yes_and_no_cancel_exactly(pairs: list[tuple[float, float]], random) -> None:
    """As many denials as assertions of the same trust leave exactly nothing said."""
    both = [*pairs, *((b, a) for a, b in pairs)]
    random.shuffle(both)

    assert (1.0, 1.0) == multiply_pairs(both)


@pytest.mark.parametrize("pairs", list(permutations([CERTAIN, RULED_OUT, CERTAIN, YES])))
def test_two_certain_opposites_say_nothing(pairs: tuple[tuple[float, float], ...]) -> None:
    """Origins beyond doubt that oppose each other count as unknown, however many there are."""
    assert (1.0, 1.0) == multiply_pairs(pairs)


def test_certain_word_outweighs_doubtful_denial() -> None:
    """A meter beats a ticket."""
    assert CERTAIN == multiply_pairs([NO, CERTAIN])


def test_one_origin_keeps_its_pair() -> None:
    """A single origin's pair comes through unchanged."""
    (belief,) = combine_facts([make_fact("hum", YES)])

    assert YES == belief.likelihood
    assert not belief.contradicted
    assert State.PRESENT is belief.state


def test_origins_multiply() -> None:
    """Two origins that agree are stronger than either, by the product of their ratios."""
    present, absent = multiply_pairs([YES, HEARD])

    assert (0.95 * 0.7) / (0.05 * 0.3) == pytest.approx(present / absent, rel=1e-12)


def test_contradiction_is_told_though_one_side_wins() -> None:
    """A stronger denial wins, and the belief says that origins spoke for both states."""
    (belief,) = combine_facts([make_fact("hum", HEARD), make_fact("hum", NO)])

    assert State.ABSENT is belief.state
    assert belief.contradicted


def test_order_is_irrelevant() -> None:
    """Beliefs are the same to the last bit in whatever order the facts come."""
    facts = [make_fact("hum", HEARD), make_fact("dead", CERTAIN), make_fact("hum", NO), make_fact("hum", YES)]

    assert {combine_facts(facts)} == {combine_facts(order) for order in permutations(facts)}


def test_facts_after_a_repair_count_like_the_others() -> None:
    """What was seen after a repair counts; stale facts were already left out when the case was read."""
    (belief,) = combine_facts([make_fact("hum", CERTAIN, after="gland_tight")])

    assert State.PRESENT == belief.state
