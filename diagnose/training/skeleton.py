"""A case skeleton to fill in: every section with a comment, and what the confirmed cause needs where it is known.

Takes the rule base and the name of the case, gives YAML text; may import knowledge.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause

# A file named after a cause, as shipped cases are: open_cam_early-03.
_NAMED = re.compile(r"^(?P<cause>[a-z][a-z0-9_]*?)(-[0-9]+)?$")


def write_skeleton(knowledge: Knowledge, name: str) -> str:
    """Write a case to fill in.

    Args:
        knowledge: The rule base.
        name: Id of the case, part/cause-03 as a shipped one; the cause is taken from it where there is such a one.

    Returns:
        YAML that reads as a case; until it is filled in the check says what it lacks.
    """
    found = _NAMED.match(name.rpartition("/")[2])
    cause = found["cause"] if found else ""
    record = knowledge.causes.get(cause)
    return "\n".join([*_write_call(name), *_write_circumstances(knowledge), *_write_facts(record),
                      *_write_found(cause if record else "unlisted", record)]) + "\n"  # fmt: skip


def _write_call(name: str) -> Iterator[str]:
    yield f"case: {name}"
    yield "# one line, as the call is listed; what was noticed, never what it was"
    yield "title: Say in one line what was noticed"
    yield "# the call as it came in, in the caller's words; the words of the cause's name or of its remedy give it away"
    yield "call: |"
    yield "  Who called, from where, which unit, what was noticed, since when, what was tried."


def _write_circumstances(knowledge: Knowledge) -> Iterator[str]:
    """Write the circumstances a call-taker asks first, each with its values in a comment."""
    yield "# what is known beforehand; take the # away and keep one value; leave out what nobody knows"
    yield "circumstances:"
    for name, record in knowledge.circumstances.items():
        if record.asked_first:
            yield f"  # {name}: {' | '.join(record.values)}"
    yield "  {}"


def _write_facts(record: Cause | None) -> Iterator[str]:
    """Write what confirms the cause and what it shows, each a line to take in."""
    yield "# one line a finding: state is present, absent or unknown; words as the technician said them;"
    yield "# origin: hearsay where nobody on the spot saw it; after: CAUSE where it was seen after that repair"
    yield "facts: []"
    if record is None:
        yield '#  - {observation: ..., state: present, words: "..."}'
        return
    confirming = {name: state for way in record.confirmed_by for name, state in way.expects.items()}
    yield "# confirms the cause; at least one inspection must be able to show this:"
    for name, state in confirming.items():
        yield f'#  - {{observation: {name}, state: {state}, words: "..."}}'
    shown = [link.to for link in record.links if link.strength != "never" and link.to not in confirming]
    yield f"# the cause also shows: {', '.join(shown) or 'nothing else'}"
    yield "# what the case leaves out is drawn from the strengths when it is played"
    yield "# readings, with their unit:"
    yield "readings: []"


def _write_found(cause: str, record: Cause | None) -> Iterator[str]:
    yield "# what was really found; the learner sees it in the debrief only"
    yield "confirmed:"
    yield f"  cause: {cause}"
    if record and record.modes:
        yield f"  # mode: {' | '.join(record.modes)}"
    yield "  found: Say what was found, what was done, and how it was proved."
    yield "  # misleading: what points elsewhere, and which fact shows it"
