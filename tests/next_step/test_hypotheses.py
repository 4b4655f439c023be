"""Sets weighed exactly on the network, against the exact posterior."""

import numpy as np
import pytest

from diagnose.facts.model import Evidence
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.hypotheses import WeighedSets, weigh_sets
from diagnose.next_step.options import build_hypotheses
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import Prepared, Ranking, rank_evidence

CASES = [
    {},
    {"stops_short": True},
    {"runs_past_open": True, "wheel_turns_on": True},
    {"cut_out_open": True, "current_high": True},
    {"stops_short": False, "runs_past_open": False, "motor_hums": True},
]


def weigh_all(knowledge: Knowledge, ranking: Ranking) -> WeighedSets:
    """Weigh every set there is, all states followed."""
    look = knowledge.settings.look.model_copy(
        update={"causes": 30, "set_size": 6, "sets": 5000, "mass": 0.9999999}
    )
    return weigh_sets(ranking.network, ranking.counted.items, ranking.posterior, look, ranking.network.states)


@pytest.mark.parametrize("states", CASES)
def test_weights_add_up_to_the_posterior(prepared_base: Prepared, evidence_of, states: dict[str, bool]):
    """The sets with a cause in them weigh what the dynamic programme says of the cause."""
    knowledge = prepared_base.knowledge
    ranking = rank_evidence(prepared_base, evidence_of(**states))
    weighed = weigh_all(knowledge, ranking)
    elements, hypotheses = build_hypotheses(knowledge, ranking.network, weighed)
    tolerance = weighed.lost_mass + 1e-9

    assert weighed.lost_mass < 0.01
    for cause, probability in ranking.posterior.all_causes.items():
        columns = [c for c, element in enumerate(elements) if element.id == cause]
        held = float(weighed.weights @ hypotheses.members[:, columns].any(axis=1))
        assert held == pytest.approx(probability, abs=tolerance)


@pytest.mark.parametrize("states", CASES)
def test_states_add_up_to_the_posterior(prepared_base: Prepared, evidence_of, states: dict[str, bool]):
    """The sets with a state on weigh what the dynamic programme says of the state."""
    ranking = rank_evidence(prepared_base, evidence_of(**states))
    weighed = weigh_all(prepared_base.knowledge, ranking)

    for place, state in enumerate(ranking.network.states):
        if state in ranking.posterior.states:
            held = float(weighed.weights @ weighed.states[:, place])
            assert held == pytest.approx(ranking.posterior.states[state], abs=weighed.lost_mass + 1e-9)


def test_exclusive_causes_are_never_together(prepared_base: Prepared):
    """No set holds two causes that exclude each other."""
    knowledge = prepared_base.knowledge
    ranking = rank_evidence(prepared_base, Evidence())
    elements, hypotheses = build_hypotheses(knowledge, ranking.network, weigh_all(knowledge, ranking))

    for members in knowledge.exclusives.sets.values():
        columns = [c for c, element in enumerate(elements) if element.id in members]
        assert hypotheses.members[:, columns].sum(axis=1).max() == 1


def test_lost_mass_is_what_is_missing(prepared_base: Prepared, evidence_of):
    """With few sets the lost mass is reported and the weights add up to the rest."""
    ranking = rank_evidence(prepared_base, evidence_of(stops_short=True))
    look = prepared_base.knowledge.settings.look.model_copy(update={"sets": 10, "causes": 3})
    weighed = weigh_sets(ranking.network, ranking.counted.items, ranking.posterior, look)

    assert len(weighed.weights) <= 10
    assert weighed.lost_mass > 0.05
    assert weighed.weights.sum() == pytest.approx(1 - weighed.lost_mass)
    assert (np.diff(weighed.weights) <= 0).all()


def test_unlisted_is_always_weighed(prepared_base: Prepared, evidence_of):
    """The cause that is not listed is among the alternatives however few are taken."""
    ranking = rank_evidence(prepared_base, evidence_of(stops_short=True))
    look = prepared_base.knowledge.settings.look.model_copy(update={"causes": 2})
    weighed = weigh_sets(ranking.network, ranking.counted.items, ranking.posterior, look)
    members = [ranking.network.alternatives[row].members for row in weighed.rows]

    assert (UNLISTED,) in members
