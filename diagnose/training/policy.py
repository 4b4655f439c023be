"""The program's policy as a lesson plays it: the planner's next step, but nothing is put off without end.

Takes a reasoner, evidence and the access state, gives a NextStep; may import explanation and above.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.model import Evidence
from diagnose.knowledge.words import Condition
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.choose import WITHOUT_WORK, NextStep, Progress, build_situation, choose_next
from diagnose.next_step.options import Situation
from diagnose.next_step.problem import StepKind
from diagnose.ranking.rank import RankedCause
from diagnose.ranking.sight import holds

# A cause this probable is as good as certain: estimate, no source. The planner reckons a finding that a
# remedy waits for as if it lay on the way, and so may put it off look after look.
_CERTAIN = 0.95


def choose_step(reasoner: Reasoner, evidence: Evidence, at: str) -> NextStep:
    """Choose the next step of the program.

    Once a cause is as good as certain, what its remedy waits for is looked at first, and where that cannot be
    seen, or the remedy not be reached today, the looking ends.

    Args:
        reasoner: The rule base made ready.
        evidence: What is known.
        at: Access state the unit is in.

    Returns:
        The planner's step, or the one put in its place.
    """
    # what was repaired in vain already weighs less in the ranking, so the planner only leaves it out
    progress = Progress(at=at, skipped=frozenset(evidence.repaired))
    ranking = reasoner.rank(evidence)
    first = ranking.causes[0]
    step = choose_next(reasoner.knowledge, ranking, progress)
    if step.kind is not StepKind.INSPECTION or first.probability < _CERTAIN:
        return step
    name = f"{first.cause}.{first.mode}" if first.mode else first.cause
    remedy = reasoner.knowledge.named_remedy(name)
    if remedy is None or {name, first.cause} & progress.skipped:
        return step
    situation = build_situation(reasoner.knowledge, ranking.chained, ranking.beliefs, progress)
    pending = tuple(c for c in remedy.only_after if not holds(c, ranking.chained.atoms))
    if pending:
        look = _find_needed_look(reasoner, evidence, pending)
        return _look_instead(reasoner, step, situation, look) if look else _wait(step, first)
    ways = situation.today
    is_reached = np.isfinite(ways.minutes[ways.index(situation.at), ways.index(remedy.access)])
    return step if is_reached else _wait(step, first)


def _find_needed_look(reasoner: Reasoner, evidence: Evidence, pending: tuple[Condition, ...]) -> str:
    """Name a look to be had today that decides what a remedy waits for; nothing where there is none."""
    asked = [atom.name for condition in pending for atom in condition.atoms()]
    looks = reasoner.open_looks(evidence)
    found = [
        (reasoner.knowledge.looks[name].minutes, name)
        for name, new in looks.items()
        if not set(new).isdisjoint(asked)
    ]
    return min(found)[1] if found else ""


def _look_instead(reasoner: Reasoner, step: NextStep, situation: Situation, name: str) -> NextStep:
    """Put a look in the place of the planner's step; its expected minutes stay those of the plan."""
    knowledge = reasoner.knowledge
    look, ways = knowledge.looks[name], situation.today
    path = ways.path(situation.at, look.access)
    return replace(
        step,
        id=name,
        says=look.says,
        reveals=look.reveals,
        minutes=look.minutes,
        access=path,
        access_minutes=float(ways.minutes[ways.index(situation.at), ways.index(look.access)]),
        tools=look.tools,
        persons=look.persons,
        cautions=collect_cautions(knowledge, look, path),
        outcomes=(),
    )


def _wait(step: NextStep, first: RankedCause) -> NextStep:
    """End the looking: the cause is known, and its remedy waits for access or for what cannot be seen."""
    waits = StepKind.NOTHING_TO_REACH
    return replace(
        step, kind=waits, id=first.cause, says=WITHOUT_WORK[waits], elements=(first.cause,), outcomes=()
    )
