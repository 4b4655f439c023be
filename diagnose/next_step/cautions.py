"""The safety lines that a piece of work calls for.

Takes work and the access states it passes through, gives caution ids; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Collection

from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge


def collect_cautions(
    knowledge: Knowledge, work: Work, path: Collection[str], also: Collection[str] = ()
) -> tuple[str, ...]:
    """Collect every safety line for a piece of work; none is ever left out.

    Args:
        knowledge: The lines and the acts that call for them.
        work: The inspection or remedy.
        path: Access states passed through on the way, both ends included.
        also: Lines that the rules call for.

    Returns:
        Ids in the order of the rule base, each once.
    """
    acts = {*work.acts, *(act for state in path for act in knowledge.access.states[state].acts)}
    called = {line for act in acts for line in knowledge.cautions.acts.get(act, ())}
    called |= {*work.cautions, *also}
    return tuple(line for line in knowledge.cautions.lines if line in called)
