"""Closing a call out: what is asked, what was typed checked field by field, what the case keeps of it.

Takes answers, gives values and cases; may import knowledge and facts.
"""

from __future__ import annotations

import math
import re

from diagnose.facts.case_file import Case, CloseOut, Repair
from diagnose.facts.quantity import parse_quantity
from diagnose.interfaces.answers import Answer
from diagnose.interfaces.prompts import CLOSING, Prompt, ask_closing
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.validate import suggest

_MOST_MINUTES = 100_000


def read_closing(knowledge: Knowledge, name: str, answer: Answer) -> str | float | None:
    """Read one field of the close-out.

    Args:
        knowledge: Names the causes.
        name: The field.
        answer: What was typed; nothing and "?" leave the field empty.

    Returns:
        The root cause's id, the minutes, or the text; None for an id or a number left out.

    Raises:
        ValueError: No such cause, or no number of minutes.
    """
    text = "" if answer.said in {"skip", "unknown"} else answer.text
    if name == "root_cause":
        return _ensure_cause(knowledge, text) if text else None
    if name == "minutes":
        return _read_minutes(text) if text else None
    return text


def _ensure_cause(knowledge: Knowledge, text: str) -> str:
    if text not in knowledge.causes and text != "unlisted":
        cure = suggest(text, knowledge.causes, "give an id as shown by rank, or leave it empty")
        raise ValueError(f"no cause '{text}'; {cure}")
    return text


def _read_minutes(text: str) -> float:
    """Read minutes; a bare number is minutes, a unit of time is converted."""
    bare = re.fullmatch(r"[0-9]{1,6}([.,][0-9]{1,3})?", text)
    minutes = float(text.replace(",", ".")) if bare else parse_quantity(text, "min")
    if not 0 <= minutes <= _MOST_MINUTES or not math.isfinite(minutes):
        raise ValueError("a call takes between 0 and 100000 minutes; type the minutes, or Enter if unknown")
    return minutes


def ask_next_closing(case: Case) -> Prompt:
    """Ask what the close-out still lacks."""
    given = case.closed.model_fields_set if case.closed else set()
    for name in CLOSING:
        if name not in given:
            return ask_closing(name)
    return Prompt("finished", "closed", "The call is closed out.")


def close_repaired(case: Case, name: str, knowledge: Knowledge) -> Case:
    """Begin to close out with what was done; the root stays open where only a state was put right."""
    remedy, cause = knowledge.named_remedy(name), name.partition(".")[0]
    fields: dict[str, object] = {"done": remedy.says if remedy else name}
    if cause in knowledge.causes:
        fields["root_cause"] = cause
    repairs = (*case.repairs, Repair(cause=name, still_faulty=False))
    return add_close_out(case, fields).model_copy(update={"repairs": repairs})


def add_close_out(case: Case, fields: dict[str, object]) -> Case:
    """Add fields to the close-out of a case."""
    given = case.closed.model_dump(exclude_unset=True) if case.closed else {}
    return case.model_copy(update={"closed": CloseOut.model_validate({**given, **fields})})
