"""Time of one posterior by number of bits, and of one whole diagnosis over the shipped rule base.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_posterior.py
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from ranking_networks import draw_network, make_items

from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.conflict import measure_conflict
from diagnose.ranking.posterior import compute_posterior
from diagnose.ranking.rank import Prepared, prepare_ranking, rank_evidence
from diagnose.ranking.weights import weigh_observations


def time_best(work: Callable[[], object], rounds: int = 7) -> float:
    """Give the best time of several rounds, in milliseconds."""
    best = float("inf")
    for _ in range(rounds):
        start = perf_counter()
        work()
        best = min(best, perf_counter() - start)
    return best * 1e3


def print_by_bits(title: str, density: float) -> None:
    """Print the time of one posterior with 8 absent observations for each number of bits."""
    network = draw_network(1, variables=48, observations=40, states=0, density=density)
    print(f"{title}: {len(network.alternatives)} alternatives, {density:.0%} linked, 8 absent")
    for bits in (0, 2, 4, 6, 8, 10, 12, 14, 16):
        pairs = {f"o{i}": (1.0, 0.0) if i < bits else (0.0, 1.0) for i in range(bits + 8)}
        items = make_items(pairs)
        print(f"  {bits:2d} bits {time_best(lambda items=items: compute_posterior(network, items)):8.2f} ms")


def print_weights() -> None:
    """Print the time of weights for four causes and ten observations, and of the conflict measure."""
    network = draw_network(1, variables=48, observations=40, states=0, density=0.4)
    causes = sorted(compute_posterior(network, ()).causes)[:4]
    for present in (4, 6, 8, 10):
        items = make_items({f"o{i}": (1.0, 0.0) if i < present else (0.0, 1.0) for i in range(10)})
        evidence = compute_posterior(network, items).evidence
        weights = time_best(lambda items=items: weigh_observations(network, items, causes))
        conflict = time_best(lambda items=items, e=evidence: measure_conflict(network, items, e, 1e9))
        print(f"  10 items, {present:2d} present: weights {weights:6.2f} ms, conflict {conflict:6.2f} ms")


def print_diagnosis(prepared: Prepared) -> None:
    """Print the time of a whole ranking, rules included, over the shipped rule base."""
    names = [o for o, record in prepared.knowledge.observations.items() if not record.derived]
    origin = Origin(OriginKind.ANSWER)
    for present, absent in ((1, 0), (3, 2), (5, 5), (8, 8)):
        facts = [Fact(o, State.PRESENT, origin, (1.0, 0.0)) for o in names[5 : 5 + 9 * present : 9]]
        facts += [Fact(o, State.ABSENT, origin, (0.0, 1.0)) for o in names[9 : 9 + 9 * absent : 9]]
        evidence = Evidence(tuple(facts))
        print(
            f"  {present} present, {absent} absent: {time_best(lambda e=evidence: rank_evidence(prepared, e)):6.2f} ms"
        )


if __name__ == "__main__":
    print_by_bits("densely linked", 0.4)
    print_by_bits("linked as the shipped base", 0.1)
    print("weights for four causes")
    print_weights()
    print("whole ranking over the shipped base, rule engine and conflict included")
    print_diagnosis(prepare_ranking(load_knowledge(rules_directory())))
