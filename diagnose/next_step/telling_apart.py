"""How well looks tell every two causes apart: expected weight of evidence each way, in decibans.

Takes knowledge and its network, gives one verdict a pair; may import the network and sight.

P(outcome | only a) is exact: leaks counted, consequence states summed over, members of a group one variable,
other observations independent given the states. Derived observations take no part: what they rest on does.
An absence that could not have been seen under the cause that is there counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.acting import Inspection
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.faces import Faces, list_faces
from diagnose.next_step.options import is_live
from diagnose.next_step.unit_kinds import UnitKinds, list_unit_kinds
from diagnose.ranking.network import Floats, Network

# Statement of the reasoning: ten decibans in the mean, five each way.
NEEDED_MEAN = 10.0
NEEDED_EACH_WAY = 5.0
# Looks tried two at a time for a pair that no single look tells apart.
TRIED_TOGETHER = 24
# One look more costs as much as a table of all pairs; beyond this a rule base is refused.
MOST_FACES = 400
_LEAST = 1e-12

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Verdict:
    """What tells two faces apart best, on the kind of unit where that is hardest.

    Attributes:
        looks: The best look, or the two whose weights add, or none.
        there: Expected decibans for the first face when it is there.
        back: Expected decibans for the second face when that is there.
        dead: Score of the best look that needs no live measurement.
        access: Access state of each look.
    """

    first: str
    second: str
    looks: tuple[str, ...]
    there: float
    back: float
    dead: float
    access: tuple[str, ...]

    @property
    def mean(self) -> float:
        """Give the mean of both ways, in decibans."""
        return (self.there + self.back) / 2

    @property
    def passes(self) -> bool:
        """Tell whether the pair is told apart."""
        return score(self.there, self.back) >= NEEDED_MEAN

    @property
    def needs_live(self) -> bool:
        """Tell whether only a live measurement tells the pair apart by one look."""
        return len(self.looks) == 1 and self.passes and self.dead < NEEDED_MEAN


def score(there: float, back: float) -> float:
    """Give one figure that reaches ten where the mean reaches ten and each way five decibans."""
    return float(_score(np.array(there), np.array(back)))


def _score(there: Floats, back: Floats) -> Floats:
    least = np.minimum(there, back) * (NEEDED_MEAN / NEEDED_EACH_WAY)
    return np.asarray(np.minimum((there + back) / 2, least))


@dataclass(frozen=True, eq=False)
class _Weights:
    """Expected decibans of every look for every pair, and which looks add up.

    Attributes:
        there: Decibans for the first face when it is there; looks x faces x faces.
        adds: Whether two looks rest on nothing in common; looks x looks.
    """

    there: Floats
    adds: NDArray[np.bool_]

    def both_ways(self, looks: Ints, a: int, b: int) -> tuple[Floats, Floats]:
        """Give the decibans of some looks for one pair, each way."""
        return self.there[looks, a, b], self.there[looks, b, a]


@dataclass(frozen=True, eq=False)
class PairTable:
    """Every pair of faces that a unit can have, and what each observation alone separates.

    Attributes:
        verdicts: One verdict a pair.
        separated: How many pairs, of modes too, each observation is expected to move by five decibans.
    """

    verdicts: tuple[Verdict, ...]
    separated: Mapping[str, int]


class TooManyFacesError(ValueError):
    """The rule base has more causes than can be compared pair by pair."""


def weigh_pairs(knowledge: Knowledge, network: Network) -> PairTable:
    """Find for every pair of causes what tells them apart best.

    Args:
        knowledge: The rule base.
        network: Its network.

    Raises:
        TooManyFacesError: More than the limit.
    """
    faces = list_faces(knowledge, network)
    if len(faces.faces) > MOST_FACES:
        raise TooManyFacesError(f"{len(faces.faces)} causes and modes; at most {MOST_FACES} are compared")
    looks = knowledge.looks
    kinds = list_unit_kinds(knowledge, [face.cause for face in faces.faces], looks)
    weights = _weigh_looks(knowledge, network, faces, looks)
    verdicts = _judge(knowledge, faces, looks, kinds, weights)
    return PairTable(tuple(verdicts), _count_separated(network, faces, kinds))


def _count_separated(network: Network, faces: Faces, kinds: UnitKinds) -> dict[str, int]:
    """Count the pairs, each mode by itself, that an observation is expected to move when one of them is there."""
    shown = network.tables.shown_alone[list(faces.rows)]
    causes = [face.cause for face in faces.faces]
    of_rows = [causes.index(network.alternatives[row].members[0]) for row in faces.rows]
    possible = np.triu(_ever(kinds)[np.ix_(of_rows, of_rows)], 1)
    counts = {}
    for column, name in enumerate(network.observations):
        there = _diverge(np.array([shown[:, column], 1 - shown[:, column]]), np.eye(2))
        counts[name] = int(np.count_nonzero((np.maximum(there, there.T) >= NEEDED_EACH_WAY) & possible))
    return counts


def _ever(kinds: UnitKinds) -> NDArray[np.bool_]:
    """Tell which pairs any kind of unit can have."""
    return np.asarray(kinds.pairs.any(axis=0), dtype=np.bool_)


def _diverge(chances: Floats, merged: Floats) -> Floats:
    """Give the expected decibans for each column against each other, when the first is there.

    Args:
        chances: P(outcome | column); outcomes x columns.
        merged: For each outcome, the outcomes that what is then known cannot part from it.
    """
    logs = 10 * np.log10(np.maximum(merged @ chances, _LEAST))
    own = (chances * logs).sum(axis=0)
    return np.asarray(own[:, None] - chances.T @ logs)


def _weigh_looks(
    knowledge: Knowledge, network: Network, faces: Faces, looks: Mapping[str, Inspection]
) -> _Weights:
    count = len(faces.faces)
    there = np.zeros((len(looks), count, count))
    touched = np.zeros((len(looks), len(network.observations) + len(network.states)), dtype=np.int64)
    for number, look in enumerate(looks.values()):
        there[number] = _weigh_look(knowledge, network, faces, look.reveals)
        seen, states = _list_touched(knowledge, network, look.reveals)
        touched[number, seen] = 1
        touched[number, [len(network.observations) + s for s in states]] = 1
    return _Weights(there, touched @ touched.T == 0)


def _weigh_look(knowledge: Knowledge, network: Network, faces: Faces, reveals: tuple[str, ...]) -> Floats:
    """Weigh one look for every pair, without what only one cause of the pair shows at all."""
    column = {o: n for n, o in enumerate(network.observations)}
    places = [column[o] for o in reveals]
    bits = 1 << np.arange(len(places))
    owned, unseen = faces.owns[:, places] @ bits, faces.unseen[:, places]
    left_out = np.where(faces.same_cause, 0, owned[:, None] | owned[None])
    found = np.zeros(left_out.shape)
    for pattern in np.unique(left_out):
        kept = tuple(o for bit, o in zip(bits, reveals, strict=True) if not pattern & bit)
        chances = list_chances(knowledge, network, kept)[:, list(faces.rows)] @ faces.mix.T
        for dark in product((False, True), repeat=len(reveals)):
            weight = _weigh_dark(unseen, np.array(dark))
            if weight.any():
                names = frozenset(o for o, is_dark in zip(reveals, dark, strict=True) if is_dark)
                there = _diverge(chances, _merge_unseen(knowledge, kept, names))
                found += np.where(left_out == pattern, weight[:, None] * there, 0.0)
    return found


def _weigh_dark(unseen: Floats, dark: NDArray[np.bool_]) -> Floats:
    """Give the chance that just these absences mean nothing; what hides one hides all that is hidden as often."""
    hidden = unseen[:, dark].min(axis=1, initial=1.0)
    return np.asarray(np.maximum(hidden - unseen[:, ~dark].max(axis=1, initial=0.0), 0.0))


def _merge_unseen(knowledge: Knowledge, reveals: tuple[str, ...], dark: frozenset[str]) -> Floats:
    """Say which outcomes cannot be parted where the absence of some observations means nothing."""
    merged: Floats = np.ones((1, 1))
    for _, members in list_variables(knowledge, reveals):
        of_variable = np.eye(len(members) + 1)
        of_variable[-1, :-1] = [member in dark for member in members]
        merged = np.asarray(np.kron(merged, of_variable))
    return merged


def _list_touched(
    knowledge: Knowledge, network: Network, reveals: Iterable[str]
) -> tuple[list[int], list[int]]:
    """List what a look rests on: its observations with their groups, and the states that show them."""
    names = {member for o in reveals for member in knowledge.group_of(o) or (o,)}
    seen = [n for n, o in enumerate(network.observations) if o in names]
    states = np.flatnonzero(network.tables.state_links[:, seen].any(axis=1)).tolist()
    return seen, states


def list_chances(knowledge: Knowledge, network: Network, reveals: tuple[str, ...]) -> Floats:
    """Give P(outcome | alternative alone) of looking at some observations; outcomes x alternatives.

    Args:
        knowledge: The groups.
        network: The network.
        reveals: Plain observations; members of one group are one variable, the first that shows counts.

    Returns:
        Chances that add up to 1 for every alternative, states summed over.
    """
    tables = network.tables
    _, states = _list_touched(knowledge, network, reveals)
    brought = 1 - (1 - tables.state_background[states]) * (1 - tables.state_hit[:, states])
    dark = (1 - tables.background) * (1 - tables.hit)
    total: Floats | float = 0.0
    for on in product((False, True), repeat=len(states)):
        weight = np.where(on, brought, 1 - brought).prod(axis=1)
        lit = [s for s, is_on in zip(states, on, strict=True) if is_on]
        shown = 1 - dark * (1 - tables.state_links[lit]).prod(axis=0)
        total = total + weight * _cross(knowledge, network, reveals, shown)
    return np.asarray(total)


def list_variables(knowledge: Knowledge, reveals: tuple[str, ...]) -> list[tuple[tuple[str, ...], list[str]]]:
    """List what a look reveals as independent variables.

    Returns:
        For each variable the whole group, most drastic first, and the members looked at.
    """
    orders = dict.fromkeys(knowledge.group_of(name) or (name,) for name in reveals)
    return [(order, [member for member in order if member in reveals]) for order in orders]


def _cross(knowledge: Knowledge, network: Network, reveals: tuple[str, ...], shown: Floats) -> Floats:
    """Give P(outcome | alternative, states) of independent variables; outcomes x alternatives."""
    column = {o: n for n, o in enumerate(network.observations)}
    joint = np.ones((1, len(shown)))
    for order, members in list_variables(knowledge, reveals):
        before = np.ones(len(shown))
        first = {}
        for member in order:
            chance = shown[:, column[member]]
            first[member] = before * chance
            before = before * (1 - chance)
        seen = np.array([first[member] for member in members])
        variable = np.vstack((seen, 1 - seen.sum(axis=0)))
        joint = (joint[:, None] * variable[None]).reshape(-1, len(shown))
    return joint


def _judge(
    knowledge: Knowledge,
    faces: Faces,
    looks: Mapping[str, Inspection],
    kinds: UnitKinds,
    weights: _Weights,
) -> Iterable[Verdict]:
    """Judge every possible pair on the kind of unit where it is hardest to tell apart."""
    names = list(looks)
    scores = _score(weights.there, weights.there.transpose(0, 2, 1))
    dead = np.array([not is_live(knowledge, look) for look in looks.values()])
    best = np.array([scores[mask].max(axis=0) for mask in kinds.looks])
    best_dead = np.array([scores[mask & dead].max(axis=0, initial=0.0) for mask in kinds.looks])
    for a, b in np.argwhere(np.triu(_ever(kinds), 1)).tolist():
        where = np.flatnonzero(kinds.pairs[:, a, b])
        hard = where[best[where, a, b] < NEEDED_MEAN]
        tried = hard if len(hard) else where[[np.argmin(best[where, a, b])]]
        choices = {_choose_looks(weights, scores[:, a, b], kinds.looks[kind], (a, b)) for kind in tried}
        sums = [(_sum(weights, looks, a, b), looks) for looks in sorted(choices)]
        (there, back), chosen = min(sums, key=lambda found: score(*found[0]))
        yield Verdict(
            first=faces.faces[a].name,
            second=faces.faces[b].name,
            looks=tuple(names[look] for look in chosen),
            there=there,
            back=back,
            dead=float(best_dead[where, a, b].min()),
            access=tuple(looks[names[look]].access for look in chosen),
        )


def _sum(weights: _Weights, looks: tuple[int, ...], a: int, b: int) -> tuple[float, float]:
    there, back = weights.both_ways(np.array(looks, dtype=np.int64), a, b)
    return float(there.sum()), float(back.sum())


def _choose_looks(
    weights: _Weights, scores: Floats, allowed: NDArray[np.bool_], pair: tuple[int, int]
) -> tuple[int, ...]:
    """Choose the best look, or where it is not enough the best two that rest on nothing in common."""
    single = int(np.argmax(np.where(allowed, scores, -1.0)))
    if scores[single] >= NEEDED_MEAN:
        return (single,)
    looks = np.flatnonzero(allowed)
    there, back = weights.both_ways(looks, *pair)
    tried = looks[np.argsort(-(there + back), kind="stable")[:TRIED_TOGETHER]]
    there, back = weights.both_ways(tried, *pair)
    both = _score(there[:, None] + there[None], back[:, None] + back[None])
    both = np.where(weights.adds[np.ix_(tried, tried)], both, -1.0)
    one, other = np.unravel_index(int(np.argmax(both)), both.shape)
    if both[one, other] <= scores[single]:
        return (single,)
    return tuple(sorted((int(tried[one]), int(tried[other]))))
