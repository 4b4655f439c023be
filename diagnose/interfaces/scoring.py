"""Tickets scored one chunk at a time, in this process or another.

Takes rows of tickets, gives lines of JSON; may import everything above interfaces.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from diagnose.explanation.asking import Asker
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.from_history import HistoryReader, parse_moment
from diagnose.facts.from_ticket import TicketReader, TicketReading
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin
from diagnose.facts.unit_record import circumstances_of_unit
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets.answer import Answer, build_answer, build_answers, build_next, build_other
from diagnose.interfaces.tickets.journal import REJECTED, SCORED
from diagnose.interfaces.tickets.priority import raise_priority
from diagnose.interfaces.tickets.record import write_rejected, write_scored
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.unit import UnitRecord
from diagnose.ranking.batch import BatchRanker
from diagnose.ranking.mentions import Saying, compile_lifts, find_sayings

# Answers kept, about 20 kB each with the clauses they rest on; more than a chunk of rows.
REMEMBERED = 2_000


class Scorer:
    """Scores tickets by one rule base; equal sets of facts are reckoned once."""

    def __init__(self, plan: Plan) -> None:
        """Make the rule base and its language ready.

        Raises:
            RulesFaulty: They cannot be used.
        """
        knowledge = load_knowledge(plan.rules)
        self._plan = plan
        self._reasoner = Reasoner(knowledge)
        self._reader = TicketReader(
            knowledge, load_language(plan.rules, knowledge), for_many=not plan.with_next
        )
        self._history = HistoryReader(knowledge, self._reader)
        self._ranker = BatchRanker(self._reasoner.prepared)
        self._asker = Asker(knowledge, self._reasoner.prepared.network)
        self._other = build_other(knowledge)
        self._known: dict[Evidence, Answer] = {}

    def score(self, rows: Sequence[Row]) -> list[str]:
        """Score rows, each to one line that starts with "+" or, rejected, with "-"."""
        understood = [self._understand(row) for row in rows]
        self._reckon_at_once([reading for _, reading in understood if isinstance(reading, TicketReading)])
        return [self._write(row, reading) for row, reading in understood]

    def _understand(self, row: Row) -> tuple[Row, TicketReading | str]:
        """Read a row, or say why it is rejected."""
        if row.fault:
            return row, row.fault
        try:
            return self.read(row)
        except Exception as error:  # noqa: BLE001 - one ticket must not cost the others their scores
            return row, _say_bug(error)

    def _write(self, row: Row, reading: TicketReading | str) -> str:
        if isinstance(reading, str):
            return REJECTED + write_rejected(row, reading)
        try:
            answer = self._other if reading.is_other else self.answer(strip_words(reading.evidence))
        except Exception as error:  # noqa: BLE001 - one ticket must not cost the others their scores
            return REJECTED + write_rejected(row, _say_bug(error))
        back = f"the trouble of ticket {row.earlier.ticket} is back" if row.earlier else ""
        priority = raise_priority(answer.priority, dict(reading.urgent), back)
        return SCORED + write_scored(row, reading, answer, priority, self._find_sayings(reading, answer))

    def _find_sayings(self, reading: TicketReading, answer: Answer) -> list[Saying]:
        """Tell what the clauses say that no phrase read."""
        prepared = self._reasoner.prepared
        spoken = prepared.knowledge.mentions
        lifts = compile_lifts(prepared.network, spoken)
        told = {(fact.observation, fact.state) for fact in reading.evidence.facts}
        if not answer.chances:
            return []
        sayings = find_sayings(lifts, spoken, reading.evidence.mentions, answer.chances)
        return [saying for saying in sayings if (saying.observation, saying.state) not in told]

    def _reckon_at_once(self, readings: Iterable[TicketReading]) -> None:
        """Answer all new sets of facts together; the planner looks at one unit at a time anyway."""
        every = dict.fromkeys(strip_words(r.evidence) for r in readings if not r.is_other)
        new = [evidence for evidence in every if evidence not in self._known]
        if self._plan.with_next or not new:
            return
        try:
            ranked = self._ranker.rank_many(new)
            answers = list(build_answers(self._reasoner.knowledge, self._asker, ranked))
        except Exception:  # noqa: BLE001 - each is then reckoned by itself, and the bad one told
            return
        for evidence, answer in zip(new, answers, strict=True):
            self._keep(evidence, answer)

    def read(self, row: Row) -> tuple[Row, TicketReading]:
        """Read a ticket, join its unit record and its history; give the row with what is to be noted of it."""
        row, reading = self._join_earlier(row, self._reader.read(row.values))
        asset = row.values.get("asset", "").strip()
        if not asset or not self._plan.units:
            return row, reading
        unit = self._plan.units.get(asset)
        if unit is None:
            return replace(row, notes=(*row.notes, f"no unit record for {asset}")), reading
        return row, replace(reading, evidence=_join_unit(reading.evidence, self._circumstances(unit)))

    def _join_earlier(self, row: Row, reading: TicketReading) -> tuple[Row, TicketReading]:
        """Join the last closed ticket of the asset; where it is not the same trouble, it counts as work only."""
        opened = parse_moment(row.values.get("opened", ""))
        if row.earlier is None or opened is None or reading.is_other:
            return row, reading
        joined = self._history.add_earlier(reading, row.earlier, opened)
        notes = (*row.notes, joined.note) if joined.note else row.notes
        return replace(row, notes=notes, earlier=row.earlier if joined.is_same else None), joined.reading

    def _circumstances(self, unit: UnitRecord) -> tuple[CircumstanceFact, ...]:
        return tuple(circumstances_of_unit(unit, self._reasoner.knowledge))

    def answer(self, evidence: Evidence) -> Answer:
        """Answer one set of facts, from memory where it came before."""
        known = self._known.get(evidence)
        return known or self._keep(evidence, self._reckon(evidence))

    def _keep(self, evidence: Evidence, answer: Answer) -> Answer:
        if len(self._known) >= REMEMBERED:
            self._known.pop(next(iter(self._known)))
        self._known[evidence] = answer
        return answer

    def _reckon(self, evidence: Evidence) -> Answer:
        ranking = self._reasoner.rank(evidence)
        step = self._reasoner.choose(evidence) if self._plan.with_next else None
        following = build_next(self._reasoner, step) if step else None
        return build_answer(self._reasoner.knowledge, ranking, following)


def _say_bug(error: Exception) -> str:
    return f"a fault of the program, please report it ({type(error).__name__}: {error})"


def _join_unit(evidence: Evidence, told: tuple[CircumstanceFact, ...]) -> Evidence:
    """Add what the nameplate tells; what the ticket says of the same circumstance gives way to it."""
    sure = {fact.circumstance for fact in told}
    said = tuple(fact for fact in evidence.circumstances if fact.circumstance not in sure)
    return replace(evidence, circumstances=(*said, *told))


def strip_words(evidence: Evidence) -> Evidence:
    """Leave out the words and put all in order, so that equal sets of facts are equal.

    Words explain a fact; its weight comes from its kind of origin alone.
    """
    facts = sorted(
        Fact(f.observation, f.state, Origin(f.origin.kind), f.likelihood, f.after) for f in evidence.facts
    )
    told = {
        CircumstanceFact(c.circumstance, c.value, c.certain, Origin(c.origin.kind))
        for c in evidence.circumstances
    }
    heard = sorted(replace(mention, origin=Origin(mention.origin.kind)) for mention in evidence.mentions)
    return Evidence(
        tuple(facts), tuple(sorted(told)), tuple(sorted(evidence.repaired)), tuple(heard), evidence.likeness
    )
