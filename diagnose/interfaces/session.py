"""A question session without a terminal: what an answer changes.

Takes a reasoner and a moment, gives prompts and replies; may import everything above interfaces.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, CaseFact, Repair, known_circumstances
from diagnose.facts.case_readings import CaseReading, build_measured
from diagnose.facts.combine import merge_evidence
from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.model import Evidence, Fact, State
from diagnose.facts.readings import decide
from diagnose.facts.stroke.into_case import add_to_case, latest_repair
from diagnose.interfaces.answers import Answer, find_choice, read_choices
from diagnose.interfaces.closing import add_close_out, close_repaired, read_closing
from diagnose.interfaces.hearing import (
    BuildReader,
    Heard,
    add_call,
    add_words,
    blank_out,
    build_no_reader,
    keep_new,
    keep_unsaid,
    list_doubtful,
    name_case,
    strike_out,
)  # fmt: skip
from diagnose.interfaces.log_answer import find_log, read_log, say_facts
from diagnose.interfaces.moment import Moment, Reply
from diagnose.interfaces.movement import STAYS, tell_movement
from diagnose.interfaces.prompts import AFTER_REPAIR, Prompt, find_computed, reading_of
from diagnose.interfaces.questioning import (
    ask_now,
    choose_look,
    choose_step,
    collect_evidence,
    settle_moment,
    tell_why,
)
from diagnose.interfaces.working_out import (
    Working,
    drop_result,
    find_missing,
    find_result,
    say_result,
    take_input,
)  # fmt: skip
from diagnose.next_step.choose import NextStep
from diagnose.ranking.rank import Ranking


@dataclass
class Session:
    """Asks the most useful question each time and keeps every answer in a case."""

    reasoner: Reasoner
    moment: Moment
    build_reader: BuildReader = build_no_reader
    history: list[Moment] = field(default_factory=list)

    @cached_property
    def reader(self) -> TicketReader | None:
        """Give the reader of words, made when it is first needed."""
        return self.build_reader()

    @property
    def case(self) -> Case:
        """Give the case as answered so far."""
        return self.moment.case

    def prompt(self) -> Prompt:
        """Give the question to ask now; its kind is `finished` when nothing is left to ask."""
        self.moment = settle_moment(self.reasoner, self.moment)
        return ask_now(self.reasoner, self.moment)

    def next_step(self) -> NextStep:
        """Choose the next step from what is known; a declined repair gives way to looking on."""
        return choose_step(self.reasoner, self.moment)

    def ranking(self) -> Ranking:
        """Rank the causes from what is known."""
        return self._rank(self.moment)

    def _rank(self, moment: Moment) -> Ranking:
        return self.reasoner.rank(collect_evidence(self.reasoner, moment))

    def why(self, prompt: Prompt) -> tuple[str, ...]:
        """Say why this is asked now."""
        return tell_why(self.reasoner, self.moment, prompt)

    def _evidence(self) -> Evidence:
        return collect_evidence(self.reasoner, self.moment)

    def answer(self, prompt: Prompt, answer: Answer) -> Reply:
        """Take an answer to a prompt: what it asks for, or a log, or words that tell something else.

        Returns:
            What to show; not accepted when the answer was not understood, and then nothing changed.
        """
        takers = {
            "circumstance": self._take_circumstance,
            "complaint": self._take_complaint,
            "heard": self._take_heard,
            "observation": self._take_observation,
            "input": self._take_input,
            "repair": self._take_repair,
            "close": self._take_closing,
            "finished": self._take_nothing,
        }
        is_free = answer.said == "text" and prompt.kind not in {"close", "input"}
        if is_free and (path := find_log(answer.text)):
            return self._take_log(path)
        reply = takers[prompt.kind](prompt, answer)
        return reply if reply.accepted or not is_free else self._take_words(prompt, answer.text, reply)

    def back(self) -> bool:
        """Take the last answer back; False when there is none."""
        if not self.history:
            return False
        self.moment = self.history.pop()
        return True

    def close(self) -> None:
        """Begin to close the call out."""
        self._move(replace(self.moment, closing=True, case=add_close_out(self.case, {})))

    def _move(self, moment: Moment) -> None:
        self.history.append(self.moment)
        self.moment = moment

    def _take_circumstance(self, prompt: Prompt, answer: Answer) -> Reply:
        if answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, passed=self.moment.passed | {prompt.id}))
            return Reply()
        record = self.reasoner.knowledge.circumstances[prompt.id]
        numbers = read_choices(answer.text, len(record.values)) or find_choice(answer.text, prompt.choices)
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
        passed = self.moment.passed | {"complaint"}
        if answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, passed=passed))
            return Reply()
        numbers = read_choices(answer.text, len(prompt.choices))
        families = [list(self.reasoner.knowledge.families.values())[number] for number in numbers or ()]
        pending = tuple(dict.fromkeys(name for family in families for name in family.opens))
        if not any(choose_look(self.reasoner, self.moment, name) for name in pending):
            return Reply(("Nothing was read; choose a number, or say it another way.",), accepted=False)
        case = name_case(self.case, "; ".join(family.says for family in families))
        self._move(replace(self.moment, passed=passed, pending=pending, look="", case=case))
        return Reply()

    def _take_words(self, prompt: Prompt, text: str, refused: Reply) -> Reply:
        """Take what words tell, whatever was asked; where they tell nothing, what was asked stands refused."""
        reading = self.reader.read({"text": text}) if self.reader else None
        if reading is None:
            return refused
        knowledge = self.reasoner.knowledge
        told = keep_new(reading.evidence, known_circumstances(self.case, knowledge), knowledge)
        words, is_complaint = f"{self.moment.words}\n{text}".lstrip(), prompt.kind == "complaint"
        heard = Heard(self.case, told, len(words) - len(text))
        case = self._add_unsure(add_words(name_case(add_call(self.case, text), text), told, knowledge), words)
        passed = self.moment.passed | ({"complaint"} if is_complaint else set())
        pending = (*list_doubtful(told), *self.moment.pending)
        moment = replace(self.moment, case=case, passed=passed, pending=pending, words=words)
        movement = tell_movement(knowledge, self.ranking(), self._rank(moment))
        if not heard.count and not (is_complaint and movement != (STAYS,)):
            return refused
        self._move(replace(moment, heard=heard if heard.count else None))
        other = ("These words speak of another device than a valve actuator.",) if reading.is_other else ()
        notes = () if heard.count else ("No single thing was read for sure; the words count as a whole.",)
        return Reply((*other, *notes, *movement))

    def _add_unsure(self, case: Case, words: str) -> Case:
        """Put into a case what all words typed in this session may mean together, after earlier sessions' words."""
        read = self.reader.read({"text": words}).evidence if self.reader else Evidence()
        return case.model_copy(update={"unsure": merge_evidence(self.moment.earlier, keep_unsaid(read))})

    def _take_heard(self, prompt: Prompt, answer: Answer) -> Reply:
        """Strike out what is wrong of what was read, and ask it outright; the rest stands like an answer."""
        heard, numbers = self.moment.heard, read_choices(answer.text, len(prompt.choices))
        if heard is None or (numbers is None and answer.said not in {"yes", "no", "skip"}):
            return Reply((f"Type {prompt.hint}.",), accepted=False)
        everything = frozenset(range(heard.count)) if answer.said == "no" else frozenset()
        struck = frozenset(numbers) if numbers else everything
        call, before = self.case, self.ranking()
        base = heard.before.model_copy(update={"call": call.call, "title": call.title})
        left = strike_out(heard.evidence, struck)
        words = blank_out(self.moment.words, heard, struck)
        case = self._add_unsure(add_words(base, left, self.reasoner.knowledge, is_confirmed=True), words)
        pending = dict.fromkeys((*list_doubtful(heard.evidence, struck), *self.moment.pending))
        self._move(replace(self.moment, case=case, pending=tuple(pending), heard=None, words=words))
        movement = tell_movement(self.reasoner.knowledge, before, self.ranking())
        return Reply(movement if struck or movement != (STAYS,) else ())

    def _take_log(self, path: Path) -> Reply:
        knowledge, before = self.reasoner.knowledge, self.ranking()
        try:
            facts = read_log(path, knowledge, self.case.unit, latest_repair(self.case))
        except ValueError as error:
            return Reply((str(error),), accepted=False)
        self._move(replace(self.moment, case=add_to_case(self.case, facts, None)))
        movement = tell_movement(knowledge, before, self.ranking())
        return Reply((*say_facts(path, facts, knowledge), *movement))

    def _take_nothing(self, prompt: Prompt, answer: Answer) -> Reply:
        del prompt, answer
        return Reply(
            ("Nothing is left to ask; type close, back, rank, save or quit, or tell more.",), accepted=False
        )

    def _take_observation(self, prompt: Prompt, answer: Answer) -> Reply:
        states = {"yes": State.PRESENT, "no": State.ABSENT, "unknown": State.UNKNOWN, "skip": State.UNKNOWN}
        if answer.said == "work":
            return self._start_working(prompt)
        if answer.said not in states:
            return self._take_reading(prompt, answer)
        state, after = states[answer.said], latest_repair(self.case)
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
        told = CaseReading(reading=reading, value=answer.text, after=latest_repair(self.case))
        try:
            measured = build_measured(told, knowledge)
            facts = decide(knowledge, measured, self.case.unit)
        except ValueError as error:
            return Reply((_end_sentence(str(error)),), accepted=False)
        if not facts and self._needs_nominal(reading, prompt.id):
            return Reply(
                (f"The nominal value is not known, so {answer.text} decides nothing: say yes or no.",),
                accepted=False,
            )
        others = (r for r in self.case.readings if (r.reading, r.after) != (told.reading, told.after))
        return self._told_reading(self._with(readings=(*others, told)), reading, prompt.id, facts)

    def _start_working(self, prompt: Prompt) -> Reply:
        """Begin to work a reading out; where all inputs are known, take the result at once."""
        knowledge, look = self.reasoner.knowledge, choose_look(self.reasoner, self.moment, prompt.id)
        name = find_computed(knowledge, prompt.id)
        if name is None or look is None:
            return Reply(("No calculation gives this; type what was seen or read.",), accepted=False)
        working = Working(name, prompt.id, look)
        case = drop_result(self.case, working, knowledge)
        if find_missing(working, case, knowledge) is None:
            return self._finish_working(working, case)
        self._move(replace(self.moment, case=case, working=working))
        return Reply()

    def _take_input(self, prompt: Prompt, answer: Answer) -> Reply:
        working, knowledge = self.moment.working, self.reasoner.knowledge
        if working is None or answer.said in {"skip", "unknown"}:
            self._move(replace(self.moment, working=None))
            return Reply(("Left; what was given is kept, nothing was worked out.",))
        try:
            case = take_input(working, self.case, prompt.id, answer.text, knowledge)
        except ValueError as error:
            return Reply((_end_sentence(str(error)),), accepted=False)
        if find_missing(working, case, knowledge) is None:
            return self._finish_working(working, case)
        self._move(replace(self.moment, case=case))
        return Reply()

    def _finish_working(self, working: Working, case: Case) -> Reply:
        """Take the result as the reading, with the formula it came by."""
        knowledge, reading = self.reasoner.knowledge, self.reasoner.knowledge.computed[working.name].gives
        try:
            facts = decide(knowledge, find_result(working, case, knowledge), case.unit)
        except ValueError as error:
            return Reply((_end_sentence(str(error)),), accepted=False)
        reply = self._told_reading(case, reading, working.observation, facts)
        is_idle = not facts and self._needs_nominal(reading, working.observation)
        idle = ("The nominal value is not known, so this decides nothing: say yes or no.",) if is_idle else ()
        return Reply((*say_result(working, case, knowledge), *reply.lines, *idle))

    def _needs_nominal(self, reading: str, observation: str) -> bool:
        """Tell whether a reading decides an observation only against a nominal value that nobody knows."""
        decides = self.reasoner.knowledge.readings[reading].decides
        limits = [d.limit_of for d in decides if d.observation == observation and d.limit_of]
        return any(not getattr(self.case.unit, limit, None) for limit in limits)

    def _told_reading(self, case: Case, reading: str, observation: str, facts: tuple[Fact, ...]) -> Reply:
        """Keep a reading; what it leaves open for want of the nominal value is asked as yes or no."""
        reply = self._told(case, "" if self._needs_nominal(reading, observation) else observation)
        doubtful = [fact.origin.words for fact in facts if fact.state is State.UNKNOWN]
        return Reply((*reply.lines, *doubtful))

    def _told(self, case: Case, answered: str) -> Reply:
        """Keep an answer; what is then still told both ways is not asked a third time."""
        before = self.ranking()
        pending = tuple(name for name in self.moment.pending if name != answered)
        self._move(replace(self.moment, case=case, pending=pending, working=None))
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
            case = close_repaired(self.case, prompt.id, self.reasoner.knowledge)
            self._move(replace(self.moment, case=case, closing=True))
        elif numbers[0] == 1:
            again = self.reasoner.knowledge.observe_again(prompt.id)
            seen = {fact.observation for fact in self._evidence().facts}
            case = self._with(repairs=(*self.case.repairs, Repair(cause=prompt.id)))
            pending = tuple(name for name in again if name in seen)
            self._move(replace(self.moment, case=case, pending=pending, look=""))
        else:
            self._move(replace(self.moment, declined=self.moment.declined | {prompt.id}))
        return Reply()

    def _take_closing(self, prompt: Prompt, answer: Answer) -> Reply:
        try:
            value = read_closing(self.reasoner.knowledge, prompt.id, answer)
        except ValueError as error:
            return Reply((_end_sentence(str(error)),), accepted=False)
        self._move(replace(self.moment, case=add_close_out(self.case, {prompt.id: value})))
        return Reply()

    def _with(self, **changes: object) -> Case:
        return self.case.model_copy(update=changes)


def _end_sentence(text: str) -> str:
    return text if text.endswith(("?", ".")) else f"{text}."
