"""Located faults and the few exceptions of the program.

Takes nothing, gives the exception classes that every layer raises, and imports nothing of ours.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path


class ExitCode(IntEnum):
    """Exit codes of the command line; 1 is left to bugs."""

    DONE = 0
    USAGE = 2
    RULES_FAULTY = 3
    INPUT_FAULTY = 4
    SOME_REJECTED = 5


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong at one place.

    Attributes:
        path: File, or "-" for a stream, as the user named it.
        line: Line, from 1.
        column: Column, from 1.
        check: Id of the check that found it, shown in brackets.
        wrong: What is wrong, one clause.
        cure: What to do, one clause.
    """

    path: str
    line: int
    column: int
    check: str
    wrong: str
    cure: str

    def __str__(self) -> str:
        """Render the fault as one line, never wrapped; what cannot be printed is escaped."""
        line = f"{self.path}:{self.line}:{self.column}: [{self.check}] {self.wrong}; {self.cure}"
        # a name out of a hostile file may hold line breaks or terminal control codes
        return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in line)


class DiagnoseError(Exception):
    """Base of every error that is the input's fault, not the program's."""

    exit_code = ExitCode.INPUT_FAULTY


class FaultsFound(DiagnoseError):
    """Carries every fault found, once each, sorted by place."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Keep the faults sorted by path, line and column."""
        self.faults = tuple(sorted(set(faults)))
        # the argument stays the faults, so that the error survives the way between processes
        super().__init__(self.faults)

    def __str__(self) -> str:
        """Render one fault a line."""
        return "\n".join(map(str, self.faults))


class RulesFaulty(FaultsFound):
    """The rule base cannot be used as it stands."""

    exit_code = ExitCode.RULES_FAULTY


class InputFaulty(FaultsFound):
    """A case, ticket, unit record or answer cannot be used as it stands."""


class UsageWrong(DiagnoseError):
    """A command was called in a way it cannot follow; one line says what and how."""

    exit_code = ExitCode.USAGE


def fault_in_file(path: Path | str, check: str, wrong: str, cure: str) -> Fault:
    """Place a fault at the head of a file whose inside cannot be pointed at."""
    return Fault(str(path), 1, 1, check, wrong, cure)
