"""The planning problem as arrays: what may be wrong, what can be looked at, what can be put right.

Takes nothing, gives frozen records that know no rule base; may import numpy only.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]


class StepKind(StrEnum):
    """What a step is."""

    INSPECTION = "inspection"
    REPAIR = "repair"
    HAND_OVER = "hand_over"
    NOTHING_TO_REACH = "nothing_to_reach"


@dataclass(frozen=True, eq=False)
class Hypotheses:
    """Sets of faulty elements, each with its probability.

    Attributes:
        elements: Names of the elements, in the order of the columns.
        members: Which element is faulty under which hypothesis; hypotheses x elements.
        weights: Probability of each hypothesis given everything known; adds up to 1.
        lost_mass: Probability of everything that was left out, before scaling to 1.
    """

    elements: tuple[str, ...]
    members: Bools
    weights: Floats
    lost_mass: float = 0.0

    def chance(self, element: int) -> float:
        """Give the probability that an element is faulty."""
        return float(self.weights @ self.members[:, element])


@dataclass(frozen=True, eq=False)
class InspectionOption:
    """One look and what it may show.

    Attributes:
        minutes: Minutes of the look itself, access apart.
        access: Index of the access state it needs.
        outcomes: P(outcome | hypothesis); outcomes x hypotheses, each column adds up to 1.
        frees: (outcome, repair) by index: the outcome makes the repair allowed.
    """

    id: str
    minutes: float
    access: int
    outcomes: Floats
    frees: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class RepairOption:
    """One repair and what it cures.

    Attributes:
        cures: Indices of the elements it puts right.
        minutes: Minutes of the repair itself, access apart.
        access: Index of the access state it needs.
        success: Probability that one try cures an element that is faulty.
        minutes_to_know: Minutes until it shows whether the unit works.
        allowed: False while its conditions do not hold: never the next step, and
            dearer by `minutes_to_allow` later in a plan.
        minutes_to_allow: Minutes of finding out whether its conditions hold.
        needs_probability: Never the next step while its elements are less probable than this.
        in_reach: False where it cannot be reached today: ranked like the others, so that the
            plan can say that it waits for access.
        roots: Elements that bring about what it cures: never the next step while one of them
            is still there with `root_probability` or more.
        rank: Of several repairs needed together the one of the lowest rank comes first.
    """

    id: str
    cures: tuple[int, ...]
    minutes: float
    access: int
    success: float = 0.95
    minutes_to_know: float = 0.0
    allowed: bool = True
    minutes_to_allow: float = 0.0
    needs_probability: float = 0.0
    roots: tuple[int, ...] = ()
    root_probability: float = 1.0
    rank: int = 0
    in_reach: bool = True

    @property
    def cost(self) -> float:
        """Minutes of the repair and of seeing whether it worked."""
        return self.minutes + self.minutes_to_know


@dataclass(frozen=True, eq=False)
class Problem:
    """Everything the planner weighs.

    Attributes:
        moves: Minutes from one access state to another; infinite where there is no way.
        at: Index of the access state the unit is in.
        home: Index of the access state it must be left in.
        hand_over: Minutes of handing the unit over with the fault still there.
        burdens: Minutes that others then need to put each element right; none where left empty.
        tried: Repairs (by index) already done without success.
    """

    hypotheses: Hypotheses
    inspections: tuple[InspectionOption, ...]
    repairs: tuple[RepairOption, ...]
    moves: Floats
    at: int
    home: int
    hand_over: float
    burdens: tuple[float, ...] = ()
    tried: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Effort:
    """How far the planner looks.

    Attributes:
        shortlist: Inspections that are followed two steps ahead.
        repairs: Repairs that are weighed as the first step.
        sets: Most hypotheses to follow.
    """

    shortlist: int = 8
    repairs: int = 4
    sets: int = 60
