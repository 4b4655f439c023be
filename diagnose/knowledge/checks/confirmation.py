"""Check `confirmation`: every cause has an inspection that can show what is expected of it.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Confirmation
from diagnose.knowledge.supports import list_shown


def check_confirmations(base: Located) -> Iterator[Fault]:
    """Find causes that none of their confirming inspections can confirm."""
    for name in base.knowledge.causes:
        shown = list_shown(base.knowledge, name)
        confirmations = base.knowledge.causes[name].confirmed_by
        if not any(_can_confirm(confirmation, shown) for confirmation in confirmations):
            wrong = f"'{name}' shows nothing that its confirming inspections expect to be present"
            cure = "link the cause to what is expected, or expect what it shows"
            yield base.fault(("causes", name, "confirmed_by"), "confirmation", wrong, cure)


def _can_confirm(confirmation: Confirmation, shown: frozenset[str]) -> bool:
    """Something must be seen that the cause shows: absences alone confirm no cause."""
    present = [o for o, state in confirmation.expects.items() if state == "present"]
    return bool(present) and all(observation in shown for observation in present)
