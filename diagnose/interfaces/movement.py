"""Where the ranking stands and how an answer moved it, one line a cause.

Takes rankings, gives lines; may import explanation and above.
"""

from __future__ import annotations

from diagnose.explanation.text import WIDTH, percent, shorten
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.rank import RankedCause, Ranking, Status

STAYS = "The ranking stays as it was."
_SHOWN_MOVED = 3
_SHOWN_RANKED = 5
# a smaller change would print as the same per cent
_MOVED = 0.005
_STATUS = {
    Status.RANKED: "",
    Status.ASK_FIRST: " Too little is known to rank on yet.",
    Status.NOT_COVERED: " No listed cause fits well enough.",
}


def tell_movement(knowledge: Knowledge, before: Ranking, after: Ranking) -> tuple[str, ...]:
    """Say how the first causes moved, or that they did not."""
    was = {ranked.cause: ranked.probability for ranked in before.causes}
    first = _list_possible(after)[:_SHOWN_MOVED]
    if all(abs(ranked.probability - was[ranked.cause]) < _MOVED for ranked in first):
        return (STAYS,)
    return tuple(
        f"{percent(was[ranked.cause]):>6} -> {percent(ranked.probability):>5}  {_say(knowledge, ranked, 17)}"
        for ranked in first
    )


def tell_ranking(knowledge: Knowledge, ranking: Ranking) -> tuple[str, ...]:
    """Say where the first causes stand, one line each, and that they do not add up."""
    lines = [
        f"{percent(ranked.probability):>6}  {_say(knowledge, ranked, 8)}"
        for ranked in _list_possible(ranking)[:_SHOWN_RANKED]
    ]
    unlisted = f"{percent(ranking.posterior.unlisted):>6}  something not listed"
    hidden = max(0, len(_list_possible(ranking)) - _SHOWN_RANKED)
    note = f"{hidden} less likely causes hidden. Causes can be present together: no sum of 100 %."
    return (*lines, unlisted, f"{note}{_STATUS[ranking.status]}")


def _list_possible(ranking: Ranking) -> list[RankedCause]:
    return [ranked for ranked in ranking.causes if not ranked.ruled_out_by]


def _say(knowledge: Knowledge, ranked: RankedCause, used: int) -> str:
    return shorten(f"{ranked.cause}: {knowledge.causes[ranked.cause].says}", WIDTH - used)
