"""Telling apart: expected decibans each way, held against the table of the reasoning and enumeration."""

from dataclasses import replace
from itertools import product
from math import log10

import numpy as np
import pytest

from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.next_step import telling_apart
from diagnose.next_step.faces import list_faces
from diagnose.next_step.telling_apart import (
    TooManyFacesError,
    Verdict,
    list_chances,
    list_variables,
    score,
    weigh_pairs,
)
from diagnose.next_step.unit_kinds import list_unit_kinds
from diagnose.ranking.building import compile_network


@pytest.fixture(scope="module")
def shipped():
    """Load the shipped rule base with its network."""
    knowledge = load_knowledge(rules_directory())
    return knowledge, compile_network(knowledge)


# the table of section 4 of the reasoning: P(o given a), P(o given b), decibans in the mean of both ways
TABLE = [
    (0.98, 0.02, 16.2),
    (0.9, 0.02, 11.6),
    (0.9, 0.05, 9.5),
    (0.9, 0.1, 7.6),
    (0.7, 0.02, 7.0),
    (0.35, 0.01, 2.9),
    (0.03, 0.002, 0.2),
]


@pytest.mark.parametrize(("there", "other", "decibans"), TABLE)
def test_one_outcome_weighs_as_the_reasoning_says(there, other, decibans):
    """The mean of both ways of one yes/no answer is that of the table, which was worked out apart."""
    found = telling_apart._diverge(np.array([[there, other], [1 - there, 1 - other]]), np.eye(2))

    # the table of the reasoning gives one decimal, and some of its rows were cut rather than rounded
    assert decibans == pytest.approx((found[0, 1] + found[1, 0]) / 2, abs=0.11)


def test_independent_answers_add_up():
    """Weights of two independent variables of one look add."""
    one, other = np.array([[0.9, 0.1], [0.1, 0.9]]), np.array([[0.7, 0.02], [0.3, 0.98]])
    both = np.array([a * b for a in one for b in other])

    apart = sum(telling_apart._diverge(chances, np.eye(2)) for chances in (one, other))
    assert np.allclose(apart, telling_apart._diverge(both, np.eye(4)))


def test_an_absence_that_means_nothing_weighs_nothing():
    """Where the absence cannot be seen under what is there, only the presence weighs."""
    chances, merged = np.array([[0.01, 0.9], [0.99, 0.1]]), np.array([[1.0, 0.0], [1.0, 1.0]])

    assert 0.01 * 10 * log10(0.01 / 0.9) == pytest.approx(telling_apart._diverge(chances, merged)[0, 1])


def test_outcomes_add_up_to_one_for_every_inspection(shipped):
    """The outcomes of every look of the shipped base are exhaustive and exclusive under every cause."""
    knowledge, network = shipped

    for look in knowledge.looks.values():
        assert np.allclose(1, list_chances(knowledge, network, look.reveals).sum(axis=0))


@pytest.mark.parametrize(
    "reveals",
    [("motor_hot", "recovers_after_rest"), ("no_movement", "motor_silent"), ("open_direction_dead",)],
)
def test_states_are_summed_over(shipped, reveals):
    """Chances equal the sum over all joint values of the states, one alternative after the other."""
    knowledge, network = shipped
    found = list_chances(knowledge, network, reveals)

    for row in range(0, len(network.alternatives), 7):
        expected = enumerate_outcomes(knowledge, network, reveals, row)
        assert np.allclose(expected, found[:, row])


def enumerate_outcomes(knowledge, network, reveals, row):
    """Add up P(outcome) over every value of every state and every observation involved, the slow way."""
    tables, variables = network.tables, list_variables(knowledge, reveals)
    involved = [o for order, _ in variables for o in order]
    columns = [network.observations.index(o) for o in involved]
    totals: dict[tuple, float] = {}
    for states in product((0, 1), repeat=len(network.states)):
        brought = 1 - (1 - tables.state_background) * (1 - tables.state_hit[row])
        weight = np.prod([b if on else 1 - b for on, b in zip(states, brought, strict=True)])
        miss = (1 - tables.background) * (1 - tables.hit[row])
        shown = 1 - miss * np.prod([1 - on * tables.state_links[s] for s, on in enumerate(states)], axis=0)
        for seen in product((True, False), repeat=len(involved)):
            chance = weight * np.prod(
                [shown[c] if is_seen else 1 - shown[c] for c, is_seen in zip(columns, seen, strict=True)]
            )
            told = dict(zip(involved, seen, strict=True))
            outcome = tuple(next((o for o in order if told[o]), None) for order, _ in variables)
            outcome = tuple(
                o if o in members else None for o, (_, members) in zip(outcome, variables, strict=True)
            )
            totals[outcome] = totals.get(outcome, 0.0) + chance
    return [totals[outcome] for outcome in product(*([*members, None] for _, members in variables))]


def test_a_pair_needs_ten_decibans_and_five_each_way():
    """One direction below five fails whatever the other says."""
    assert 10 == score(5, 15)
    assert 9 == score(4.5, 40)
    assert Verdict("a", "b", ("look",), 5.0, 15.0, 9.0, ("as_found",)).needs_live
    assert not Verdict("a", "b", ("look",), 4.9, 15.1, 9.0, ("as_found",)).passes


def test_pairs_that_no_unit_can_have_are_skipped(small_base):
    """A cause ruled out on one duty still makes a pair with the others; causes of two duties make none."""
    out = small_base.causes["stop_out"].ruled_out[0]
    on_off = out.model_copy(update={"when": out.when.model_validate({"duty": "on_off"})})
    other = small_base.causes["cam_late"].model_copy(update={"ruled_out": (on_off,)})
    causes = {**small_base.causes, "cam_late": other}
    spoiled = replace(small_base, causes=causes)
    table = weigh_pairs(spoiled, compile_network(spoiled))
    pairs = {(v.first, v.second) for v in table.verdicts}

    assert ("cam_late", "stop_out") not in pairs
    assert {("cam_early", "stop_out"), ("cam_early", "cam_late"), ("cam_late", "stop_in")} <= pairs


def test_a_look_excluded_on_a_unit_tells_nothing_there(small_base):
    """On the kind of unit where a look is excluded, the pair has to do without it."""
    kinds = list_unit_kinds(
        small_base, ["cam_early", "stop_out"], {"a": small_base.inspections["look_at_switch"]}
    )
    assert [[True]] == kinds.looks.tolist()  # a dead supply is seen, not structure

    out = small_base.causes["stop_out"].ruled_out[0].when
    excluded = small_base.inspections["turn_wheel"].model_copy(update={"excluded_when": (out,)})
    kinds = list_unit_kinds(small_base, ["cam_early", "stop_out"], {"a": excluded})

    assert [[False], [True]] == kinds.looks.tolist()
    # modulating: the look is excluded and stop_out is ruled out, so only cam_early is possible there
    assert [[True, False], [False, False]] == kinds.pairs[0].tolist()
    assert kinds.pairs[1].all()


def test_what_one_cause_alone_shows_does_not_tell_it_apart(small_base):
    """To look for what only cam_early shows is to look whether it is cam_early."""
    network = compile_network(small_base)
    faces = list_faces(small_base, network)
    owned = {network.observations[o]: faces.faces[f].name for f, o in np.argwhere(faces.owns).tolist()}

    assert "cam_early" == owned["switch_made"]
    assert "stops_short" not in owned
    weights = telling_apart._weigh_look(small_base, network, faces, ("switch_made",))
    assert 0 == weights[[face.name for face in faces.faces].index("cam_early")].max()


def test_what_cannot_be_seen_on_a_dead_unit_is_mostly_unseen(shipped):
    """A unit without supply does not hunt, so no hunting says nothing there; on a moving unit it says much."""
    knowledge, network = shipped
    faces = list_faces(knowledge, network)
    names = [face.name for face in faces.faces]
    hunting = faces.unseen[:, network.observations.index("hunts_at_steady_command")]

    assert 0.85 < hunting[names.index("supply_lost")]
    assert 0.05 > hunting[names.index("card_deadband_wide")]


def test_modes_with_remedies_of_their_own_are_told_apart_too(shipped):
    """A cause whose modes have remedies of their own stands once for each; another stands once."""
    knowledge, network = shipped
    names = [face.name for face in list_faces(knowledge, network).faces]

    assert {"motor_brake_fault.drags", "motor_brake_fault.slips", "card_failed"} <= set(names)
    assert "motor_brake_fault" not in names


def test_too_many_causes_are_refused(small_base, monkeypatch):
    """Beyond the limit the comparison is refused with the figure, never begun."""
    monkeypatch.setattr(telling_apart, "MOST_FACES", 3)

    with pytest.raises(TooManyFacesError, match="4 causes and modes; at most 3"):
        weigh_pairs(small_base, compile_network(small_base))
