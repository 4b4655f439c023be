"""A loaded rule base together with the place of every entry, for the checks that point at them.

Takes Knowledge and places, gives faults with path, line and column; may import base and yaml_nodes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.errors import Fault, fault_in_file
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.yaml_nodes import Document, Key


@dataclass(frozen=True, eq=False)
class Located:
    """A rule base and where its entries stand.

    Attributes:
        places: File and key of each entry, by section and id.
    """

    knowledge: Knowledge
    places: Mapping[tuple[str, str], tuple[Document, Key]]

    def fault(self, spot: Key, check: str, wrong: str, cure: str) -> Fault:
        """Make a fault placed inside an entry.

        Args:
            spot: Section of the entry (`whole` for a file that is one entry), its id or file, then
                the key inside it, if any.
            check: Id of the check.
            wrong: What is wrong, one clause.
            cure: What to do, one clause.
        """
        entry = (str(spot[0]), str(spot[1]))
        if entry not in self.places:
            return fault_in_file(entry[1], check, wrong, cure)
        document, key = self.places[entry]
        return document.fault((*key, *spot[2:]), check, wrong, cure)
