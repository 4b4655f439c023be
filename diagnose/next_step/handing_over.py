"""When a call is ended by handing the unit over, and when looking on goes first.

Takes ranked steps, gives them in the order of choice; may import planner and problem.
"""

from __future__ import annotations

from diagnose.next_step.planner import RankedStep
from diagnose.next_step.problem import StepKind

# Handing over must save this much against going on: estimate, common practice, no source.
HAND_OVER_MARGIN = 1.1
# A look that leaves more than this of the minutes tells next to nothing: estimate, common practice, no source.
WORTH_A_LOOK = 0.97


def prefer_working(ranked: tuple[RankedStep, ...]) -> tuple[RankedStep, ...]:
    """Put a look that tells something before handing over unless handing over is clearly cheaper.

    The minutes are estimates: a call is not ended for a difference that they cannot show. A look
    tells something where it saves a part of the minutes of repairing without it.

    Args:
        ranked: Possible steps, best first.
    """
    first = ranked[0]
    if first.kind is not StepKind.HAND_OVER:
        return ranked
    repair = next((s.minutes for s in ranked if s.kind is StepKind.REPAIR), 0.0)
    enough = min(first.minutes * HAND_OVER_MARGIN, repair * WORTH_A_LOOK)
    look = next((s for s in ranked if s.kind is StepKind.INSPECTION and s.minutes <= enough), None)
    return ranked if look is None else (look, *(step for step in ranked if step is not look))
