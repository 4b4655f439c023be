"""Build the explanation document once, from the ranking and the next step.

Takes a reasoner and evidence, gives an Explanation; may import everything above interfaces.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from diagnose.chaining.trace import find_sentence
from diagnose.explanation.document import Explanation, Firing, NearMiss, RemedyView, StepView
from diagnose.explanation.notes import collect_notes
from diagnose.explanation.prospects import explain_next, list_open_observations, list_questions, say_turning
from diagnose.explanation.reasons import (
    explain_causes,
    explain_chains,
    explain_ruled_out,
    explain_runner_up,
    state_sentence,
)  # fmt: skip
from diagnose.facts.model import Evidence, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Condition
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.choose import NextStep
from diagnose.ranking.rank import Ranking
from diagnose.ranking.sight import holds

if TYPE_CHECKING:
    from diagnose.explanation.reasoner import Reasoner

_MOST_LACKING = 2


def build_explanation(reasoner: Reasoner, evidence: Evidence, case: str, title: str) -> Explanation:
    """Explain one unit.

    Args:
        reasoner: The rule base made ready.
        evidence: What is known of the unit.
        case: Id of the case.
        title: Its title.

    Returns:
        The document, complete enough to render without the rules.
    """
    knowledge = reasoner.knowledge
    ranking, step = reasoner.rank(evidence), reasoner.choose(evidence)
    causes = explain_causes(knowledge, ranking)
    still_open = list_open_observations(knowledge, ranking)
    remedy = _first_remedy(reasoner, ranking, step)
    return Explanation(
        case=case,
        title=title,
        rules_version=knowledge.version,
        status=ranking.status.value,
        reason=ranking.reason or None,
        counted=len(ranking.counted.items),
        causes=causes,
        unlisted=ranking.posterior.unlisted,
        ruled_out=explain_ruled_out(knowledge, ranking),
        chain=explain_chains(knowledge, ranking),
        runner_up=explain_runner_up(causes),
        turning=say_turning(knowledge, ranking, still_open),
        next=explain_next(reasoner, evidence, step),
        remedy=remedy,
        ask=list_questions(knowledge, ranking, still_open),
        notes=tuple(collect_notes(knowledge, ranking, step)),
        cautions=_all_cautions(reasoner, step, remedy),
        deferral=knowledge.cautions.deferral,
        fired=tuple(_list_firings(reasoner, ranking)),
        not_met=tuple(_list_near_misses(reasoner, ranking)),
    )


def _first_remedy(reasoner: Reasoner, ranking: Ranking, step: NextStep) -> RemedyView | None:
    """Show the remedy to be done now, or else that of the first cause; none while too little is known."""
    if step.kind.value == "repair":
        return view_remedy(reasoner, step.id, ranking)
    first = next((ranked for ranked in ranking.causes if not ranked.ruled_out_by), None)
    if ranking.status.value != "ranked" or first is None:
        return None
    return view_remedy(reasoner, f"{first.cause}.{first.mode}" if first.mode else first.cause, ranking)


def view_remedy(reasoner: Reasoner, name: str, ranking: Ranking) -> RemedyView | None:
    """Show the remedy of a cause, cause.mode or state with what it waits for; None where there is none."""
    knowledge, remedy = reasoner.knowledge, reasoner.knowledge.named_remedy(name)
    if remedy is None:
        return None
    waits = [c for c in remedy.only_after if not holds(c, ranking.chained.atoms)]
    path = (knowledge.access.start, remedy.access)
    cautions = collect_cautions(
        knowledge, remedy, path, tuple(ranking.chained.cautions), ranking.chained.atoms
    )
    return RemedyView(
        cause=name,
        says=remedy.says,
        steps=tuple(StepView(**step.model_dump()) for step in remedy.steps),
        acceptance=remedy.acceptance,
        observe_again=tuple(knowledge.observations[name].question or name for name in remedy.observe_again),
        tools=remedy.tools,
        parts=remedy.parts,
        minutes=remedy.minutes,
        access=knowledge.access.states[remedy.access].says,
        waits_for=tuple(say_condition(knowledge, condition) for condition in waits),
        cautions=reasoner.say_cautions(cautions),
    )


def say_condition(knowledge: Knowledge, condition: Condition) -> str:
    """Say a condition in the sentences of its observations and circumstances."""
    if condition.atom is not None:
        name, value = condition.atom.name, condition.atom.value
        if name in knowledge.observations:
            return state_sentence(knowledge, name, State(value))
        return f"{knowledge.circumstances[name].question} {knowledge.circumstances[name].values[value]}"
    every = [say_condition(knowledge, part) for part in condition.all]
    if condition.any:
        every.append("one of: " + " / ".join(say_condition(knowledge, part) for part in condition.any))
    if condition.of:
        parts = " / ".join(say_condition(knowledge, part) for part in condition.of)
        every.append(f"{condition.at_least} of: {parts}")
    return "; ".join(every)


def _all_cautions(reasoner: Reasoner, step: NextStep, remedy: RemedyView | None) -> tuple[str, ...]:
    """Join the safety lines of the next step and of the remedy, each once, none left out."""
    both = (*reasoner.say_cautions(step.cautions), *(remedy.cautions if remedy else ()))
    return tuple(dict.fromkeys(both))


def _list_firings(reasoner: Reasoner, ranking: Ranking) -> Iterator[Firing]:
    knowledge, compiled = reasoner.knowledge, reasoner.compiled.by_id
    for fired in ranking.chained.firings:
        conclusion = compiled[fired.rule_id].conclusion
        yield Firing(
            rule=fired.rule_id,
            says=find_sentence(knowledge, fired.rule_id),
            facts=fired.atoms,
            concludes=f"{conclusion.kind} {conclusion.target}",
        )


def _list_near_misses(reasoner: Reasoner, ranking: Ranking) -> Iterator[NearMiss]:
    """List derived rules that know one of their atoms and lack at most two."""
    knowledge, atoms = reasoner.knowledge, ranking.chained.atoms
    for rule in reasoner.compiled.rules:
        if rule.base_id not in knowledge.rules or atoms.isdisjoint(rule.atoms):
            continue
        lacks = tuple(atom for atom in rule.atoms if atom not in atoms)
        if 0 < len(lacks) <= _MOST_LACKING:
            yield NearMiss(rule=rule.id, says=find_sentence(knowledge, rule.id), lacks=lacks)
