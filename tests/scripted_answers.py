"""Answers a question session from what a case tells; everything else is "don't know"."""

from dataclasses import dataclass
from itertools import chain

from diagnose.facts.case_file import Case
from diagnose.interfaces.answers import Answer, read_answer
from diagnose.interfaces.prompts import Prompt, reading_of
from diagnose.knowledge.base import Knowledge

NOT_NOW = "3"


@dataclass(frozen=True)
class Script:
    """What one case tells, ready to answer prompts."""

    knowledge: Knowledge
    case: Case

    def answer(self, prompt: Prompt) -> Answer:
        """Answer a prompt as the person of the case would."""
        said = {
            "circumstance": self._circumstance,
            "complaint": lambda _: self._complaint(),
            "observation": self._observation,
            "repair": lambda _: NOT_NOW,
        }[prompt.kind](prompt)
        return read_answer(said)

    def tells(self, observation: str) -> bool:
        """Tell whether the case says yes or no to an observation, or gives its reading."""
        return self._say(observation) != "?"

    def _circumstance(self, prompt: Prompt) -> str:
        told = {**self.case.circumstances, **self.case.nameplate}.get(prompt.id, ())
        numbers = [list(self.knowledge.circumstances[prompt.id].values).index(value) + 1 for value in told]
        return ",".join(map(str, numbers))

    def _complaint(self) -> str:
        present = {fact.observation for fact in self.case.facts if fact.state == "present"}
        families = enumerate(self.knowledge.families.values(), start=1)
        return ",".join(str(number) for number, family in families if present & set(family.opens))

    def _observation(self, prompt: Prompt) -> str:
        return self._say(prompt.id)

    def _say(self, observation: str) -> str:
        states = {"present": "yes", "absent": "no", "unknown": "?"}
        reading = reading_of(self.knowledge, observation)
        return next(
            chain(
                (given.value for given in self.case.readings if given.reading == reading),
                (states[fact.state] for fact in self.case.facts if fact.observation == observation),
            ),
            "?",
        )
