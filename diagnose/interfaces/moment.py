"""Where a question session stands, and what an answer did: frozen, so that going back is dropping the last one.

Takes nothing, gives records; may import facts.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.facts.case_file import Case
from diagnose.facts.model import Evidence
from diagnose.interfaces.hearing import Heard
from diagnose.interfaces.working_out import Working


@dataclass(frozen=True)
class Moment:
    """Where a session stands.

    Attributes:
        passed: Circumstances that were skipped, and the complaint once it was asked for.
        pending: Observations to ask next, in order.
        look: The inspection that the pending ones belong to; empty where the caller named them.
        declined: Repairs that were put off, and looks that tell nothing more.
        closing: Whether the call is being closed out.
        resumed: Whether the case held facts when the session began, so that its circumstances are not asked.
        heard: Typed words that were read and not looked over yet.
        working: A reading that is being worked out.
        words: All words typed in this session, with spaces in place of those that were struck out.
        earlier: What words of earlier sessions may mean.
    """

    case: Case
    passed: frozenset[str] = frozenset()
    pending: tuple[str, ...] = ()
    look: str = ""
    declined: frozenset[str] = frozenset()
    closing: bool = False
    resumed: bool = False
    heard: Heard | None = None
    working: Working | None = None
    words: str = ""
    earlier: Evidence = field(default_factory=Evidence)


def start_moment(case: Case) -> Moment:
    """Stand at the start of a session; a case that was being closed out goes on with that."""
    resumed = bool(case.facts or case.readings)
    return Moment(case, closing=case.closed is not None, resumed=resumed, earlier=case.unsure)


@dataclass(frozen=True)
class Reply:
    """What an answer did.

    Attributes:
        lines: Lines to show.
        accepted: Whether the answer was understood and the session moved on.
    """

    lines: tuple[str, ...] = ()
    accepted: bool = True
