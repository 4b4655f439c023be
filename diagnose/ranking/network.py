"""The probability network that the ranking and the planner compute on, free of rule files.

Takes what the rule base and the chaining concluded, gives frozen records; may import chaining
and above.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, islice
from math import prod

import numpy as np
from numpy.typing import NDArray

from diagnose.chaining.trace import Chained

Floats = NDArray[np.float64]
Links = Mapping[int, float]

UNLISTED = "unlisted"


@dataclass(frozen=True)
class Alternative:
    """One way a variable can be "there": a cause, a mode of it, or two causes together.

    Attributes:
        members: Ids of the causes that are present in this alternative.
        modes: Mode of each member, aligned; empty where the member has no modes.
        odds: Prior weight against the alternative "none of this variable".
        links: Chance that this alternative alone shows an observation, by index.
        state_links: Chance that it alone brings a consequence state about, by index.
    """

    members: tuple[str, ...]
    modes: tuple[str, ...]
    odds: float
    links: Links
    state_links: Links

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Name the causes, and those that have a mode as cause.mode too."""
        return tuple(_names(self.members, self.modes))


@dataclass(frozen=True)
class Variable:
    """Alternatives that exclude each other; "none of them" has weight 1."""

    alternatives: tuple[Alternative, ...]


@dataclass(frozen=True, eq=False)
class Tables:
    """Links as dense arrays, one row for each alternative of all variables in order.

    Attributes:
        hit: Chance to show each observation.
        state_hit: Chance to bring each state about.
        state_links: Chance of each state (row) to show each observation (column).
        background: Chance that each observation shows with none of its causes.
        state_background: Chance of each state with none of its causes.
        linked: Whether anything but background shows the observation.
    """

    hit: Floats
    state_hit: Floats
    state_links: Floats
    background: Floats
    state_background: Floats
    linked: NDArray[np.bool_]

    @cached_property
    def shown_alone(self) -> Floats:
        """Chance that each alternative alone shows each observation, through its states too."""
        brought = 1 - (1 - self.state_background) * (1 - self.state_hit)
        through = 1 - brought[:, :, None] * self.state_links
        return np.asarray(1 - (1 - self.background) * (1 - self.hit) * through.prod(axis=1))


@dataclass(frozen=True, eq=False)
class Network:
    """Causes, consequence states and observations as one noisy-OR network.

    Attributes:
        groups: Indices of the observations that exclude each other, most drastic first.
        variables: Independent variables; the last one holds `unlisted` alone.
        shift_cap: Largest total shift of a cause's prior odds, in decibans.
    """

    observations: tuple[str, ...]
    states: tuple[str, ...]
    groups: tuple[tuple[int, ...], ...]
    variables: tuple[Variable, ...]
    shift_cap: float
    tables: Tables

    @cached_property
    def index(self) -> dict[str, int]:
        """Give the number of each observation."""
        return {name: number for number, name in enumerate(self.observations)}

    @cached_property
    def odds(self) -> Floats:
        """Give the prior odds of the alternatives, in the row order of the tables."""
        return np.array([a.odds for a in self.alternatives])

    @cached_property
    def rows(self) -> tuple[tuple[int, ...], ...]:
        """Give the table rows of each variable's alternatives."""
        ends = list(accumulate(len(v.alternatives) for v in self.variables))
        return tuple(map(tuple, map(range, [0, *ends], ends)))

    @cached_property
    def starts(self) -> NDArray[np.int64]:
        """Give the first table row of each variable."""
        return np.array([members[0] for members in self.rows], dtype=np.int64)

    @cached_property
    def variable_of(self) -> NDArray[np.int64]:
        """Give the variable of each table row."""
        return np.repeat(np.arange(len(self.rows)), [len(members) for members in self.rows])

    @cached_property
    def log_none(self) -> Floats:
        """Give the logarithm of 1 plus the odds of each variable: of 1 over P(it is not there)."""
        return np.log1p(np.add.reduceat(self.odds, self.starts))

    @cached_property
    def alternatives(self) -> tuple[Alternative, ...]:
        """List the alternatives of all variables, in the row order of the tables."""
        return tuple(a for variable in self.variables for a in variable.alternatives)

    def with_odds(self, factors: Mapping[str, float]) -> Network:
        """Multiply the prior odds of the named causes; the others stay bit-identical.

        Args:
            factors: Factor on the odds by cause, or by cause.mode; 0 rules it out.

        Returns:
            A network that shares all links with this one.
        """
        if not factors:
            return self
        moved = {number for name in factors for number in self._named.get(name, ())}
        variables = (_scale(v, factors) if n in moved else v for n, v in enumerate(self.variables))
        return replace(self, variables=tuple(variables))

    @cached_property
    def _named(self) -> dict[str, set[int]]:
        """Number the variables that each cause, or cause.mode, belongs to."""
        found: dict[str, set[int]] = {}
        for number, variable in enumerate(self.variables):
            for name in (name for a in variable.alternatives for name in a.names):
                found.setdefault(name, set()).add(number)
        return found

    def with_factors(self, factors: Floats) -> Network:
        """Multiply the prior odds of every alternative by its own factor.

        Args:
            factors: One factor an alternative, in the row order of the tables.

        Returns:
            A network that shares all links with this one.
        """
        pairs = zip(self.alternatives, factors.tolist(), strict=True)
        scaled = (replace(a, odds=a.odds * factor) for a, factor in pairs)
        variables = tuple(Variable(tuple(islice(scaled, len(v.alternatives)))) for v in self.variables)
        return replace(self, variables=variables)


def _scale(variable: Variable, factors: Mapping[str, float]) -> Variable:
    return Variable(
        tuple(
            replace(a, odds=a.odds * prod(factors.get(name, 1.0) for name in a.names))
            for a in variable.alternatives
        )
    )


def _names(members: Iterable[str], modes: Iterable[str]) -> Iterator[str]:
    for cause, mode in zip(members, modes, strict=True):
        yield cause
        if mode:
            yield f"{cause}.{mode}"


def list_factors(network: Network, chained: Chained) -> dict[str, float]:
    """List what the circumstances say of prior odds: shifts, and causes ruled out.

    Args:
        network: The network of the rule base.
        chained: What the rules concluded for this unit.

    Returns:
        Factors on the odds by cause, for `with_odds`.
    """
    factors = {
        cause: 10 ** (total_shift(shifts, network.shift_cap) / 10) for cause, shifts in chained.shifts.items()
    }
    return factors | dict.fromkeys(chained.ruled_out, 0.0)


def total_shift(shifts: Iterable[tuple[str, float, str]], cap: float) -> float:
    """Add up shifts: of each group the largest one only, the sum within the cap.

    Args:
        shifts: (rule id, decibans, group) of every shift that applies.
        cap: Largest sum allowed either way, in decibans.

    Returns:
        The shift of the prior odds in decibans; 0 for no shifts.
    """
    largest: dict[str, float] = {}
    for _, decibans, group in shifts:
        known = largest.get(group, 0.0)
        largest[group] = max(known, decibans, key=lambda value: (abs(value), value))
    total = sum(largest[group] for group in sorted(largest))
    return max(-cap, min(cap, total))


def build_tables(
    backgrounds: tuple[float, ...],
    state_backgrounds: tuple[float, ...],
    state_links: tuple[Links, ...],
    variables: tuple[Variable, ...],
) -> Tables:
    """Lay the links of a network out as dense arrays.

    Args:
        backgrounds: Background of each observation.
        state_backgrounds: Background of each state.
        state_links: Links of each state to observations, by index.
        variables: All variables, in the order of the network.

    Returns:
        The tables; rows follow the alternatives of the variables in order.
    """
    rows = [a for variable in variables for a in variable.alternatives]
    hit = _fill([a.links for a in rows], len(backgrounds))
    of_states = _fill(list(state_links), len(backgrounds))
    return Tables(
        hit=hit,
        state_hit=_fill([a.state_links for a in rows], len(state_backgrounds)),
        state_links=of_states,
        background=np.array(backgrounds, dtype=np.float64),
        state_background=np.array(state_backgrounds, dtype=np.float64),
        linked=np.count_nonzero(np.vstack([hit, of_states]), axis=0) > 0,
    )


def _fill(rows: list[Links], columns: int) -> Floats:
    table = np.zeros((len(rows), columns))
    for number, links in enumerate(rows):
        for column, chance in links.items():
            table[number, column] = chance
    return table
