"""What must be told apart: causes, and the modes of a cause that have remedies of their own.

Takes knowledge and its network, gives faces with what each shows alone; may import the network.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

import numpy as np

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.supports import list_shown
from diagnose.knowledge.words import Condition
from diagnose.next_step.problem import Bools, Floats
from diagnose.ranking.network import Network


@dataclass(frozen=True)
class Face:
    """A cause as far as one remedy serves it: all of it, or some of its modes."""

    cause: str
    modes: tuple[str, ...]
    is_whole: bool

    @property
    def name(self) -> str:
        """Name the face as `cause`, or `cause.mode` where it is one of several."""
        return self.cause if self.is_whole else f"{self.cause}.{self.modes[0]}"


@dataclass(frozen=True, eq=False)
class Faces:
    """All faces of a rule base.

    Attributes:
        faces: The faces in order of name.
        rows: Rows of the network's tables, those of one cause alone.
        mix: Weight of each row in each face; faces x rows.
        owns: Whether a face's cause is the only one that shows an observation; faces x observations.
        unseen: Chance that "not seen" means nothing under a face; faces x observations.
        same_cause: Whether two faces are of one cause; faces x faces.
    """

    faces: tuple[Face, ...]
    rows: tuple[int, ...]
    mix: Floats
    owns: Bools
    unseen: Floats
    same_cause: Bools


def list_faces(knowledge: Knowledge, network: Network) -> Faces:
    """List what must be told apart.

    Args:
        knowledge: The rule base.
        network: Its network, priors as for a unit of which nothing is known.
    """
    faces = tuple(sorted(_list_faces(knowledge), key=lambda face: face.name))
    rows = tuple(
        n
        for n, a in enumerate(network.alternatives)
        if len(a.members) == 1 and a.members[0] in knowledge.causes
    )
    mix = np.array([_mix(network, rows, face) for face in faces])
    causes = np.array([face.cause for face in faces])
    shown = mix @ network.tables.shown_alone[list(rows)]
    return Faces(
        faces,
        rows,
        mix,
        _find_owned(knowledge, network, causes.tolist()),
        _measure_unseen(knowledge, network, shown),
        causes[:, None] == causes[None],
    )


def _list_faces(knowledge: Knowledge) -> Iterator[Face]:
    for name, cause in knowledge.causes.items():
        own = [mode for mode, record in cause.modes.items() if record.remedy]
        shared = tuple(mode for mode in cause.modes if mode not in own)
        if not own:
            yield Face(name, shared, is_whole=True)
            continue
        yield from (Face(name, (mode,), is_whole=len(cause.modes) == 1) for mode in own)
        if shared:
            yield Face(name, shared, is_whole=False)


def _mix(network: Network, rows: tuple[int, ...], face: Face) -> Floats:
    """Weigh the rows of a face by their prior odds."""
    weights = [
        a.odds if a.members[0] == face.cause and (not face.modes or a.modes[0] in face.modes) else 0.0
        for a in (network.alternatives[row] for row in rows)
    ]
    return np.array(weights) / sum(weights)


def _find_owned(knowledge: Knowledge, network: Network, causes: list[str]) -> Bools:
    """Find the observations that one cause alone shows: to look for them is to look whether it is that cause."""
    showing: dict[str, list[str]] = {}
    for cause in knowledge.causes:
        for observation in list_shown(knowledge, cause):
            showing.setdefault(observation, []).append(cause)
    return np.array([[showing.get(o) == [cause] for o in network.observations] for cause in causes])


def _measure_unseen(knowledge: Knowledge, network: Network, shown: Floats) -> Floats:
    """Measure how often an absence means nothing: first by what is there, then by what is seen not to be."""
    there = _measure_failing(knowledge, network, _Seen(network, shown, np.zeros(shown.shape)))
    return _measure_failing(knowledge, network, _Seen(network, shown, (1 - shown) * (1 - there)))


class _Seen:
    """Chance of each atom under each face."""

    def __init__(self, network: Network, present: Floats, absent: Floats) -> None:
        self._column = {o: n for n, o in enumerate(network.observations)}
        self._of_state = {"present": present, "absent": absent}
        self.count = len(present)

    def chance(self, condition: Condition) -> Floats | float:
        """Give the chance that a condition holds; 0 for what is known of the unit beforehand."""
        if condition.atom is not None:
            name, state = condition.atom.name, condition.atom.value
            return self._of_state[state][:, self._column[name]] if name in self._column else 0.0
        together: Floats | float = 1.0
        for part in condition.all:
            together = together * self.chance(part)
        parts = [self.chance(part) for part in (*condition.any, *condition.of)]
        # what makes one part hold mostly makes the others hold as well, so the likeliest stands for all
        return together * reduce(np.maximum, parts) if parts else together


def _measure_failing(knowledge: Knowledge, network: Network, seen: _Seen) -> Floats:
    """Give the chance, under each face, that a sight condition of each observation fails."""
    none = np.zeros(seen.count)
    fails = {
        name: reduce(np.maximum, (seen.chance(part) for part in condition.fails_when), none)
        for name, condition in knowledge.conditions.items()
    }
    of_observations = [
        reduce(np.maximum, (fails[n] for n in knowledge.observations[o].seen_only_if), none)
        for o in network.observations
    ]
    return np.array(of_observations).T
