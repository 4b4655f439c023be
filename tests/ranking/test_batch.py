"""Many units at once get the rankings that each gets by itself."""

import random

import pytest

from diagnose.chaining.plain import run_plain
from diagnose.facts.case_file import evidence_of_case, load_case
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.knowledge.shipped import cases_directory
from diagnose.ranking import batch
from diagnose.ranking.batch import rank_many
from diagnose.ranking.rank import prepare_ranking, rank_evidence

NEAR = 1e-12


def draw_evidence(knowledge, rng):
    """Draw facts of several origins, circumstances and a repair in vain."""
    seen = [name for name, record in knowledge.observations.items() if not record.derived]
    kinds = [OriginKind.ANSWER, OriginKind.TICKET, OriginKind.HEARSAY, OriginKind.METER]
    facts = []
    for name in rng.sample(seen, min(len(seen), rng.choice([0, 1, 2, 3, 4, 6, 8]))):
        kind, state = rng.choice(kinds), rng.choice([State.PRESENT, State.PRESENT, State.ABSENT])
        facts.append(Fact(name, state, Origin(kind), trust_pair(knowledge, kind, state)))
    told = [
        CircumstanceFact(
            name, rng.choice(sorted(record.values)), rng.random() < 0.5, Origin(OriginKind.ANSWER)
        )
        for name, record in knowledge.circumstances.items()
        if rng.random() < 0.3
    ]
    repaired = tuple(rng.sample(sorted(knowledge.causes), rng.choice([0, 0, 1])))
    return Evidence(tuple(facts), tuple(told), repaired)


def ensure_same(alone, together):
    """Hold every number and every word of a ranking against another."""
    assert alone.status == together.status
    assert alone.reason == together.reason
    assert alone.counted == together.counted
    assert alone.chained == together.chained
    one, other = alone.posterior, together.posterior
    for name in ("causes", "modes", "states"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=NEAR, abs=NEAR)
    for name in ("evidence", "evidence_none", "unlisted", "none_listed"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=NEAR)
    assert alone.information == pytest.approx(together.information, abs=1e-9)
    places = {ranked.cause: ranked.probability for ranked in alone.causes}
    for ranked, here in zip(alone.causes, together.causes, strict=True):
        # causes that are equally likely may change places by a rounding
        assert ranked.probability == pytest.approx(places[here.cause], rel=NEAR, abs=NEAR)


def test_every_shipped_case_ranks_the_same_at_once(knowledge):
    """All shipped cases together give the rankings of each case, with the engine as evaluator."""
    prepared = prepare_ranking(knowledge)
    paths = sorted(cases_directory().glob("*/*-0[12].yaml"))
    evidences = [evidence_of_case(load_case(path, knowledge), knowledge) for path in paths]

    assert len(evidences) > 50
    for evidence, together in zip(evidences, rank_many(prepared, evidences), strict=True):
        ensure_same(rank_evidence(prepared, evidence), together)


@pytest.mark.parametrize("seed", range(3))
def test_drawn_evidence_ranks_the_same_at_once(knowledge, seed):
    """Drawn facts, circumstances and repairs, of all sizes in one go, give the rankings of each."""
    rng = random.Random(seed)
    prepared = prepare_ranking(knowledge)
    evidences = [draw_evidence(knowledge, rng) for _ in range(40)]

    for evidence, together in zip(evidences, rank_many(prepared, evidences), strict=True):
        ensure_same(rank_evidence(prepared, evidence, run_plain), together)


def test_arrays_too_large_for_one_go_are_split(knowledge, monkeypatch):
    """A limit that lets only one unit in at a time changes nothing."""
    rng = random.Random(8)
    prepared = prepare_ranking(knowledge)
    evidences = [draw_evidence(knowledge, rng) for _ in range(12)]
    whole = rank_many(prepared, evidences)
    monkeypatch.setattr(batch, "MOST_KEPT", 1)

    for one, other in zip(whole, rank_many(prepared, evidences), strict=True):
        ensure_same(one, other)


def test_nothing_to_rank_gives_nothing(knowledge):
    """No evidence pieces give no rankings."""
    assert [] == rank_many(prepare_ranking(knowledge), [])
