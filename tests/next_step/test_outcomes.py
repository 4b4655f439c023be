"""What an inspection may show."""

from collections.abc import Callable

import numpy as np
import pytest

from diagnose.facts.model import Evidence, State
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.outcomes import list_known, list_outcomes
from diagnose.ranking.rank import Prepared, rank_evidence

SHOWN = {
    "supply_dead": np.array([0.2, 0.9]),
    "supply_low": np.array([0.5, 0.5]),
    "motor_hums": np.array([0.1, 0.7]),
    "current_high": np.array([0.3, 0.3]),
}


def test_group_is_one_variable_the_first_lit_decides(small_base: Knowledge):
    """Dead .2, low .8 x .5, none .8 x .5: one variable of three values."""
    outcomes = list_outcomes(small_base, ("supply_low", "supply_dead"), {}, SHOWN)
    first_set = dict(zip(outcomes.evidence, outcomes.chances[:, 0], strict=True))

    assert {
        (("supply_dead", State.PRESENT),): pytest.approx(0.2),
        (("supply_low", State.PRESENT),): pytest.approx(0.4),
        (("supply_dead", State.ABSENT), ("supply_low", State.ABSENT)): pytest.approx(0.4),
    } == first_set


def test_member_alone_shows_only_without_the_more_drastic_ones(small_base: Knowledge):
    """Looked at alone, "low" shows where the supply is not dead: .8 x .5."""
    outcomes = list_outcomes(small_base, ("supply_low",), {}, SHOWN)

    assert pytest.approx([0.4, 0.6]) == outcomes.chances[:, 0]


def test_hard_absence_of_a_member_is_weighed_in(small_base: Knowledge):
    """Known not dead, the supply is low or all right: .5 each."""
    outcomes = list_outcomes(small_base, ("supply_low",), {"supply_dead": (0.0, 1.0)}, SHOWN)

    assert pytest.approx([0.5, 0.5]) == outcomes.chances[:, 0]


def test_doubtful_word_is_weighed_in(small_base: Knowledge):
    """A ticket's hum (.95, .05) on a chance of .1 makes .095 / .14."""
    outcomes = list_outcomes(small_base, ("motor_hums",), {"motor_hums": (0.95, 0.05)}, SHOWN)

    assert pytest.approx(0.095 / 0.14) == outcomes.chances[0, 0]


def test_outcomes_add_up_to_one_under_every_set(small_base: Knowledge):
    """Independent variables multiply; every set's chances add up to 1."""
    outcomes = list_outcomes(small_base, ("supply_dead", "supply_low", "motor_hums"), {}, SHOWN)

    assert 6 == len(outcomes.evidence)
    assert pytest.approx([1.0, 1.0]) == outcomes.chances.sum(axis=0)


def test_at_most_twelve_outcomes(small_base: Knowledge):
    """What would make more than twelve outcomes is left out."""
    shown = {name: np.array([0.5]) for name in small_base.observations}
    four = ("motor_hums", "current_high", "switch_made", "wheel_turns_on")
    outcomes = list_outcomes(small_base, four, {}, shown)

    assert 8 == len(outcomes.evidence)


def test_present_member_makes_its_group_known(prepared_base: Prepared, evidence_of: Callable[..., Evidence]):
    """A low supply decides "dead" too; an absent member decides only itself."""
    knowledge = prepared_base.knowledge
    low = rank_evidence(prepared_base, evidence_of(supply_low=True)).beliefs
    not_low = rank_evidence(prepared_base, evidence_of(supply_low=False)).beliefs

    assert {"supply_dead", "supply_low"} == list_known(knowledge, low)
    assert {"supply_low"} == list_known(knowledge, not_low)
