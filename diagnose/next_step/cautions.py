"""The safety lines that a piece of work calls for.

Takes work, the access states it passes through and what is known, gives caution ids; may import knowledge and
ranking's conditions.
"""

from __future__ import annotations

from collections.abc import Collection

from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.sight import holds


def collect_cautions(
    knowledge: Knowledge,
    work: Work,
    path: Collection[str],
    also: Collection[str] = (),
    atoms: Collection[str] = (),
) -> tuple[str, ...]:
    """Collect every safety line for a piece of work; none that applies is ever left out.

    Args:
        knowledge: The lines and the acts that call for them.
        work: The inspection or remedy.
        path: Access states passed through on the way, both ends included.
        also: Lines that the rules call for.
        atoms: What is known of the unit; a line that it makes needless is left out, unless a rule calls for it.

    Returns:
        Ids in the order of the rule base, each once.
    """
    acts = {*work.acts, *(act for state in path for act in knowledge.access.states[state].acts)}
    called = {line for act in acts for line in knowledge.cautions.acts.get(act, ())}
    needless = {
        name
        for name in called
        if (where := knowledge.cautions.lines[name].needless_where) and holds(where, atoms)
    }
    called = (called - needless) | {*work.cautions, *also}
    return tuple(line for line in knowledge.cautions.lines if line in called)
