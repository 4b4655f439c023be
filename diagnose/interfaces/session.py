"""A question session without a terminal: what to ask now, and what an answer changes.

Takes a reasoner and a case, gives prompts and replies; may import everything above interfaces.
Every moment is frozen, so going back is dropping the last one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from diagnose.explanation.prospects import say_prospect
from diagnose.explanation.reasoner import Reasoner
from diagnose.explanation.text import percent
from diagnose.facts.case_file import (
    Case,
    CaseFact,
    CaseReading,
    CloseOut,
    Repair,
    evidence_of_case,
    known_circumstances,
)  # fmt: skip
from diagnose.facts.complaint import find_observations
from diagnose.facts.model import Evidence, State
from diagnose.facts.quantity import parse_quantity
from diagnose.facts.readings import Measured, decide
from diagnose.interfaces.answers import Answer, read_choices
from diagnose.interfaces.prompts import (
    AFTER_REPAIR,
    CLOSING,
    Prompt,
    ask_circumstance,
    ask_complaint,
    ask_observation,
    ask_repair,
    reading_of,
)  # fmt: skip
from diagnose.next_step.choose import NextStep
from diagnose.next_step.problem import StepKind
from diagnose.ranking.rank import Ranking


@dataclass(frozen=True)
class Moment:
    """Where a session stands.

    Attributes:
        passed: Circumstances and steps that were skipped.
        pending: Observations to ask next, in order.
        declined: Repairs that were put off.
        closing: Whether the call is being closed out.
    """

    case: Case
    passed: frozenset[str] = frozenset()
    pending: tuple[str, ...] = ()
    declined: frozenset[str] = frozenset()
    closing: bool = False
    asked: int = 0


@dataclass(frozen=True)
class Reply:
    """What an answer did.

    Attributes:
        lines: Lines to show.
        accepted: Whether the answer was understood and the session moved on.
    """

    lines: tuple[str, ...] = ()
    accepted: bool = True


@dataclass
class Session:
    """Asks the most useful question each time and keeps every answer in a case."""

    reasoner: Reasoner
    moment: Moment
    history: list[Moment] = field(default_factory=list)

    @property
    def case(self) -> Case:
        """Give the case as answered so far."""
        return self.moment.case

    def prompt(self) -> Prompt:
        """Give the question to ask now; its kind is `finished` when nothing is left to ask."""
        knowledge = self.reasoner.knowledge
        if self.moment.closing:
            return self._closing_prompt()
        circumstance = self._next_circumstance()
        if circumstance:
            return ask_circumstance(knowledge, circumstance)
        if "complaint" not in self.moment.passed and not self.case.facts and not self.case.readings:
            return ask_complaint(knowledge)
        for observation in self.moment.pending:
            if not self._is_settled(observation):
                return ask_observation(knowledge, observation, self._cautions_of(observation))
        return self._prompt_for(self.next_step())

    def next_step(self) -> NextStep:
        """Choose the next step from what is known; a declined repair gives way to looking on."""
        return self.reasoner.choose(self._evidence(), self.moment.declined)

    def ranking(self) -> Ranking:
        """Rank the causes from what is known."""
        return self.reasoner.rank(self._evidence())

    def why(self, prompt: Prompt) -> tuple[str, ...]:
        """Say why this is asked now."""
        if prompt.kind in {"circumstance", "complaint"}:
            return (
                "What is known beforehand moves the odds of many causes at once and costs nothing to tell.",
            )
        if prompt.kind == "close":
            return ("What was found teaches the strengths and helps whoever comes next.",)
        step = self.next_step()
        return say_prospect(self.reasoner, self._evidence(), step, prompt.id)

    def _evidence(self) -> Evidence:
        return evidence_of_case(self.case, self.reasoner.knowledge)

    def answer(self, prompt: Prompt, answer: Answer) -> Reply:
        """Take an answer to a prompt.

        Returns:
            What to show; not accepted when the answer was not understood, and then nothing changed.
        """
        takers = {
            "circumstance": self._take_circumstance,
            "complaint": self._take_complaint,
            "observation": self._take_observation,
            "repair": self._take_repair,
            "close": self._take_closing,
        }
        return takers[prompt.kind](prompt, answer)

    def back(self) -> bool:
        """Take the last answer back; False when there is none."""
        if not self.history:
            return False
        self.moment = self.history.pop()
        return True

    def close(self) -> None:
        """Begin to close the call out."""
        self._move(replace(self.moment, closing=True, case=self._with_close_out({})))

    # --- what to ask

    def _next_circumstance(self) -> str | None:
        knowledge = self.reasoner.knowledge
        known = known_circumstances(self.case, knowledge)
        resumed = bool(self.case.facts or self.case.readings)
        for name, record in knowledge.circumstances.items():
            if record.asked_first and name not in known and name not in self.moment.passed and not resumed:
                return name
        return None

    def _is_settled(self, observation: str) -> bool:
        return observation in self.reasoner.settled(self._evidence())

    def _cautions_of(self, observation: str) -> tuple[str, ...]:
        return self.reasoner.cautions_of_look(observation, self._evidence())

    def _prompt_for(self, step: NextStep) -> Prompt:
        knowledge = self.reasoner.knowledge
        if step.kind is StepKind.INSPECTION:
            self.moment = replace(self.moment, pending=step.reveals)
            return self.prompt()
        if step.kind is StepKind.REPAIR:
            return ask_repair(knowledge, step.id, self.reasoner.say_cautions(step.cautions))
        return Prompt("finished", step.kind.value, step.says)

    def _closing_prompt(self) -> Prompt:
        given = self.case.closed.model_fields_set if self.case.closed else set()
        for name, text in CLOSING.items():
            if name not in given:
                return Prompt("close", name, text)
        return Prompt("finished", "closed", "The call is closed out.")

    # --- what an answer changes

    def _move(self, moment: Moment) -> None:
        self.history.append(self.moment)
        self.moment = replace(moment, asked=self.moment.asked + 1)

    def _take_circumstance(self, prompt: Prompt, answer: Answer) -> Reply:
        if answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, passed=self.moment.passed | {prompt.id}))
            return Reply()
        record = self.reasoner.knowledge.circumstances[prompt.id]
        numbers = read_choices(answer.text, len(record.values))
        if numbers is None or (len(numbers) > 1 and not record.several):
            return Reply((f"Type {prompt.detail[0]}.",), accepted=False)
        names = tuple(record.values)
        values = tuple(dict.fromkeys(names[number] for number in numbers))
        self._move(
            replace(
                self.moment, case=self._with(circumstances={**self.case.circumstances, prompt.id: values})
            )
        )
        return Reply()

    def _take_complaint(self, prompt: Prompt, answer: Answer) -> Reply:
        knowledge = self.reasoner.knowledge
        passed = self.moment.passed | {"complaint"}
        if answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, passed=passed))
            return Reply()
        numbers = read_choices(answer.text, len(prompt.choices))
        if numbers is not None:
            families = [list(knowledge.families.values())[number] for number in numbers]
            pending = tuple(dict.fromkeys(name for family in families for name in family.opens))
        else:
            pending = find_observations(knowledge, answer.text)
        if not pending:
            return Reply(
                ("Nothing here matches these words; choose a number or say it another way.",), accepted=False
            )
        call = self.case.call if numbers is not None else f"{self.case.call}{answer.text}\n"
        self._move(replace(self.moment, passed=passed, pending=pending, case=self._with(call=call)))
        return Reply()

    def _take_observation(self, prompt: Prompt, answer: Answer) -> Reply:
        states = {"yes": State.PRESENT, "no": State.ABSENT, "unknown": State.UNKNOWN, "skip": State.UNKNOWN}
        if answer.said in states:
            told = CaseFact(
                observation=prompt.id, state=states[answer.said].value, words=answer.said, after=self._after()
            )
            return self._told(self._with(facts=(*self.case.facts, told)))
        return self._take_reading(prompt, answer)

    def _take_reading(self, prompt: Prompt, answer: Answer) -> Reply:
        knowledge = self.reasoner.knowledge
        reading = reading_of(knowledge, prompt.id)
        if reading is None:
            return Reply(("Type yes, no or don't know (or why, rank, back, save, quit).",), accepted=False)
        record = knowledge.readings[reading]
        try:
            value = parse_quantity(answer.text, record.unit)
            facts = decide(knowledge, Measured(reading, value, record.uncertainty), self.case.unit)
        except ValueError as error:
            return Reply((f"{error}.",), accepted=False)
        if prompt.id not in {fact.observation for fact in facts} and not facts:
            return Reply(
                (f"The nominal value is not known, so {answer.text} decides nothing: say yes or no.",),
                accepted=False,
            )
        told = CaseReading(reading=reading, value=answer.text, after=self._after())
        reply = self._told(self._with(readings=(*self.case.readings, told)))
        doubtful = [fact.origin.words for fact in facts if fact.state is State.UNKNOWN]
        return Reply((*reply.lines, *doubtful))

    def _told(self, case: Case) -> Reply:
        before = self.ranking()
        self._move(replace(self.moment, case=case))
        return Reply(tell_movement(before, self.ranking()))

    def _take_repair(self, prompt: Prompt, answer: Answer) -> Reply:
        numbers = read_choices(answer.text, len(AFTER_REPAIR))
        if numbers is None or len(numbers) != 1:
            return Reply(("Type 1, 2 or 3.",), accepted=False)
        works, faulty = numbers[0] == 0, numbers[0] == 1
        if works:
            found = self._with_close_out({"root_cause": prompt.id, "done": prompt.text.removesuffix("?")})
            repaired = found.model_copy(
                update={"repairs": (*found.repairs, Repair(cause=prompt.id, still_faulty=False))}
            )
            self._move(replace(self.moment, case=repaired, closing=True))
        elif faulty:
            again = self.reasoner.knowledge.observe_again(prompt.id)
            seen = {fact.observation for fact in self.case.facts}
            case = self._with(repairs=(*self.case.repairs, Repair(cause=prompt.id)))
            self._move(replace(self.moment, case=case, pending=tuple(o for o in again if o in seen)))
        else:
            self._move(replace(self.moment, declined=self.moment.declined | {prompt.id}))
        return Reply()

    def _take_closing(self, prompt: Prompt, answer: Answer) -> Reply:
        value: object = answer.text
        if prompt.id == "root_cause":
            if answer.text and answer.text not in self.reasoner.knowledge.causes:
                return Reply(
                    (f"No cause '{answer.text}'; give an id as shown, or leave it empty.",), accepted=False
                )
            value = answer.text or None
        if prompt.id == "minutes":
            if not answer.text.replace(".", "", 1).isdigit():
                return Reply(("Type a number of minutes, 0 if unknown.",), accepted=False)
            value = float(answer.text)
        self._move(replace(self.moment, case=self._with_close_out({prompt.id: value})))
        return Reply()

    def _after(self) -> str:
        return self.case.repairs[-1].cause if self.case.repairs else ""

    def _with(self, **changes: object) -> Case:
        return self.case.model_copy(update=changes)

    def _with_close_out(self, fields: dict[str, object]) -> Case:
        given = self.case.closed.model_dump(exclude_unset=True) if self.case.closed else {}
        return self._with(closed=CloseOut.model_validate({**given, **fields}))


def tell_movement(before: Ranking, after: Ranking) -> tuple[str, ...]:
    """Say how the first three causes moved, in per cent."""
    was = {ranked.cause: ranked.probability for ranked in before.causes}
    moved = [f"{r.cause} {percent(was[r.cause])} -> {percent(r.probability)}" for r in after.causes[:3]]
    return ("  " + ", ".join(moved),)
