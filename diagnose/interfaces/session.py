"""A question session without a terminal: what to ask now, and what an answer changes.

Takes a reasoner and a case, gives prompts and replies; may import everything above interfaces.
Every moment is frozen, so going back is dropping the last one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from diagnose.explanation.prospects import say_prospect, say_why
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import (
    Case,
    CaseFact,
    CloseOut,
    Repair,
    evidence_of_case,
    known_circumstances,
)  # fmt: skip
from diagnose.facts.case_readings import CaseReading
from diagnose.facts.complaint import find_observations
from diagnose.facts.model import Evidence, State
from diagnose.facts.quantity import parse_quantity
from diagnose.facts.readings import Measured, decide
from diagnose.interfaces.answers import Answer, read_choices
from diagnose.interfaces.closing import read_closing
from diagnose.interfaces.movement import tell_movement
from diagnose.interfaces.prompts import (
    AFTER_REPAIR,
    CLOSING,
    Prompt,
    ask_circumstance,
    ask_closing,
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
        passed: Circumstances that were skipped, and the complaint once it was asked for.
        pending: Observations to ask next, in order.
        look: The inspection that the pending ones belong to; empty where the caller named them.
        declined: Repairs that were put off, and looks that tell nothing more.
        closing: Whether the call is being closed out.
    """

    case: Case
    passed: frozenset[str] = frozenset()
    pending: tuple[str, ...] = ()
    look: str = ""
    declined: frozenset[str] = frozenset()
    closing: bool = False


def start_moment(case: Case) -> Moment:
    """Stand at the start of a session; a case that was being closed out goes on with that."""
    return Moment(case, closing=case.closed is not None)


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
            if look := self._open_look(observation):
                return self._ask_for(observation, look)
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
        if prompt.kind != "observation":
            return (say_why(self.next_step()),)
        step = self.next_step() if self.moment.look else None
        named = () if step else ("It goes with the complaint, or a repair may have changed it.",)
        return (*named, *say_prospect(self.reasoner, self._evidence(), step, prompt.id))

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

    def _open_look(self, observation: str) -> str | None:
        """Name the look by which to ask for an observation now; None where it needs or allows none."""
        looks = self.reasoner.open_looks(self._evidence(), self.moment.declined)
        ways = (self.moment.look, self.reasoner.look_for(observation))
        return next((look for look in ways if observation in looks.get(look, ())), None)

    def _ask_for(self, observation: str, look: str) -> Prompt:
        """Ask for an observation with the safety lines of the look and of its own way of looking."""
        knowledge, evidence = self.reasoner.knowledge, self._evidence()
        cautions = dict.fromkeys(
            line
            for name in (look, self.reasoner.look_for(observation))
            for line in self.reasoner.cautions_of_look(name, evidence)
        )
        is_joint = len(knowledge.looks[look].reveals) > 1
        return ask_observation(
            knowledge, observation, knowledge.looks[look], tuple(cautions), is_joint=is_joint
        )

    def _prompt_for(self, step: NextStep) -> Prompt:
        knowledge = self.reasoner.knowledge
        if step.kind is StepKind.INSPECTION:
            self.moment = replace(self.moment, pending=step.reveals, look=step.id)
            return self._ask_for(step.reveals[0], step.id)
        if step.kind is StepKind.REPAIR:
            return ask_repair(knowledge, step.id, self.reasoner.say_cautions(step.cautions))
        cautions = self.reasoner.say_cautions(step.cautions)
        return Prompt("finished", step.kind.value, step.says, cautions=cautions)

    def _closing_prompt(self) -> Prompt:
        given = self.case.closed.model_fields_set if self.case.closed else set()
        for name in CLOSING:
            if name not in given:
                return ask_closing(name)
        return Prompt("finished", "closed", "The call is closed out.")

    # --- what an answer changes

    def _move(self, moment: Moment) -> None:
        self.history.append(self.moment)
        self.moment = moment

    def _take_circumstance(self, prompt: Prompt, answer: Answer) -> Reply:
        if answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, passed=self.moment.passed | {prompt.id}))
            return Reply()
        record = self.reasoner.knowledge.circumstances[prompt.id]
        numbers = read_choices(answer.text, len(record.values))
        if numbers is None or (len(numbers) > 1 and not record.several):
            return Reply((f"Type {prompt.hint}.",), accepted=False)
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
        if not any(map(self._open_look, pending)):
            return Reply(
                ("Nothing to be looked for today matches; choose a number or say it another way.",),
                accepted=False,
            )
        call = self.case.call if numbers is not None else f"{self.case.call}{answer.text}\n"
        self._move(replace(self.moment, passed=passed, pending=pending, look="", case=self._with(call=call)))
        return Reply()

    def _take_observation(self, prompt: Prompt, answer: Answer) -> Reply:
        states = {"yes": State.PRESENT, "no": State.ABSENT, "unknown": State.UNKNOWN, "skip": State.UNKNOWN}
        if answer.said not in states:
            return self._take_reading(prompt, answer)
        state, after = states[answer.said], self._after()
        told = CaseFact(observation=prompt.id, state=state.value, words=answer.text, after=after)
        # asked again, the new answer stands in place of the old one
        same = (told.observation, told.origin, told.after)
        others = (f for f in self.case.facts if (f.observation, f.origin, f.after) != same)
        return self._told(self._with(facts=(*others, told)), prompt.id)

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
            return Reply((_end_sentence(str(error)),), accepted=False)
        needs_nominal = any(
            d.observation == prompt.id and d.limit_of and not getattr(self.case.unit, d.limit_of, None)
            for d in record.decides
        )
        if needs_nominal and not facts:
            return Reply(
                (f"The nominal value is not known, so {answer.text} decides nothing: say yes or no.",),
                accepted=False,
            )
        told = CaseReading(reading=reading, value=answer.text, after=self._after())
        others = (r for r in self.case.readings if (r.reading, r.after) != (told.reading, told.after))
        # what the reading leaves open for want of the nominal value is asked as yes or no
        reply = self._told(self._with(readings=(*others, told)), "" if needs_nominal else prompt.id)
        doubtful = [fact.origin.words for fact in facts if fact.state is State.UNKNOWN]
        return Reply((*reply.lines, *doubtful))

    def _told(self, case: Case, answered: str) -> Reply:
        """Keep an answer; what is then still told both ways is not asked a third time."""
        before = self.ranking()
        pending = tuple(name for name in self.moment.pending if name != answered)
        self._move(replace(self.moment, case=case, pending=pending))
        after = self.ranking()
        if any(belief.contradicted and belief.observation == answered for belief in after.beliefs):
            looks = self.reasoner.open_looks(self._evidence(), self.moment.declined)
            barren = {name for name, new in looks.items() if answered in new}
            self.moment = replace(self.moment, declined=self.moment.declined | barren)
            lines = ("Told both ways now; back takes the last answer back.",)
            return Reply((*lines, *tell_movement(self.reasoner.knowledge, before, after)))
        return Reply(tell_movement(self.reasoner.knowledge, before, after))

    def _take_repair(self, prompt: Prompt, answer: Answer) -> Reply:
        numbers = read_choices(answer.text, len(AFTER_REPAIR))
        if numbers is None or len(numbers) != 1:
            return Reply(("Type 1, 2 or 3.",), accepted=False)
        if numbers[0] == 0:
            self._close_repaired(prompt.id)
        elif numbers[0] == 1:
            again = self.reasoner.knowledge.observe_again(prompt.id)
            seen = {fact.observation for fact in self._evidence().facts}
            case = self._with(repairs=(*self.case.repairs, Repair(cause=prompt.id)))
            pending = tuple(name for name in again if name in seen)
            self._move(replace(self.moment, case=case, pending=pending, look=""))
        else:
            self._move(replace(self.moment, declined=self.moment.declined | {prompt.id}))
        return Reply()

    def _close_repaired(self, name: str) -> None:
        """Begin to close out with what was done; the root stays open where only a state was put right."""
        knowledge = self.reasoner.knowledge
        remedy, cause = knowledge.named_remedy(name), name.partition(".")[0]
        fields: dict[str, object] = {"done": remedy.says if remedy else name}
        if cause in knowledge.causes:
            fields["root_cause"] = cause
        repairs = (*self.case.repairs, Repair(cause=name, still_faulty=False))
        closed = self._with_close_out(fields).model_copy(update={"repairs": repairs})
        self._move(replace(self.moment, case=closed, closing=True))

    def _take_closing(self, prompt: Prompt, answer: Answer) -> Reply:
        try:
            value = read_closing(self.reasoner.knowledge, prompt.id, answer)
        except ValueError as error:
            return Reply((_end_sentence(str(error)),), accepted=False)
        self._move(replace(self.moment, case=self._with_close_out({prompt.id: value})))
        return Reply()

    def _after(self) -> str:
        return self.case.repairs[-1].cause if self.case.repairs else ""

    def _with(self, **changes: object) -> Case:
        return self.case.model_copy(update=changes)

    def _with_close_out(self, fields: dict[str, object]) -> Case:
        given = self.case.closed.model_dump(exclude_unset=True) if self.case.closed else {}
        return self._with(closed=CloseOut.model_validate({**given, **fields}))


def _end_sentence(text: str) -> str:
    return text if text.endswith(("?", ".")) else f"{text}."
