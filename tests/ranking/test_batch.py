"""Many units at once get the rankings that each gets by itself."""

import random

import numpy as np
import pytest

from diagnose.chaining.plain import run_plain
from diagnose.facts.case_file import evidence_of_case, load_case
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Mention, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.knowledge.shipped import cases_directory
from diagnose.ranking.batch import BatchRanker, flatten_layout
from diagnose.ranking.chainwise import weigh_unit
from diagnose.ranking.layout import build_layout
from diagnose.ranking.network import UNLISTED
from diagnose.ranking.rank import prepare_ranking, rank_evidence

NEAR = 1e-12


@pytest.fixture(scope="module")
def prepared(knowledge):
    """Prepare the shipped rule base once."""
    return prepare_ranking(knowledge)


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
    return Evidence(
        tuple(facts), tuple(told), repaired, tuple(draw_mentions(seen, rng)), draw_likeness(knowledge, rng)
    )


def draw_likeness(knowledge, rng):
    """Draw how the text reads, or nothing."""
    return tuple((cause, rng.gauss(0, 1)) for cause in knowledge.causes) if rng.random() < 0.5 else ()


def draw_mentions(seen, rng):
    """Draw clauses that may say several things each."""
    for _ in range(rng.choice([0, 0, 1, 3])):
        named = rng.sample(seen, min(len(seen), 4))
        chances = tuple(sorted((name, rng.choice(list(State)[:2]), rng.random() / 5) for name in named))
        yield Mention(Origin(OriginKind.READER), rng.choice([0.5, 1.0]), chances, rng.random() / 5)


def ensure_same(alone, ranked, unit):
    """Hold every number and every word of a ranking against the columns of one unit."""
    chances = dict(zip(ranked.causes, ranked.chances[unit].tolist(), strict=True))
    weights = dict(enumerate(ranked.weights[unit].tolist()))
    modes = dict.fromkeys(alone.posterior.modes, 0.0)
    for row, alternative in enumerate(alone.network.alternatives):
        for way in zip(alternative.members, alternative.modes, strict=True):
            if way in modes:
                modes[way] += weights[row]

    assert alone.status is ranked.statuses[unit]
    assert (alone.beliefs, alone.counted, alone.chained) == (
        ranked.evident[unit].beliefs,
        ranked.evident[unit].counted,
        ranked.evident[unit].chained,
    )
    assert alone.posterior.unlisted == pytest.approx(chances.pop(UNLISTED), rel=NEAR)
    assert alone.posterior.causes == pytest.approx(chances, rel=NEAR, abs=1e-300)
    assert alone.posterior.modes == pytest.approx(modes, rel=NEAR, abs=1e-300)
    assert alone.information == pytest.approx(ranked.information[unit], abs=1e-9)
    assert {r.cause for r in alone.causes if r.ruled_out_by} == {
        cause for cause, out in zip(ranked.causes, ranked.ruled_out[unit], strict=True) if out
    }


def test_every_shipped_case_ranks_the_same_at_once(knowledge, prepared):
    """All shipped cases together give the rankings of each case, with the engine as evaluator."""
    paths = sorted(cases_directory().glob("*/*-0[12].yaml"))
    evidences = [evidence_of_case(load_case(path, knowledge), knowledge) for path in paths]
    ranked = BatchRanker(prepared).rank_many(evidences)

    assert len(evidences) > 50
    for unit, evidence in enumerate(evidences):
        ensure_same(rank_evidence(prepared, evidence), ranked, unit)


@pytest.mark.parametrize("seed", range(3))
def test_drawn_evidence_ranks_the_same_at_once(knowledge, prepared, seed):
    """Drawn facts, circumstances and repairs, of all sizes in one go, give the rankings of each."""
    rng = random.Random(seed)
    evidences = [draw_evidence(knowledge, rng) for _ in range(40)]
    ranked = BatchRanker(prepared).rank_many(evidences)

    for unit, evidence in enumerate(evidences):
        ensure_same(rank_evidence(prepared, evidence, run_plain), ranked, unit)


def test_the_weight_of_the_evidence_is_the_same(knowledge, prepared):
    """Something wrong, nothing wrong and nothing listed wrong weigh what the plain posterior says."""
    rng = random.Random(4)
    links = BatchRanker(prepared).links
    for evidence in (draw_evidence(knowledge, rng) for _ in range(20)):
        alone = rank_evidence(prepared, evidence, run_plain)
        pairs = {item.observation: item.likelihood for item in alone.counted.items}
        told = flatten_layout(build_layout(alone.network, pairs))
        _, wrong, sound, unlisted = weigh_unit(links, alone.network.odds, told)
        normal = np.exp(-alone.network.log_none.sum())

        assert alone.posterior.evidence == pytest.approx(wrong * normal, rel=NEAR)
        assert alone.posterior.evidence_none == pytest.approx(sound * normal, rel=NEAR)
        assert alone.posterior.none_listed == pytest.approx(unlisted / wrong, rel=NEAR)


def test_nothing_to_rank_gives_nothing(prepared):
    """No evidence pieces give no rankings."""
    assert () == BatchRanker(prepared).rank_many([]).statuses
