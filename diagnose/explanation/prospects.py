"""What comes next: the step, what each outcome would do, what else is worth asking, what would turn it.

Takes a reasoner and a step, gives parts of the document; may import next_step and above.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from diagnose.explanation.document import NextView, OpenQuestion, OutcomeView
from diagnose.explanation.reasons import state_sentence
from diagnose.explanation.text import percent
from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.choose import NOTHING_DONE, NextStep, Outcome, build_situation, list_withheld
from diagnose.next_step.options import list_worth_looking
from diagnose.next_step.problem import StepKind
from diagnose.next_step.screening import measure_entropy
from diagnose.ranking.network import Floats, Tables
from diagnose.ranking.rank import Ranking

if TYPE_CHECKING:
    from diagnose.explanation.reasoner import Reasoner

_SHOWN_QUESTIONS = 4
_SHOWN_OUTCOMES = 3
# Observations that tell equally much to so many digits come in order of their ids, so that no rounding decides.
SAME_BITS = 9

# Observations by their number in the network.
Numbered = list[tuple[int, str]]


def explain_next(reasoner: Reasoner, evidence: Evidence, step: NextStep) -> NextView:
    """Show the next step with its reasons and what each likely outcome would do."""
    knowledge = reasoner.knowledge
    likely = sorted(step.outcomes, key=lambda o: (-o.probability, o.evidence))[:_SHOWN_OUTCOMES]
    look = knowledge.looks.get(step.id)
    return NextView(
        kind=step.kind.value,
        id=step.id,
        says=_say_step(knowledge, step),
        how=look.how if look else (),
        minutes=step.minutes,
        access=step.access[-1] if step.access else "",
        path=step.access,
        persons=step.persons,
        tools=step.tools,
        plan_minutes=step.expected,
        why=say_why(step),
        outcomes=tuple(_follow(reasoner, evidence, outcome) for outcome in likely),
        more_outcomes=len(step.outcomes) - len(likely),
        instead=tuple(f"{c.kind.value} {c.id} ({c.expected:.0f} min)" for c in step.runners_up),
    )


def _say_step(knowledge: Knowledge, step: NextStep) -> str:
    if step.kind is StepKind.NOTHING_TO_REACH and step.withheld:
        states = ", ".join(knowledge.access.states[state].says for state in step.withheld)
        return f"{step.says}. Not to be had today: {states}"
    return step.says


def say_why(step: NextStep) -> str:
    """Give the numbers behind the choice in one sentence."""
    parts = [f"{step.expected:.0f} min expected until it works again"]
    if step.kind is not StepKind.REPAIR and step.why.best_repair is not None:
        parts.append(f"{step.why.best_repair:.0f} with the best repair first")
    if step.kind is not StepKind.INSPECTION and step.why.best_inspection is not None:
        parts.append(f"{step.why.best_inspection:.0f} with the best look first")
    if step.kind is not StepKind.HAND_OVER:
        parts.append(f"{step.why.hand_over:.0f} to hand over")
    return "Why: " + ", ".join(parts) + "."


def answer_evidence(
    knowledge: Knowledge, evidence: Evidence, told: tuple[tuple[str, State], ...]
) -> Evidence:
    """Add answers to evidence, as if they had just been given."""
    kind = OriginKind.ANSWER
    facts = tuple(Fact(name, state, Origin(kind), trust_pair(knowledge, kind, state)) for name, state in told)
    return replace(evidence, facts=(*evidence.facts, *facts))


def _follow(reasoner: Reasoner, evidence: Evidence, outcome: Outcome) -> OutcomeView:
    """Answer the inspection this way and tell the new first cause and the step after."""
    after = answer_evidence(reasoner.knowledge, evidence, outcome.evidence)
    first = next(ranked for ranked in reasoner.rank(after).causes if not ranked.ruled_out_by)
    step = reasoner.choose(after)
    return OutcomeView(
        says="; ".join(state_sentence(reasoner.knowledge, name, state) for name, state in outcome.evidence),
        chance=outcome.probability,
        first_cause=first.cause,
        first_says=reasoner.knowledge.causes[first.cause].says,
        first_probability=first.probability,
        then=_say_then(step),
    )


def _say_then(step: NextStep) -> str:
    """Name the step after an outcome; what is no work at the unit says itself."""
    says = f"{step.says[0].lower()}{step.says[1:]}"
    return f"{step.kind.value}: {says}" if step.kind in {StepKind.INSPECTION, StepKind.REPAIR} else says


def say_prospect(
    reasoner: Reasoner, evidence: Evidence, step: NextStep | None, observation: str
) -> tuple[str, ...]:
    """Say why an observation is asked: what a yes and a no would do, and the numbers of the step if any."""
    lines = []
    for state in (State.PRESENT, State.ABSENT):
        after = reasoner.rank(answer_evidence(reasoner.knowledge, evidence, ((observation, state),)))
        first = ", ".join(f"{r.cause} {percent(r.probability)}" for r in after.causes[:2])
        lines.append(f"{'Yes' if state is State.PRESENT else 'No'} would give {first}.")
    return (*lines, say_why(step)) if step else tuple(lines)


def list_questions(knowledge: Knowledge, ranking: Ranking, still_open: Numbered) -> tuple[OpenQuestion, ...]:
    """List the unanswered observations that are expected to tell most, within reach today.

    The expected information is reckoned as if exactly one cause were there.
    """
    rows, weights = weigh_single_causes(ranking)
    tables = ranking.network.tables
    bits = measure_entropy(weights @ tables.shown_alone[rows]) - weights @ entropy_alone(tables)[rows]
    told = {name: max(0.0, float(bits[number])) for number, name in still_open}
    most = sorted(told, key=lambda name: (-round(told[name], SAME_BITS), name))[:_SHOWN_QUESTIONS]
    return tuple(
        OpenQuestion(observation=name, question=ask_for(knowledge, name), bits=told[name]) for name in most
    )


@lru_cache(maxsize=8)
def entropy_alone(tables: Tables) -> Floats:
    """Entropy of each observation under each alternative alone; prior odds do not move it."""
    return measure_entropy(tables.shown_alone)


def say_turning(knowledge: Knowledge, ranking: Ranking, still_open: Numbered) -> str | None:
    """Say which single result, still open, would put another cause first; the likeliest such result.

    Reckoned as if exactly one cause were there.
    """
    rows, weights = weigh_single_causes(ranking)
    members = [ranking.network.alternatives[row].members[0] for row in rows]
    leader = members[int(weights.argmax())]
    shown = ranking.network.tables.shown_alone[rows]
    turns = []
    for state, chance in ((State.PRESENT, shown), (State.ABSENT, 1 - shown)):
        after = weights[:, None] * chance
        first, total = after.argmax(axis=0), after.sum(axis=0)
        turns += [
            (float(total[number]), name, state, members[first[number]])
            for number, name in still_open
            if members[first[number]] != leader
        ]
    if not turns:
        return None
    likelihood, name, state, cause = max(turns)
    return f"{cause} comes first ({percent(likelihood)}) if: {state_sentence(knowledge, name, state)}"


def weigh_single_causes(ranking: Ranking) -> tuple[list[int], Floats]:
    """Weigh every alternative of one cause: its rows in the network's tables and weights that add up to 1."""
    rows, chances = [], []
    causes = ranking.posterior.all_causes
    for row, alternative in enumerate(ranking.network.alternatives):
        if len(alternative.members) == 1:
            cause, mode = alternative.members[0], alternative.modes[0]
            rows.append(row)
            chances.append(ranking.posterior.modes[cause, mode] if mode else causes[cause])
    weights = np.array(chances)
    return rows, weights / weights.sum()


def list_open_observations(knowledge: Knowledge, ranking: Ranking) -> Numbered:
    """Number and name the observations that nobody has told, that could be seen now and be reached today."""
    situation = build_situation(knowledge, ranking.chained, ranking.beliefs, NOTHING_DONE)
    worth, withheld = list_worth_looking(knowledge, situation), list_withheld(knowledge, situation)
    return [
        (number, name)
        for number, name in enumerate(ranking.network.observations)
        if name in worth and knowledge.observations[name].access not in withheld
    ]


def keep_askable(knowledge: Knowledge, still_open: Numbered) -> Numbered:
    """Keep what whoever typed the ticket can say when called back: nothing need be opened or switched for it."""
    states, observations = knowledge.access.states, knowledge.observations
    return [(number, name) for number, name in still_open if not states[observations[name].access].acts]


def ask_for(knowledge: Knowledge, name: str) -> str:
    """Give the question for an observation."""
    record = knowledge.observations[name]
    return record.question or record.says
