"""Two-layer noisy-OR networks from plain tables, and QuickScore on them in 400-bit integers."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from diagnose.ranking.network import UNLISTED, Alternative, Network, Variable, build_tables

BITS = 400
ONE = 1 << BITS


def make_two_layer(
    sets: Sequence[Sequence[tuple[float, dict[int, float]]]], leaks: Sequence[float], unlisted: float = 0.0
) -> Network:
    """Make a network of exclusive sets; a cause is (odds, links), named c0, c1, ... in order.

    Args:
        sets: Causes that exclude each other, set by set.
        leaks: Background of each observation o0, o1, ...
        unlisted: Odds of the cause that is not listed; it has no links here.
    """
    variables, number = [], 0
    for members in sets:
        names = [f"c{number + i}" for i in range(len(members))]
        number += len(members)
        variables.append(
            Variable(
                tuple(
                    Alternative((name,), ("",), odds, links, {})
                    for name, (odds, links) in zip(names, members, strict=True)
                )
            )
        )
    variables.append(Variable((Alternative((UNLISTED,), ("",), unlisted, {}, {}),)))
    tables = build_tables(tuple(leaks), (), (), tuple(variables))
    observations = tuple(f"o{i}" for i in range(len(leaks)))
    return Network(observations, (), (), tuple(variables), 20.0, tables)


def odds_of(probability: float) -> float:
    """Give the odds of a probability."""
    return probability / (1 - probability)


def _fixed(value: float) -> int:
    """Write a float as an integer of 400 binary places; every float above 1e-60 fits exactly."""
    return int(Fraction(value) * ONE)


def quick_score(
    network: Network, present: Sequence[int], absent: Sequence[int], chosen: Sequence[str]
) -> list[Fraction]:
    """Give P(evidence, D) and P(evidence, cause) of chosen causes by the alternating sum, exactly.

    QuickScore: Heckerman, "A tractable inference algorithm for diagnosing multiple diseases"
    (UAI 1989): a sum over all subsets of the present observations, with alternating signs. In
    400-bit integers its cancellation costs nothing that matters.

    Returns:
        P(evidence, D), then one figure for each chosen cause.
    """
    kept = [_kept_dark(network, row, present, absent) for row in range(len(network.alternatives))]
    odds = [_fixed(a.odds) for a in network.alternatives]
    leak = _dark_by_leak(network, present, absent)
    totals = [0] * (1 + len(chosen))
    none = 0
    for subset in range(1 << len(present)):
        sign = -1 if subset.bit_count() % 2 else 1
        brackets, shares = [], []
        for rows, variable in zip(network.rows, network.variables, strict=True):
            parts = [odds[row] * kept[row][subset] >> BITS for row in rows]
            brackets.append(ONE + sum(parts))
            shares += [
                (a.members[0], part, len(brackets) - 1)
                for a, part in zip(variable.alternatives, parts, strict=True)
            ]
        whole = leak[subset]
        none += sign * whole
        for bracket in brackets:
            whole = whole * bracket >> BITS
        totals[0] += sign * whole
        for place, cause in enumerate(chosen, start=1):
            totals[place] += sign * sum(
                whole * part // brackets[v] for name, part, v in shares if name == cause
            )
    totals[0] -= none
    normal = Fraction(1)
    for variable in network.variables:
        normal *= 1 + sum(Fraction(a.odds) for a in variable.alternatives)
    return [Fraction(total, ONE) / normal for total in totals]


def _products(factors: Sequence[int], first: int) -> list[int]:
    """Multiply out the factors of every subset."""
    products = [first]
    for factor in factors:
        products += [p * factor >> BITS for p in products]
    return products


def _kept_dark(network: Network, row: int, present: Sequence[int], absent: Sequence[int]) -> list[int]:
    links = network.alternatives[row].links
    start = ONE
    for o in absent:
        start = start * (ONE - _fixed(links.get(o, 0.0))) >> BITS
    return _products([ONE - _fixed(links.get(o, 0.0)) for o in present], start)


def _dark_by_leak(network: Network, present: Sequence[int], absent: Sequence[int]) -> list[int]:
    leaks = [_fixed(float(leak)) for leak in network.tables.background]
    start = ONE
    for o in absent:
        start = start * (ONE - leaks[o]) >> BITS
    return _products([ONE - leaks[o] for o in present], start)
