"""The whole chain for one unit: rank, choose the next step, explain.

Takes a loaded knowledge base, gives answers to evidence; the one door that the interfaces use.
"""

from __future__ import annotations

from functools import lru_cache

from diagnose.explanation.build import build_explanation
from diagnose.explanation.document import Explanation
from diagnose.facts.model import Evidence
from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.access import add_unknowns, compile_access, list_available
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.choose import NextStep, Progress, build_situation, choose_next
from diagnose.next_step.options import list_inspections
from diagnose.ranking.rank import Ranking, prepare_ranking, rank_evidence

# A session looks at the same evidence several times for each answer.
_REMEMBERED = 64


class Reasoner:
    """A rule base made ready to answer; the same evidence always gives the same answer."""

    def __init__(self, knowledge: Knowledge) -> None:
        """Compile the rule base.

        Raises:
            RulesFaulty: The rules cannot be compiled.
        """
        self.knowledge = knowledge
        self.prepared = prepare_ranking(knowledge)
        self.compiled = self.prepared.compiled
        self.rank = lru_cache(maxsize=_REMEMBERED)(self._rank)
        self.choose = lru_cache(maxsize=_REMEMBERED)(self._choose)
        self.open_looks = lru_cache(maxsize=_REMEMBERED)(self._open_looks)

    def _rank(self, evidence: Evidence) -> Ranking:
        """Rank the causes."""
        return rank_evidence(self.prepared, evidence)

    def _choose(self, evidence: Evidence, skipped: frozenset[str] = frozenset()) -> NextStep:
        """Choose the next step, leaving out inspections and repairs that were put off."""
        # what was repaired in vain already weighs less in the ranking, so the planner only leaves it out
        progress = Progress(skipped=skipped | frozenset(evidence.repaired))
        return choose_next(self.knowledge, self.rank(evidence), progress)

    def explain(self, evidence: Evidence, case: str, title: str) -> Explanation:
        """Explain the ranking and the next step in one document."""
        return build_explanation(self, evidence, case, title)

    def _open_looks(
        self, evidence: Evidence, skipped: frozenset[str] = frozenset()
    ) -> dict[str, tuple[str, ...]]:
        """List the looks that may be taken now, each with the observations it would newly decide.

        What was told, what follows from it, what could not be seen, what is excluded or out of
        reach today, and a live look where a dead one tells the same are left out.
        """
        ranking = self.rank(evidence)
        progress = Progress(skipped=skipped)
        situation = build_situation(self.knowledge, ranking.chained, ranking.beliefs, progress)
        return {name: new for name, (_, new) in list_inspections(self.knowledge, situation).items()}

    def look_for(self, observation: str) -> str:
        """Name the look that reveals one observation alone."""
        return self.knowledge.look_alone[observation]

    def cautions_of_look(self, name: str, evidence: Evidence) -> tuple[str, ...]:
        """Give the safety lines that go with one look, the way to it included."""
        return self._cautions_of(self.knowledge.looks[name], evidence)

    def cautions_of_access(self, state: str, evidence: Evidence) -> tuple[str, ...]:
        """Give the safety lines that go with entering a state of the unit, the way to it included."""
        return self._cautions_of(Work(says=state, access=state, minutes=1), evidence)

    def _cautions_of(self, work: Work, evidence: Evidence) -> tuple[str, ...]:
        chained = self.rank(evidence).chained
        ways = compile_access(
            self.knowledge, list_available(self.knowledge, add_unknowns(self.knowledge, chained.atoms))
        )
        path = ways.path(self.knowledge.access.start, work.access) or (work.access,)
        return self.say_cautions(
            collect_cautions(self.knowledge, work, path, tuple(chained.cautions), chained.atoms)
        )

    def say_cautions(self, ids: tuple[str, ...]) -> tuple[str, ...]:
        """Give the sentences of safety lines."""
        return tuple(self.knowledge.cautions.lines[name].says for name in ids)
