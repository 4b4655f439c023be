"""How soon a ticket wants action: what each leading cause allows a unit in service, and what the words say.

Takes causes with their probabilities and words of urgency, gives a level and why; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import Urgency

LEVELS = ("now", "next_shift", "next_outage", "monitor")
_CALLS = (
    "call for action now",
    "call for action by the next shift or sooner",
    "call for action by the next outage or sooner",
    "call for watching or more",
)
# Common practice, no source: one chance in three of the worse verdict is enough to act on it.
ENOUGH = 1 / 3
# Words that make a ticket wait for nothing, whatever its cause.
AT_ONCE: dict[Urgency, str] = {"person_at_risk": "a person at risk", "process_down": "a process that is down"}
# A repeat alone brings a ticket one level forward, and no further than this.
SOONEST_OF_REPEATS = LEVELS.index("next_shift")
_NAMED = 3


@dataclass(frozen=True)
class Priority:
    """How soon a ticket wants action, and why in a clause or a few; no level where nothing tells one."""

    level: str | None
    why: str


def choose_priority(knowledge: Knowledge, causes: Sequence[tuple[str, float]]) -> Priority:
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
    behind = [
        f"{cause} ({LEVELS[level].replace('_', ' ')})" for level, cause, _ in weighed if level <= chosen
    ]
    urgency = f"{shares[chosen]:.0%} of the chances {_CALLS[chosen]}"
    return Priority(LEVELS[chosen], f"{urgency}: {', '.join(behind[:_NAMED])}")


def raise_priority(priority: Priority, urgent: Mapping[str, str], earlier: str = "") -> Priority:
    """Bring a ticket forward for what its words say and for a trouble that was there before.

    Args:
        priority: What its causes allow.
        urgent: Words of urgency by kind, as read from the ticket.
        earlier: The earlier ticket of the same trouble, or empty.

    Returns:
        `now` for a person at risk or a process that is down; one level sooner for a repeat.
    """
    told = [f"words of {meaning}: {urgent[kind]!r}" for kind, meaning in AT_ONCE.items() if kind in urgent]
    if told:
        return Priority(LEVELS[0], "; ".join([*told, priority.why]))
    repeat = earlier or (f"words of a repeat: {urgent['repeated']!r}" if "repeated" in urgent else "")
    if not repeat or priority.level is None:
        return priority
    place = LEVELS.index(priority.level)
    sooner = min(place, max(SOONEST_OF_REPEATS, place - 1))
    return Priority(LEVELS[sooner], f"{repeat}; {priority.why}")


def _verdict(knowledge: Knowledge, cause: str) -> str:
    return knowledge.causes[cause].in_service.verdict
