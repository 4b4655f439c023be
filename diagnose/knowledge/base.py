"""The loaded knowledge base: everything the reasoning layers read, frozen.

Takes models, gives look-ups; may import the model modules only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

from diagnose.knowledge.accepted import AcceptedFindings
from diagnose.knowledge.acting import Access, Cautions, Inspection, Remedy
from diagnose.knowledge.mentions import Mentions
from diagnose.knowledge.reasons import Cause, Consequence, Exclusives, Link, Rule
from diagnose.knowledge.seeing import (
    Circumstance,
    Computed,
    Family,
    Group,
    Observation,
    Reading,
    SightCondition,
)
from diagnose.knowledge.settings import Settings
from diagnose.knowledge.stroke_limits import StrokeLimits


@dataclass(frozen=True)
class Knowledge:
    """All models of one rule base, keyed by id in sorted order.

    Attributes:
        version: Short digest of all rule files, reported with every result.
    """

    version: str
    settings: Settings
    conditions: dict[str, SightCondition]
    families: dict[str, Family]
    groups: dict[str, Group]
    observations: dict[str, Observation]
    circumstances: dict[str, Circumstance]
    readings: dict[str, Reading]
    access: Access
    cautions: Cautions
    inspections: dict[str, Inspection]
    causes: dict[str, Cause]
    consequences: dict[str, Consequence]
    exclusives: Exclusives
    rules: dict[str, Rule] = field(default_factory=dict)
    computed: dict[str, Computed] = field(default_factory=dict)
    accepted: AcceptedFindings = field(default_factory=AcceptedFindings)
    stroke_limits: StrokeLimits | None = None
    mentions: Mentions = field(default_factory=Mentions)

    @cached_property
    def looks(self) -> dict[str, Inspection]:
        """Every inspection, and for each observation that none reveals alone a look for it."""
        alone = {i.reveals[0] for i in self.inspections.values() if len(i.reveals) == 1}
        single = {
            f"look_for_{name}": Inspection(
                says=record.question or record.says,
                how=(record.how or record.says,),
                access=record.access,
                minutes=record.minutes,
                acts=record.acts,
                reveals=(name,),
                source=record.source,
            )
            for name, record in self.observations.items()
            if not record.derived and name not in alone
        }
        return self.inspections | single

    @cached_property
    def look_alone(self) -> dict[str, str]:
        """Name, for each observation that can be looked at, the quickest look that reveals it alone."""
        alone = [name for name, look in self.looks.items() if len(look.reveals) == 1]
        alone.sort(key=lambda name: (-self.looks[name].minutes, name))
        return {self.looks[name].reveals[0]: name for name in alone}

    def strength(self, link: Link) -> float:
        """Give the probability behind a link's word."""
        return self.settings.strengths[link.strength]

    def background(self, observation: str) -> float:
        """Give the probability that an observation shows up with none of its causes."""
        return self.settings.backgrounds[self.observations[observation].background]

    def group_of(self, observation: str) -> tuple[str, ...]:
        """List the ordered members of the observation's group, or nothing."""
        return self._members_by_observation.get(observation, ())

    @cached_property
    def _members_by_observation(self) -> dict[str, tuple[str, ...]]:
        return {member: group.members for group in self.groups.values() for member in group.members}

    def named_remedy(self, name: str) -> Remedy | None:
        """Give the remedy of a cause, a cause.mode, or a consequence state; None where there is none."""
        cause, _, mode = name.partition(".")
        if cause in self.consequences:
            return self.consequences[cause].remedy
        if cause not in self.causes or (mode and mode not in self.causes[cause].modes):
            return None
        return self.remedy(cause, mode or None)

    def observe_again(self, name: str) -> tuple[str, ...]:
        """List what a repair makes stale: the observations that its remedy says to look at again."""
        remedy = self.named_remedy(name)
        return remedy.observe_again if remedy else ()

    def remedy(self, cause: str, mode: str | None = None) -> Remedy:
        """Give the remedy of a cause, or of its mode where the mode has its own."""
        of_mode = self.causes[cause].modes[mode].remedy if mode else None
        return of_mode or self.causes[cause].remedy

    def all_links(self, cause: str) -> Iterator[tuple[str | None, Link]]:
        """Walk the links of a cause to observations, with the mode where a mode has them."""
        record = self.causes[cause]
        yield from ((None, link) for link in record.links)
        for name, mode in record.modes.items():
            yield from ((name, link) for link in mode.links)
