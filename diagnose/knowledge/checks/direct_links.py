"""Check `direct-link`: what a consequence shows is linked to the consequence, not to a cause above it.

Takes Located, gives faults; may import supports.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Link
from diagnose.knowledge.supports import list_states
from diagnose.knowledge.yaml_nodes import Key


def check_direct_links(base: Located) -> Iterator[Fault]:
    """Find causes linked to what a state they bring about shows, and accepted ones that are not."""
    accepted = {(a.cause, a.observation): n for n, a in enumerate(base.knowledge.accepted.direct_links)}
    found = set()
    for cause in base.knowledge.causes:
        for at, observation, state in _find_links(base.knowledge, cause):
            found.add((cause, observation))
            if (cause, observation) not in accepted:
                wrong = f"'{observation}' is shown by the state '{state}' that this cause brings about"
                cure = "leave the link to the state, or accept it with the reason"
                yield base.fault(("causes", cause, *at), "direct-link", wrong, cure)
    for pair, number in accepted.items():
        if pair not in found:
            wrong = f"'{pair[0]}' has no link to '{pair[1]}' past a state"
            at = ("direct_links", number)
            yield base.fault(("whole", "accepted.yaml", *at), "stale", wrong, "remove the entry")


def _find_links(knowledge: Knowledge, cause: str) -> Iterator[tuple[Key, str, str]]:
    """Walk the links that a state of the same mode makes needless, each once."""
    done = set()
    for mode, state in list_states(knowledge, cause):
        shown = {link.to for link in knowledge.consequences[state].links if knowledge.strength(link) > 0}
        for at, link in _links_beside(knowledge, cause, mode):
            if link.to in shown and knowledge.strength(link) > 0 and at not in done:
                done.add(at)
                yield at, link.to, state


def _links_beside(knowledge: Knowledge, cause: str, mode: str | None) -> Iterator[tuple[Key, Link]]:
    """Walk the links that hold together with a mode, or with any mode where none is named."""
    record = knowledge.causes[cause]
    yield from ((("links", n), link) for n, link in enumerate(record.links))
    for name, face in record.modes.items():
        if mode in (None, name):
            yield from ((("modes", name, "links", n), link) for n, link in enumerate(face.links))
