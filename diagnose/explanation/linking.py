"""How things of the knowledge base hang together, read both ways and through states.

Takes the knowledge base, gives links with their strengths; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Link
from diagnose.knowledge.words import Condition


@dataclass(frozen=True, order=True)
class Shown:
    """One way in which a cause or state shows an observation.

    Attributes:
        probability: P(observation | cause alone, this way, no background); a mode counts with its portion.
        words: The strength words along the way.
        through: The state between, or empty.
        mode: The mode whose link it is, or empty.
        source: Source of the link where it has its own.
    """

    probability: float
    cause: str
    observation: str
    words: tuple[str, ...]
    through: str
    mode: str
    source: str


def list_shown(knowledge: Knowledge, cause: str) -> tuple[Shown, ...]:
    """List every way in which a cause shows an observation, strongest first, denials last."""
    record = knowledge.causes[cause]
    faces = [("", 1.0, record.links, record.brings_about)]
    faces += [(name, mode.portion, mode.links, mode.brings_about) for name, mode in record.modes.items()]
    found = [shown for face in faces for shown in _shown_by_face(knowledge, cause, face)]
    return tuple(sorted(found, key=lambda s: (-s.probability, s.observation, s.through, s.mode)))


def _shown_by_face(
    knowledge: Knowledge, cause: str, face: tuple[str, float, tuple[Link, ...], tuple[Link, ...]]
) -> Iterator[Shown]:
    """Walk the links of one face of a cause: mode, portion, direct links, links to states."""
    mode, portion, links, states = face
    for link in links:
        chance = portion * knowledge.strength(link)
        yield Shown(chance, cause, link.to, (link.strength,), "", mode, link.source or "")
    for state in states:
        for link in knowledge.consequences[state.to].links:
            chance = portion * knowledge.strength(state) * knowledge.strength(link)
            words = (state.strength, link.strength)
            yield Shown(chance, cause, link.to, words, state.to, mode, link.source or "")


def list_showing(knowledge: Knowledge, observation: str) -> tuple[Shown, ...]:
    """List every way in which any cause shows an observation, strongest first, denials last."""
    found = [
        shown
        for cause in knowledge.causes
        for shown in list_shown(knowledge, cause)
        if shown.observation == observation
    ]
    return tuple(sorted(found, key=lambda s: (-s.probability, s.cause, s.through, s.mode)))


def list_bringing(knowledge: Knowledge, state: str) -> tuple[tuple[str, str, Link], ...]:
    """List the causes, their modes and their links that bring a state about, strongest first."""
    found = []
    for name, cause in knowledge.causes.items():
        faces = [("", cause.brings_about), *((key, mode.brings_about) for key, mode in cause.modes.items())]
        found += [(name, mode, link) for mode, links in faces for link in links if link.to == state]
    return tuple(sorted(found, key=lambda item: (-knowledge.strength(item[2]), item[0], item[1])))


def is_asked_by(condition: Condition, name: str) -> bool:
    """Tell whether a condition names an observation or circumstance."""
    return any(atom.name == name for atom in condition.atoms())


def list_works(knowledge: Knowledge) -> Iterator[tuple[str, str, Work]]:
    """Walk every inspection and remedy: what it is, the id it belongs to, and the work."""
    for name, inspection in knowledge.inspections.items():
        yield "inspection", name, inspection
    for name, cause in knowledge.causes.items():
        yield "remedy", name, cause.remedy
        for mode, face in cause.modes.items():
            if face.remedy is not None:
                yield "remedy", f"{name}.{mode}", face.remedy
    for name, state in knowledge.consequences.items():
        if state.remedy is not None:
            yield "remedy", name, state.remedy
