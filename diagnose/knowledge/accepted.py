"""Models of `accepted.yaml`: what the checks find and the author accepts, each with the reason.

Takes nothing, gives models; may import words.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from diagnose.knowledge.words import Id, Model, Text

# A cause, or one mode of it.
FaceId = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?$", max_length=129)]


class Accepted(Model):
    """Anything accepted says why."""

    reason: Text


class Correlated(Accepted):
    """Two observations that the same causes show, yet each tells something of its own."""

    observations: tuple[Id, Id]


class Subsumed(Accepted):
    """A rule that fires only where another with the same conclusion fires as well."""

    rule: Id
    by: Id


class DirectLink(Accepted):
    """A cause linked to what a consequence of it shows, because it shows it by itself as well."""

    cause: Id
    observation: Id


class LookAlike(Accepted):
    """Two causes that no inspection tells apart, and the order of remedies that serves both."""

    causes: tuple[FaceId, FaceId]
    remedy_order: Text


class AcceptedFindings(Model):
    """All that is accepted, by kind."""

    correlated: tuple[Correlated, ...] = ()
    subsumed: tuple[Subsumed, ...] = ()
    direct_links: tuple[DirectLink, ...] = ()
    look_alikes: tuple[LookAlike, ...] = ()
