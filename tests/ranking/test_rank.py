"""From facts and circumstances to a ranking with one of three statuses."""

from dataclasses import replace

import numpy as np
import pytest
from ranking_builder import make_cause, make_knowledge, make_observation

from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.building import compile_network
from diagnose.ranking.network import Network
from diagnose.ranking.posterior import compute_posterior
from diagnose.ranking.rank import (
    CAUSE_NOT_LISTED,
    Prepared,
    RankedCause,
    Ranking,
    Status,
    measure_information,
    prepare_ranking,
    rank_evidence,
)

from ranking_networks import make_items  # isort: skip

YES, NO, SAID, DENIED = (1.0, 0.0), (0.0, 1.0), (0.95, 0.05), (0.05, 0.95)


def make_fact(observation: str, pair: tuple[float, float]) -> Fact:
    """Make a fact with a likelihood pair."""
    state = State.PRESENT if pair[0] > pair[1] else State.ABSENT
    return Fact(observation, state, Origin(OriginKind.ANSWER), pair)


def make_evidence(circumstances: tuple[tuple[str, str, bool], ...] = (), **pairs) -> Evidence:
    """Make evidence from likelihood pairs and (circumstance, value, certain)."""
    origin = Origin(OriginKind.ANSWER)
    return Evidence(
        tuple(make_fact(o, pair) for o, pair in pairs.items()),
        tuple(CircumstanceFact(*circumstance, origin) for circumstance in circumstances),
    )


def cause_of(ranking: Ranking, cause: str) -> RankedCause:
    """Find one cause in a ranking."""
    return next(ranked for ranked in ranking.causes if ranked.cause == cause)


def test_no_evidence_asks_first_with_exactly_no_information(prepared: Prepared) -> None:
    """An empty ticket moves nothing, to the last bit, and asks first."""
    ranking = rank_evidence(prepared, Evidence())

    assert 0.0 == ranking.information
    assert Status.ASK_FIRST is ranking.status
    assert "" == ranking.reason
    assert [c.prior for c in ranking.causes] == [c.probability for c in ranking.causes]


def test_clear_evidence_is_ranked(prepared: Prepared) -> None:
    """Evidence that singles a cause out ranks it first."""
    ranking = rank_evidence(prepared, make_evidence(dead=YES, lamp_dark=YES, smell=NO))

    assert Status.RANKED is ranking.status
    assert "supply_off" == ranking.causes[0].cause
    assert ranking.causes[0].probability > 0.9


def test_causes_are_sorted_with_ties_by_id(prepared: Prepared) -> None:
    """Likeliest first; equal probabilities in order of id."""
    ranking = rank_evidence(prepared, make_evidence(dead=YES))
    keys = [(-c.probability, c.cause) for c in ranking.causes]

    assert sorted(keys) == keys
    assert set(prepared.knowledge.causes) == {c.cause for c in ranking.causes}


def test_certain_circumstance_rules_out(prepared: Prepared) -> None:
    """A nameplate rules a cause out: probability 0, with the rule that says so."""
    ranking = rank_evidence(prepared, make_evidence((("motor", "dc", True),), dead=YES, smell=YES))
    burnt = cause_of(ranking, "motor_burnt")

    assert 0.0 == burnt.probability
    assert ("motor_burnt.ruled_out.1",) == burnt.ruled_out_by
    assert burnt == ranking.causes[-1]


def test_said_circumstance_only_lowers(prepared: Prepared) -> None:
    """The same circumstance merely said lowers the cause by the cap and rules nothing out."""
    evidence = make_evidence(dead=YES, smell=YES)
    said = replace(
        evidence, circumstances=(CircumstanceFact("motor", "dc", False, Origin(OriginKind.TICKET)),)
    )
    before, after = (cause_of(rank_evidence(prepared, e), "motor_burnt") for e in (evidence, said))

    assert 0 < after.probability < before.probability
    assert () == after.ruled_out_by


def test_unknown_circumstance_is_bit_identical(prepared: Prepared) -> None:
    """A circumstance that no cause asks for in this value leaves every figure as it was."""
    evidence = make_evidence(hum=YES, slow=SAID)
    known = replace(
        evidence, circumstances=(CircumstanceFact("duty", "on_off", True, Origin(OriginKind.ANSWER)),)
    )

    assert rank_evidence(prepared, evidence).causes == rank_evidence(prepared, known).causes


def test_order_of_facts_and_circumstances_is_irrelevant(prepared: Prepared) -> None:
    """The ranking is the same to the last bit in whatever order things are told."""
    evidence = make_evidence(
        (("motor", "dc", False), ("duty", "modulating", True)),
        hum=YES,
        slow=SAID,
        smell=DENIED,
        cutout_warm=YES,
    )
    turned = Evidence(evidence.facts[::-1], evidence.circumstances[::-1])

    assert rank_evidence(prepared, evidence).posterior == rank_evidence(prepared, turned).posterior


def test_equal_yes_and_no_equals_no_fact(prepared: Prepared) -> None:
    """An assertion and a denial of equal trust leave the posterior as without either, and are told."""
    evidence = make_evidence(dead=YES)
    torn = replace(evidence, facts=(*evidence.facts, make_fact("smell", SAID), make_fact("smell", DENIED)))
    actual = rank_evidence(prepared, torn)

    assert rank_evidence(prepared, evidence).posterior == actual.posterior
    assert ["smell"] == [n.observation for n in actual.counted.not_counted]


def test_unmentioned_observation_changes_nothing(small: Knowledge, prepared: Prepared) -> None:
    """A rule base that gains an observation nobody mentioned ranks to the same last bit."""
    cause = small.causes["supply_off"]
    link = cause.links[0].model_copy(update={"to": "brand_new"})
    larger = replace(
        small,
        observations=dict(sorted({**small.observations, "brand_new": make_observation()}.items())),
        causes={**small.causes, "supply_off": cause.model_copy(update={"links": (*cause.links, link)})},
    )
    evidence = make_evidence(hum=YES, smell=NO, slow=SAID)

    assert (
        rank_evidence(prepared, evidence).posterior
        == rank_evidence(prepare_ranking(larger), evidence).posterior
    )


def test_unseen_absence_fires_no_rule_and_counts_nothing(prepared: Prepared) -> None:
    """On a dead unit "no hunting" leaves the ranking as it was."""
    plain, more = (
        rank_evidence(prepared, make_evidence(dead=YES, **extra)) for extra in ({}, {"hunting": NO})
    )

    assert plain.posterior == more.posterior
    assert "hunting=absent" not in more.chained.atoms


def test_likeliest_mode_is_named(prepared: Prepared) -> None:
    """A cause with modes names the likelier one, given the evidence."""
    hunting = rank_evidence(prepared, make_evidence(hunting=YES, comes_and_goes=YES))
    dead = rank_evidence(prepared, make_evidence(dead=YES, comes_and_goes=YES))

    assert "signal" == cause_of(hunting, "wire_loose").mode
    assert "supply" == cause_of(dead, "wire_loose").mode
    assert cause_of(dead, "supply_off").mode is None


def test_root_stays_first_when_only_its_consequence_was_seen(prepared: Prepared) -> None:
    """What a state shows points to the causes behind the state, and to the state itself."""
    ranking = rank_evidence(prepared, make_evidence(cutout_warm=YES))

    assert "gland_tight" == ranking.causes[0].cause
    assert ranking.posterior.states["stalled"] > 0.5


def make_scattered(*, shared: bool) -> Prepared:
    """Make ten causes that show two things each, of which one is theirs alone, and perhaps one that shows three."""
    causes = [make_cause(f"c{i}", 0.09, {f"x{i}": "usually", f"y{i}": "usually"}) for i in range(10)]
    if shared:
        causes.append(make_cause("all_three", 0.05, {"x0": "usually", "x1": "usually", "x2": "usually"}))
    names = [f"{letter}{i}" for letter in "xy" for i in range(10)]
    return prepare_ranking(make_knowledge(causes, {n: make_observation(background="remote") for n in names}))


def test_observations_no_cause_shares_are_not_covered() -> None:
    """Three observations that no listed cause shows together are not covered; with such a cause they are."""
    evidence = make_evidence(x0=YES, x1=YES, x2=YES, y0=NO, y1=NO, y2=NO)
    alone, shared = (rank_evidence(make_scattered(shared=s), evidence) for s in (False, True))

    assert (Status.RANKED, "all_three") == (shared.status, shared.causes[0].cause)
    assert (Status.NOT_COVERED, CAUSE_NOT_LISTED) == (alone.status, alone.reason)
    assert alone.posterior.none_listed > 0.8


def test_information_is_in_bits() -> None:
    """Halving the field is one bit."""
    before = dict.fromkeys("abcd", 0.1)

    assert 1.0 == pytest.approx(measure_information({"a": 0.2, "b": 0.2, "c": 0, "d": 0}, before), rel=1e-12)


def draw_cases(network: Network, number: int) -> tuple[np.ndarray, np.ndarray]:
    """Draw cases from the model itself: which alternative is there, which observations show."""
    rng = np.random.default_rng(20_000)
    there = np.zeros((number, len(network.alternatives)), bool)
    for variable, rows in zip(network.variables, network.rows, strict=True):
        odds = np.array([1.0, *(a.odds for a in variable.alternatives)])
        chances = odds / odds.sum()
        drawn = rng.choice(len(chances), size=number, p=chances)
        for place, row in enumerate(rows, start=1):
            there[:, row] = drawn == place
    t = network.tables
    off = (1 - t.state_background) * np.exp(there @ np.log1p(-t.state_hit))
    on = rng.random(off.shape) > off
    dark = (1 - t.background) * np.exp(there @ np.log1p(-t.hit) + on @ np.log1p(-t.state_links))
    return there[there.any(axis=1)], (rng.random(dark.shape) > dark)[there.any(axis=1)]


def test_own_cases_are_calibrated(small: Knowledge) -> None:
    """On cases drawn from the model itself the expected calibration error is below 0.01.

    This proves the arithmetic only; it says nothing of how well the model fits real units.
    """
    lively = small.settings.model_copy(update={"prior_scale": 0.9})
    network = compile_network(replace(small, settings=lively, groups={}))
    asked = ["dead", "hum", "smell", "cutout_warm", "short_of_end", "slow"]
    columns = [network.observations.index(o) for o in asked]
    there, shown = draw_cases(network, 30_000)
    patterns, which = np.unique(shown[:, columns], axis=0, return_inverse=True)
    causes = sorted(small.causes)
    posteriors = []
    for pattern in patterns:
        pairs = {o: YES if seen else NO for o, seen in zip(asked, pattern, strict=True)}
        posterior = compute_posterior(network, make_items(pairs))
        posteriors.append([posterior.causes[c] for c in causes])
    confidence = np.array(posteriors)[which.ravel()].ravel()
    has = np.array([[c in a.members for a in network.alternatives] for c in causes], float)
    hits = (there @ has.T > 0).ravel()
    bins = np.minimum((confidence * 10).astype(int), 9)
    error = sum(
        abs(hits[bins == b].mean() - confidence[bins == b].mean()) * (bins == b).mean() for b in set(bins)
    )

    assert len(there) > 15_000
    assert error < 0.01
