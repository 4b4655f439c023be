"""What to ask at a moment of a session, and why; a pure function of the moment.

Takes a reasoner and a moment, gives prompts; may import everything above interfaces.
"""

from __future__ import annotations

from dataclasses import replace

from diagnose.explanation.prospects import say_prospect, say_why
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import evidence_of_case, known_circumstances
from diagnose.facts.model import Evidence
from diagnose.interfaces.closing import ask_next_closing
from diagnose.interfaces.hearing import say_each
from diagnose.interfaces.moment import Moment
from diagnose.interfaces.prompts import (
    Prompt,
    ask_circumstance,
    ask_complaint,
    ask_heard,
    ask_observation,
    ask_repair,
)  # fmt: skip
from diagnose.interfaces.working_out import (
    Working,
    ask_input,
    find_missing,
    reading_of_input,
    say_why_input,
)  # fmt: skip
from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind

_WHY = {
    "circumstance": "What is known beforehand moves the odds of many causes at once and costs nothing to tell.",
    "complaint": "What is known beforehand moves the odds of many causes at once and costs nothing to tell.",
    "close": "What was found teaches the strengths and helps whoever comes next.",
    "heard": "Words can be misread; what is struck out is asked outright, where it can be looked for.",
}


def collect_evidence(reasoner: Reasoner, moment: Moment) -> Evidence:
    """Collect all that is known at a moment."""
    return evidence_of_case(moment.case, reasoner.knowledge)


def choose_step(reasoner: Reasoner, moment: Moment) -> NextStep:
    """Choose the next step from what is known; a declined repair gives way to looking on."""
    return reasoner.choose(collect_evidence(reasoner, moment), moment.declined)


def choose_look(reasoner: Reasoner, moment: Moment, observation: str) -> str | None:
    """Name the look by which to ask for an observation now; None where it needs or allows none."""
    looks = reasoner.open_looks(collect_evidence(reasoner, moment), moment.declined)
    ways = (moment.look, reasoner.look_for(observation))
    return next((look for look in ways if observation in looks.get(look, ())), None)


def settle_moment(reasoner: Reasoner, moment: Moment) -> Moment:
    """Fix the look to take next, where nothing else is to be asked before it."""
    if _ask_before(reasoner, moment) or any(choose_look(reasoner, moment, name) for name in moment.pending):
        return moment
    step = choose_step(reasoner, moment)
    if step.kind is not StepKind.INSPECTION:
        return moment
    return replace(moment, pending=step.reveals, look=step.id)


def ask_now(reasoner: Reasoner, moment: Moment) -> Prompt:
    """Ask what is to be asked at a settled moment; the kind is `finished` when nothing is left to ask."""
    if before := _ask_before(reasoner, moment):
        return before
    for observation in moment.pending:
        if look := choose_look(reasoner, moment, observation):
            return _ask_for(reasoner, moment, observation, look)
    step = choose_step(reasoner, moment)
    if step.kind is StepKind.INSPECTION:
        return _ask_for(reasoner, moment, step.reveals[0], step.id)
    cautions = reasoner.say_cautions(step.cautions)
    if step.kind is StepKind.REPAIR:
        return ask_repair(reasoner.knowledge, step.id, cautions)
    return Prompt("finished", step.kind.value, step.says, cautions=cautions)


def _ask_before(reasoner: Reasoner, moment: Moment) -> Prompt | None:
    """Ask what comes before any look: the close-out, an input, words to look over, beforehand, the complaint."""
    if moment.closing:
        return ask_next_closing(moment.case)
    if moment.working:
        return _ask_input(reasoner, moment, moment.working)
    if moment.heard:
        return ask_heard(tuple(say_each(moment.heard.evidence, reasoner.knowledge)))
    if circumstance := _find_circumstance(reasoner, moment):
        return ask_circumstance(reasoner.knowledge, circumstance)
    if "complaint" not in moment.passed and not moment.case.facts and not moment.case.readings:
        return ask_complaint(reasoner.knowledge)
    return None


def _find_circumstance(reasoner: Reasoner, moment: Moment) -> str | None:
    """Name the circumstance to ask for first; none where the session goes on with a case."""
    if moment.resumed:
        return None
    knowledge = reasoner.knowledge
    passed = known_circumstances(moment.case, knowledge) | moment.passed
    first = (name for name, record in knowledge.circumstances.items() if record.asked_first)
    return next((name for name in first if name not in passed), None)


def _ask_for(reasoner: Reasoner, moment: Moment, observation: str, look: str) -> Prompt:
    """Ask for an observation with the safety lines of the look and of its own way of looking."""
    evidence = collect_evidence(reasoner, moment)
    ways = (look, reasoner.look_for(observation))
    cautions = dict.fromkeys(line for way in ways for line in reasoner.cautions_of_look(way, evidence))
    return ask_observation(reasoner.knowledge, observation, look, tuple(cautions))


def _ask_input(reasoner: Reasoner, moment: Moment, working: Working) -> Prompt:
    """Ask for the next input, with the safety lines of the look and of the access that it needs."""
    knowledge, evidence = reasoner.knowledge, collect_evidence(reasoner, moment)
    name = find_missing(working, moment.case, knowledge)
    if name is None:
        raise KeyError(working.name)
    cautions = dict.fromkeys(reasoner.cautions_of_look(working.look, evidence))
    if reading := reading_of_input(working, name, knowledge):
        access = knowledge.readings[reading].access
        cautions |= dict.fromkeys(reasoner.cautions_of_access(access, evidence))
    return ask_input(working, name, tuple(cautions), knowledge)


def tell_why(reasoner: Reasoner, moment: Moment, prompt: Prompt) -> tuple[str, ...]:
    """Say why this is asked now."""
    if prompt.kind in _WHY:
        return (_WHY[prompt.kind],)
    if moment.working:
        return say_why_input(moment.working, reasoner.knowledge)
    if prompt.kind != "observation":
        return (say_why(choose_step(reasoner, moment)),)
    step = choose_step(reasoner, moment) if moment.look else None
    named = () if step else ("It goes with the complaint, or a repair may have changed it.",)
    return (*named, *say_prospect(reasoner, collect_evidence(reasoner, moment), step, prompt.id))
