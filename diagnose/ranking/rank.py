"""From what is known of one unit to its ranked causes and one of three statuses.

Takes prepared knowledge and evidence, gives a Ranking; may import chaining and the rest of
ranking.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property, lru_cache
from math import fsum, log2, log10

import numpy as np

from diagnose.chaining.compile import CompiledRules, compile_rules
from diagnose.chaining.engine import run_engine
from diagnose.chaining.trace import Chained, Run, chain
from diagnose.facts.combine import combine_facts
from diagnose.facts.model import Belief, CircumstanceFact, Evidence
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.settings import Thresholds
from diagnose.ranking.building import compile_network
from diagnose.ranking.conflict import Conflict, measure_conflict
from diagnose.ranking.counted import Counted, count_evidence
from diagnose.ranking.mentions import compile_lifts, weigh_heard
from diagnose.ranking.network import Network, list_factors
from diagnose.ranking.posterior import Posterior, compute_posterior
from diagnose.ranking.sight import find_unseen

CAUSE_NOT_LISTED = "cause_not_listed"
# Networks kept: the circumstances of a unit stay the same from one answer to the next.
REMEMBERED = 32
Factors = tuple[tuple[str, float], ...]


class Status(StrEnum):
    """What the ranking is good for."""

    RANKED = "ranked"
    ASK_FIRST = "ask_first"
    NOT_COVERED = "not_covered"


@dataclass(frozen=True)
class RankedCause:
    """One cause with its probability.

    Attributes:
        probability: P(cause present | evidence, something is wrong); 0 when ruled out.
        prior: The same before the evidence, circumstances counted.
        mode: The likeliest mode, where the cause has modes.
        ruled_out_by: Ids of the rules by which the unit cannot have this cause.
    """

    cause: str
    probability: float
    prior: float
    mode: str | None
    ruled_out_by: tuple[str, ...]


@dataclass(frozen=True)
class Ranking:
    """Everything the ranking knows of one unit.

    Attributes:
        reason: Why the unit is not covered; empty otherwise.
        causes: All listed causes, likeliest first, ties by id; ruled-out ones are 0.
        information: Bits by which the evidence moved the normalised probabilities.
        conflict_limit: Decibans of conflict above which the worst fact is named.
        beliefs: What was told, one belief an observation.
        network: The network of this unit, circumstances counted.
        prior: The posterior of no evidence, circumstances counted.
        heard: Decibans by cause by which the clauses of a text, as a whole, moved its odds.
    """

    status: Status
    reason: str
    causes: tuple[RankedCause, ...]
    information: float
    conflict_limit: float
    beliefs: tuple[Belief, ...]
    counted: Counted
    chained: Chained
    network: Network
    prior: Posterior
    posterior: Posterior
    heard: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def conflict(self) -> Conflict:
        """Measure how badly the facts fit together, when somebody asks."""
        return measure_conflict(
            self.network, self.counted.items, self.posterior.evidence, self.conflict_limit
        )


@dataclass(frozen=True)
class Prepared:
    """A rule base made ready to rank many units."""

    knowledge: Knowledge
    network: Network
    compiled: CompiledRules


def prepare_ranking(knowledge: Knowledge) -> Prepared:
    """Compile the rules and the network of a rule base once.

    Args:
        knowledge: The loaded rule base.

    Returns:
        What `rank_evidence` needs.

    Raises:
        RulesFaulty: The rules cannot be compiled.
    """
    return Prepared(knowledge, compile_network(knowledge), compile_rules(knowledge))


def rank_evidence(prepared: Prepared, evidence: Evidence, run: Run = run_engine) -> Ranking:
    """Rank the causes of one unit.

    Args:
        prepared: The rule base.
        evidence: Facts and circumstances of the unit, and what was repaired in vain.
        run: The evaluator of rules.

    Returns:
        The ranking.
    """
    evident = gather_evidence(prepared, evidence, run)
    told, prior = condition_network(prepared, evident.chained, evidence.repaired)
    network = hear_mentions(prepared, told, evidence)
    posterior = compute_posterior(network, evident.counted.items)
    thresholds = prepared.knowledge.settings.thresholds
    information = measure_information(posterior.all_causes, prior.all_causes)
    causes = _order_causes(prior, posterior, evident.chained.ruled_out)
    status = choose_status(thresholds, posterior.unlisted, causes[0].probability, information)
    return Ranking(
        status=status,
        reason=explain_status(status),
        causes=causes,
        information=information,
        conflict_limit=thresholds.conflict_decibans,
        beliefs=evident.beliefs,
        counted=evident.counted,
        chained=evident.chained,
        network=network,
        prior=prior,
        posterior=posterior,
        heard={} if network is told else measure_heard(told, network),
    )


@dataclass(frozen=True)
class Evident:
    """Everything that goes into a posterior but the network; the fields are those of Ranking."""

    beliefs: tuple[Belief, ...]
    chained: Chained
    counted: Counted


def gather_evidence(prepared: Prepared, evidence: Evidence, run: Run) -> Evident:
    """Gather what the posterior of one unit is computed from.

    Args:
        prepared: The rule base.
        evidence: Facts and circumstances of the unit, and what was repaired in vain.
        run: The evaluator of rules.

    Returns:
        The observations that count, with what led to them.
    """
    beliefs = combine_facts(evidence.facts)
    chained = _chain_seen(prepared, beliefs, evidence.circumstances, run)
    return Evident(beliefs, chained, count_evidence(prepared.knowledge, prepared.network, beliefs, chained))


def condition_network(
    prepared: Prepared, chained: Chained, repaired: Iterable[str]
) -> tuple[Network, Posterior]:
    """Give the network of one unit and its posterior of no evidence.

    Args:
        prepared: The rule base.
        chained: What the rules concluded, circumstances among it.
        repaired: Causes that were put right while the unit stayed faulty.

    Returns:
        The network with prior odds moved, and what it says before any observation.
    """
    return _condition(prepared.network, *list_all_factors(prepared, chained, repaired))


def list_all_factors(
    prepared: Prepared, chained: Chained, repaired: Iterable[str]
) -> tuple[Factors, Factors]:
    """List the factors on prior odds: what circumstances say, then what was repaired in vain.

    Args:
        prepared: The rule base.
        chained: What the rules concluded.
        repaired: Causes that were put right while the unit stayed faulty.

    Returns:
        Factors by cause, or by cause.mode, sorted, to be multiplied in turn.
    """
    shifted = tuple(sorted(list_factors(prepared.network, chained).items()))
    return shifted, tuple(sorted(_repaired(prepared, repaired).items()))


def hear_mentions(prepared: Prepared, network: Network, evidence: Evidence) -> Network:
    """Multiply the odds by what the clauses of a text seem to say.

    Args:
        prepared: The rule base.
        network: The network of this unit.
        evidence: What is known of it.

    Returns:
        The network; the same one where no text was read.
    """
    if not (evidence.mentions or evidence.likeness):
        return network
    lifts = compile_lifts(prepared.network, prepared.knowledge.mentions)
    return network.with_factors(np.exp(weigh_heard(lifts, prepared.knowledge.mentions, evidence)))


def measure_heard(before: Network, after: Network) -> dict[str, float]:
    """Measure by how many decibans the odds of each cause differ between two networks; ruled-out ones are left out."""
    sums: dict[str, tuple[float, float]] = {}
    for one, other in zip(before.alternatives, after.alternatives, strict=True):
        for cause in one.members:
            old, new = sums.get(cause, (0.0, 0.0))
            sums[cause] = (old + one.odds, new + other.odds)
    return {cause: 10 * log10(new / old) for cause, (old, new) in sums.items() if old > 0}


@lru_cache(maxsize=REMEMBERED)
def _condition(network: Network, *factors: Factors) -> tuple[Network, Posterior]:
    """Multiply prior odds by factors in turn, and give the posterior of no evidence beside the network."""
    for part in factors:
        network = network.with_odds(dict(part))
    return network, compute_posterior(network, ())


def _repaired(prepared: Prepared, repaired: Iterable[str]) -> dict[str, float]:
    """Weigh down what was put right while the unit stayed faulty: the chance that the repair failed."""
    knowledge = prepared.knowledge
    factors: dict[str, float] = {}
    for name in repaired:
        cause, _, mode = name.partition(".")
        if cause in knowledge.causes:
            failed = 1 - knowledge.remedy(cause, mode or None).success
            factors[name] = factors.get(name, 1.0) * failed
    return factors


def _chain_seen(
    prepared: Prepared,
    beliefs: Collection[Belief],
    circumstances: Collection[CircumstanceFact],
    run: Run,
) -> Chained:
    """Chain on what could have been seen: an absence that means nothing fires no rule either."""
    chained = chain(prepared.knowledge, prepared.compiled, beliefs, circumstances, run)
    unseen = find_unseen(prepared.knowledge, beliefs, chained.atoms)
    if not unseen:
        return chained
    seen = [belief for belief in beliefs if belief.observation not in unseen]
    return chain(prepared.knowledge, prepared.compiled, seen, circumstances, run)


def _order_causes(
    prior: Posterior, posterior: Posterior, ruled_out: Mapping[str, tuple[str, ...]]
) -> tuple[RankedCause, ...]:
    modes: dict[str, tuple[float, str]] = {}
    for (cause, mode), probability in sorted(posterior.modes.items(), reverse=True):
        modes[cause] = max(modes.get(cause, (-1.0, "")), (probability, mode), key=lambda pair: pair[0])
    ranked = [
        RankedCause(
            cause=cause,
            probability=probability,
            prior=prior.causes[cause],
            mode=modes[cause][1] if cause in modes else None,
            ruled_out_by=ruled_out.get(cause, ()),
        )
        for cause, probability in posterior.causes.items()
    ]
    return tuple(sorted(ranked, key=lambda r: (-r.probability, bool(r.ruled_out_by), r.cause)))


def measure_information(after: Mapping[str, float], before: Mapping[str, float]) -> float:
    """Measure how far evidence moved the causes: Kullback-Leibler divergence in bits.

    Args:
        after: Probability of each cause given the evidence; scaled here to add up to 1.
        before: The same without the evidence.

    Returns:
        Sum of after x log2(after / before); exactly 0 when nothing moved.
    """
    total_after, total_before = fsum(after.values()), fsum(before.values())
    terms = (
        p / total_after * log2((p / total_after) / (before[cause] / total_before))
        for cause, p in after.items()
        if p > 0
    )
    return max(0.0, fsum(terms))


def choose_status(thresholds: Thresholds, unlisted: float, first: float, information: float) -> Status:
    """Choose the status.

    Args:
        thresholds: The limits.
        unlisted: Probability that something not listed is wrong.
        first: Probability of the leading cause.
        information: Bits by which the evidence moved the causes.
    """
    # A listed cause may turn up by chance beside `unlisted`, so "no listed cause" alone would hardly ever fire.
    if unlisted > max(thresholds.not_covered_above, first):
        return Status.NOT_COVERED
    is_uncertain = first < thresholds.ask_first_below_probability
    if information < thresholds.ask_first_below_bits and is_uncertain:
        return Status.ASK_FIRST
    return Status.RANKED


def explain_status(status: Status) -> str:
    """Say why a unit is not covered; empty otherwise."""
    return CAUSE_NOT_LISTED if status is Status.NOT_COVERED else ""
