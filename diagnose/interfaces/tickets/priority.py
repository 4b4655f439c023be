"""How soon a ticket wants action: from what each leading cause allows a unit in service.

Takes causes with their probabilities, gives a level and why; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.base import Knowledge

LEVELS = ("now", "next_shift", "next_outage", "monitor")
# Common practice, no source: one chance in three of the worse verdict is enough to act on it.
ENOUGH = 1 / 3
_NAMED = 3


def choose_priority(knowledge: Knowledge, causes: Sequence[tuple[str, float]]) -> tuple[str, str]:
    """Choose the most urgent level that holds, with those above it, a third of the weight of the causes.

    Args:
        knowledge: Gives each cause's in-service verdict.
        causes: The leading causes with their probabilities, likeliest first.

    Returns:
        The level, and why in one clause.
    """
    total = sum(probability for _, probability in causes)
    weighed = [(LEVELS.index(_verdict(knowledge, cause)), cause, p / total) for cause, p in causes]
    shares = [sum(share for level, _, share in weighed if level <= place) for place in range(len(LEVELS))]
    chosen = next((place for place, share in enumerate(shares) if share >= ENOUGH), len(LEVELS) - 1)
    behind = [f"{cause} ({LEVELS[level]})" for level, cause, _ in weighed if level <= chosen][:_NAMED]
    urgency = "wants it" if chosen == 0 else "wants it or sooner"
    return LEVELS[chosen], f"{shares[chosen]:.0%} of the weight {urgency}: {', '.join(behind)}"


def _verdict(knowledge: Knowledge, cause: str) -> str:
    return knowledge.causes[cause].in_service.verdict
