"""How many questions a session asks until the confirmed cause stands first and stays there.

Prints figures for the session and two other ways of asking; run by name:
python tests/benchmarks/bench_questions.py --cases 10
"""

import argparse
import math
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from scripted_answers import Script

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, load_cases
from diagnose.interfaces.moment import start_moment
from diagnose.interfaces.prompts import Prompt
from diagnose.interfaces.session import Session
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory
from diagnose.knowledge.yaml_nodes import read_yaml

MOST_QUESTIONS = 400
# gives the next observation to ask, or None at the end
Choose = Callable[[Session, frozenset[str]], str | None]


@dataclass
class Run:
    """One case asked in one way.

    Attributes:
        first: After each question, whether the confirmed cause stands first.
        told: Of the questions, how many the case answers.
    """

    first: list[bool] = field(default_factory=list)
    told: int = 0

    @property
    def questions(self) -> float:
        """Questions until the confirmed cause is first and stays so; infinite where it ends otherwise."""
        wrong = [number for number, is_first in enumerate(self.first, start=1) if not is_first]
        return math.inf if not self.first or not self.first[-1] else float(max(wrong, default=0) + 1)


def start(reasoner: Reasoner, script: Script) -> Session:
    """Start a session with the circumstances and the complaint of the case."""
    blank = Case(case="call", title="A call", unit=script.case.unit)
    session = Session(reasoner, start_moment(blank))
    while (prompt := session.prompt()).kind in {"circumstance", "complaint"}:
        session.answer(prompt, script.answer(prompt))
    return session


def note(run: Run, session: Session, script: Script, asked: str) -> None:
    """Note where the confirmed cause stands after a question."""
    confirmed = script.case.confirmed
    if confirmed is None:
        raise ValueError(script.case.case)
    run.first.append(session.ranking().causes[0].cause == confirmed.cause)
    run.told += script.tells(asked)


def run_session(reasoner: Reasoner, script: Script) -> Run:
    """Let the session choose; repairs are put off, so that it goes on looking to the end."""
    session, run = start(reasoner, script), Run()
    while len(run.first) < MOST_QUESTIONS:
        prompt = session.prompt()
        if prompt.kind == "finished":
            break
        session.answer(prompt, script.answer(prompt))
        if prompt.kind == "observation":
            note(run, session, script, prompt.id)
    return run


def run_otherwise(reasoner: Reasoner, script: Script, choose: Choose) -> Run:
    """Ask what belongs to the complaint first, as the session does, and then as `choose` says."""
    session, run = start(reasoner, script), Run()
    asked: set[str] = set()
    while len(run.first) < MOST_QUESTIONS:
        waiting = [name for name in session.moment.pending if name not in asked and is_open(session, name)]
        name = waiting[0] if waiting else choose(session, frozenset(asked))
        if name is None:
            break
        asked.add(name)
        prompt = Prompt("observation", name, name)
        session.answer(prompt, script.answer(prompt))
        note(run, session, script, name)
    return run


def is_open(session: Session, name: str) -> bool:
    """Tell whether an observation may be looked for now."""
    return any(name in new for new in open_looks(session).values())


def open_looks(session: Session) -> dict[str, tuple[str, ...]]:
    """List what may be looked at now."""
    return session.reasoner.open_looks(session._evidence(), session.moment.declined)


def choose_fixed(order: list[str]) -> Choose:
    """Ask in the order of the observations file."""

    def choose(session: Session, asked: frozenset[str]) -> str | None:
        allowed = {name for new in open_looks(session).values() for name in new}
        return next((name for name in order if name in allowed and name not in asked), None)

    return choose


def choose_probable(session: Session, asked: frozenset[str]) -> str | None:
    """Ask the observation that the leading cause, alone, shows most probably."""
    ranking = session.ranking()
    first, network = ranking.causes[0], ranking.network
    rows = [
        number
        for number, alternative in enumerate(network.alternatives)
        if alternative.members == (first.cause,)
    ]
    row = next((number for number in rows if network.alternatives[number].modes[0] == first.mode), rows[0])
    allowed = {name for new in open_looks(session).values() for name in new} - asked
    chances = network.tables.shown_alone[row]
    found = [(-chances[number], name) for number, name in enumerate(network.observations) if name in allowed]
    return min(found)[1] if found else None


def say(name: str, runs: list[Run], minutes: float) -> None:
    """Print the figures of one way of asking."""
    counts = [run.questions for run in runs]
    found = [count for count in counts if count < math.inf]
    asked = statistics.median(len(run.first) for run in runs)
    told = statistics.median(run.told for run in runs)
    print(
        f"{name:<22} median {statistics.median(counts):6.1f}  right at the end {len(found)} of {len(runs)}  "
        f"asked in all {asked:6.1f}, answered by the case {told:4.1f}  ({minutes:.1f} s)"
    )


def main() -> None:
    """Ask every case, or the first N spread over all, in three ways."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=0, metavar="N", help="only N cases, spread over all")
    wanted = parser.parse_args().cases
    knowledge = load_knowledge(rules_directory())
    cases = [c for c in load_cases(cases_directory(), knowledge).values() if c.confirmed]
    if wanted:
        cases = cases[:: max(1, len(cases) // wanted)][:wanted]
    scripts = [Script(knowledge, case) for case in cases]
    reasoner = Reasoner(knowledge)
    order = list(read_yaml(rules_directory() / "observations.yaml").data["observations"])
    ways: dict[str, Callable[[Script], Run]] = {
        "session": lambda script: run_session(reasoner, script),
        "fixed order": lambda script: run_otherwise(reasoner, script, choose_fixed(order)),
        "most probable first": lambda script: run_otherwise(reasoner, script, choose_probable),
    }
    print(f"{len(scripts)} cases; questions until the confirmed cause is first and stays first")
    results: dict[str, list[Run]] = {}
    for name, way in ways.items():
        begun = time.perf_counter()
        results[name] = [way(script) for script in scripts]
        say(name, results[name], time.perf_counter() - begun)
    for name in list(ways)[1:]:
        pairs = [(a.questions, b.questions) for a, b in zip(results["session"], results[name], strict=True)]
        fewer, more = sum(a < b for a, b in pairs), sum(a > b for a, b in pairs)
        print(f"session against {name}: fewer questions in {fewer} cases, more in {more}")


if __name__ == "__main__":
    main()
