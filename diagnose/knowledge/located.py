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

    def fault(self, section: str, name: str, at: Key, check: str, wrong: str, cure: str) -> Fault:
        """Make a fault placed inside an entry.

        Args:
            section: Section of the entry, `whole` for a file that is one entry.
            name: Its id, or the file.
            at: Key inside the entry; () for the entry itself.
            check: Id of the check.
            wrong: What is wrong, one clause.
            cure: What to do, one clause.
        """
        if (section, name) not in self.places:
            return fault_in_file(name, check, wrong, cure)
        document, key = self.places[section, name]
        return document.fault((*key, *at), check, wrong, cure)
