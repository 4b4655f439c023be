"""Steps that tests of the question session share."""

from dataclasses import replace

from diagnose.facts.case_file import Case, CaseFact
from diagnose.facts.from_ticket import TicketReader
from diagnose.interfaces.answers import read_answer
from diagnose.interfaces.moment import start_moment
from diagnose.interfaces.session import Session

EMPTY = Case(case="call")


def start(reasoner, case: Case = EMPTY, reader: TicketReader | None = None) -> Session:
    """Start a session on a case, with a reader of words or without one."""
    return Session(reasoner, start_moment(case), lambda: reader)


def at_complaint(reasoner, reader: TicketReader, **circumstances: str) -> Session:
    """Come to the complaint, everything in reach and no hazardous area unless told otherwise."""
    told = {"reach": "everything", "hazardous_area": "safe", **circumstances}
    case = EMPTY.model_copy(update={"circumstances": {name: (value,) for name, value in told.items()}})
    session = start(reasoner, case, reader)
    while session.prompt().kind == "circumstance":
        say(session, "")
    return session


def ask_next(session: Session, *observations: str) -> Session:
    """Put observations first in line, after the complaint."""
    passed = session.moment.passed | {"complaint"}
    session.moment = replace(session.moment, passed=passed, pending=observations)
    return session


def say(session: Session, *lines: str):
    """Type lines, each at the prompt of its moment; give the last reply."""
    reply = None
    for line in lines:
        reply = session.answer(session.prompt(), read_answer(line))
    return reply


def asked(session: Session, answer: str = "?", most: int = 40) -> list[str]:
    """Answer the same to every observation, put repairs off, and list what was asked."""
    found = []
    while len(found) < most:
        prompt = session.prompt()
        if prompt.kind == "finished":
            return found
        if prompt.kind == "observation":
            found.append(prompt.id)
        say(session, "3" if prompt.kind == "repair" else answer)
    return found


def with_facts(**states: str) -> Case:
    """Make a case of the small base."""
    facts = tuple(CaseFact(observation=name, state=state) for name, state in states.items())
    return EMPTY.model_copy(update={"facts": facts})


def until(session: Session, kind: str, answer: str = "no"):
    """Answer observations until another kind of prompt comes, and give it."""
    for _ in range(40):
        prompt = session.prompt()
        if prompt.kind == kind:
            return prompt
        say(session, answer)
    raise AssertionError(f"never came to {kind}")
