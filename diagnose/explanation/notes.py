"""Notes on the evidence itself: contradictions, facts that do not fit, facts that could not count.

Takes a ranking and the next step, gives sentences; may import ranking and above.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NextStep
from diagnose.ranking.counted import NoCount, NotCounted
from diagnose.ranking.rank import Ranking

_SEVERAL_FAULTS = 0.1


def collect_notes(knowledge: Knowledge, ranking: Ranking, step: NextStep) -> Iterator[str]:
    """Say what the reader must know of the evidence before trusting the ranking."""
    for belief in ranking.beliefs:
        if belief.contradicted:
            question = knowledge.observations[belief.observation].question
            yield f"Told both ways, ask again first: {question}"
    yield from _not_fitting(knowledge, ranking)
    for note in ranking.counted.not_counted:
        yield from _say_not_counted(knowledge, note)
    for belief in ranking.beliefs:
        yield from (fact.origin.words for fact in belief.facts if "too near to call" in fact.origin.words)
    if step.why.lost_mass > _SEVERAL_FAULTS:
        yield "Several faults are likely; the plan looks at the likeliest sets of causes only."


def _not_fitting(knowledge: Knowledge, ranking: Ranking) -> Iterator[str]:
    conflict = ranking.conflict
    if conflict.worst:
        says = knowledge.observations[conflict.worst].says
        yield (
            f"These facts do not fit together ({conflict.decibans:.0f} dB of conflict); "
            f"the one that fits least: {says}"
        )


def _say_not_counted(knowledge: Knowledge, note: NotCounted) -> Iterator[str]:
    says = knowledge.observations[note.observation].says
    if note.reason is NoCount.UNSEEN:
        yield f"The 'no' to '{says}' does not count: it could not have been seen ({note.by})"
    elif note.reason is NoCount.SET_ASIDE:
        yield f"Set aside, too many facts at once: {says}"
    elif note.reason is NoCount.GROUP_CONFLICT:
        other = knowledge.observations[note.by].says
        yield f"'{says}' and '{other}' exclude each other; the second one counts"
