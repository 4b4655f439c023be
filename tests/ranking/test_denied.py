"""What a fact proves absent counts with it, on the shipped rule base."""

import pytest

from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.rank import Prepared, prepare_ranking, rank_evidence

CERTAIN, SOFT = (1.0, 0.0), (0.95, 0.05)


@pytest.fixture(scope="module")
def prepared(knowledge: Knowledge) -> Prepared:
    """Prepare the shipped rule base once."""
    return prepare_ranking(knowledge)


def tell(*facts: tuple[str, State, tuple[float, float]]) -> Evidence:
    """Make evidence of a few facts."""
    return Evidence(tuple(Fact(o, s, Origin(OriginKind.ANSWER), p) for o, s, p in facts))


def counted(prepared: Prepared, evidence: Evidence) -> dict[str, tuple[float, float]]:
    """Give the likelihood pair of each counted observation."""
    return {item.observation: item.likelihood for item in rank_evidence(prepared, evidence).counted.items}


def chance(prepared: Prepared, evidence: Evidence, cause: str) -> float:
    """Give the posterior of one cause."""
    return rank_evidence(prepared, evidence).posterior.causes[cause]


def test_a_unit_seen_to_stop_short_has_moved(prepared):
    """Stopping short of open counts as no evidence of a dead unit, without anybody saying so."""
    pairs = counted(prepared, tell(("stops_short_of_open", State.PRESENT, CERTAIN)))

    assert (0.0, 1.0) == pairs["no_movement"]


def test_causes_of_a_dead_unit_fall_once_it_was_seen_to_move(prepared):
    """A lost supply is at least ten times less likely after a movement than before any fact."""
    before = chance(prepared, Evidence(), "supply_lost")
    after = chance(prepared, tell(("stops_short_of_open", State.PRESENT, CERTAIN)), "supply_lost")

    assert after < before / 10


def test_a_soft_fact_denies_softly(prepared):
    """What is told with doubt proves the other thing absent with the same doubt."""
    present, absent = counted(prepared, tell(("stops_short_of_open", State.PRESENT, SOFT)))["no_movement"]

    assert pytest.approx(SOFT[1] / SOFT[0]) == present / absent


def test_what_was_told_present_stays_told(prepared):
    """A unit told both dead and stopping short keeps both facts: it may be dead at times."""
    both = tell(("stops_short_of_open", State.PRESENT, CERTAIN), ("no_movement", State.PRESENT, CERTAIN))

    assert CERTAIN == counted(prepared, both)["no_movement"]
