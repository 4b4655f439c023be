"""From the rule base to the network: priors, modes, exclusive sets, sets weighed together.

Takes Knowledge, gives a Network; may import network and knowledge.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Link, Mode, Together
from diagnose.ranking.network import (
    UNLISTED,
    Alternative,
    Links,
    Network,
    Variable,
    build_tables,
)  # fmt: skip


def compile_network(knowledge: Knowledge) -> Network:
    """Build the network of a rule base.

    Prior of a cause: prior scale times its share of all shares, `unlisted` included.

    Args:
        knowledge: The loaded rule base.

    Returns:
        The network with priors of a unit whose circumstances are unknown.
    """
    return _Builder(knowledge).build()


class _Builder:
    """Holds the look-ups needed while a network is built."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge
        self.observations = {o: i for i, o in enumerate(knowledge.observations)}
        self.states = {s: i for i, s in enumerate(knowledge.consequences)}
        listed = sum(cause.share for cause in knowledge.causes.values())
        self.shares = listed + knowledge.settings.unlisted.share

    def build(self) -> Network:
        knowledge = self.knowledge
        backgrounds = tuple(knowledge.background(o) for o in self.observations)
        rarities = knowledge.settings.backgrounds
        state_backgrounds = tuple(rarities[c.background] for c in knowledge.consequences.values())
        state_links = tuple(self._links(c.links, self.observations) for c in knowledge.consequences.values())
        variables = (*self._listed(), Variable((self._unlisted(state_links),)))
        return Network(
            observations=tuple(self.observations),
            states=tuple(self.states),
            groups=tuple(
                tuple(self.observations[m] for m in group.members) for group in knowledge.groups.values()
            ),
            variables=variables,
            shift_cap=knowledge.settings.thresholds.shift_cap_decibans,
            tables=build_tables(backgrounds, state_backgrounds, state_links, variables),
        )

    def _listed(self) -> list[Variable]:
        """Make one variable for each pair of sets, each other set, and each other cause."""
        exclusives = self.knowledge.exclusives
        paired = {name for together in exclusives.together for name in together.sets}
        in_sets = {cause for members in exclusives.sets.values() for cause in members}
        return [
            *(self._product(together) for together in exclusives.together),
            *(self._set(members) for name, members in exclusives.sets.items() if name not in paired),
            *(self._set((cause,)) for cause in self.knowledge.causes if cause not in in_sets),
        ]

    def _set(self, causes: Iterable[str]) -> Variable:
        return Variable(tuple(a for cause in causes for a in self._alternatives(cause)))

    def _alternatives(self, cause: str) -> tuple[Alternative, ...]:
        record = self.knowledge.causes[cause]
        odds = self._odds(record.share)
        if not record.modes:
            return (self._alternative(record, "", None, odds),)
        return tuple(
            self._alternative(record, name, mode, odds * mode.portion) for name, mode in record.modes.items()
        )

    def _alternative(self, cause: Cause, name: str, mode: Mode | None, odds: float) -> Alternative:
        own, brought = (mode.links, mode.brings_about) if mode else ((), ())
        return Alternative(
            members=(cause.cause,),
            modes=(name,),
            odds=odds,
            links=self._links((*cause.links, *own), self.observations),
            state_links=self._links((*cause.brings_about, *brought), self.states),
        )

    def _odds(self, share: float) -> float:
        prior = self.knowledge.settings.prior_scale * share / self.shares
        return prior / (1 - prior)

    def _links(self, links: Iterable[Link], index: dict[str, int]) -> Links:
        """Read links by index; a later link to the same target replaces an earlier one."""
        chances = {index[link.to]: self.knowledge.strength(link) for link in links}
        return {target: chance for target, chance in chances.items() if chance > 0}

    def _product(self, together: Together) -> Variable:
        first, second = (
            self._set(self.knowledge.exclusives.sets[name]).alternatives for name in together.sets
        )
        both = tuple(self._pair(a, b, together) for a in first for b in second)
        return Variable((*first, *second, *both))

    def _pair(self, a: Alternative, b: Alternative, together: Together) -> Alternative:
        members = a.members + b.members
        extra = [link for pair in together.pairs if set(pair.causes) == set(members) for link in pair.links]
        seen = self._links([x for x in extra if x.to in self.observations], self.observations)
        brought = self._links([x for x in extra if x.to in self.states], self.states)
        return Alternative(
            members=members,
            modes=a.modes + b.modes,
            odds=a.odds * b.odds,
            links=join_links(a.links, b.links, seen),
            state_links=join_links(a.state_links, b.state_links, brought),
        )

    def _unlisted(self, state_links: tuple[Links, ...]) -> Alternative:
        """Make the cause that is not listed.

        It shows an observation as often as a listed cause picked at random by share, one
        observation at a time. What listed causes show through a state is counted in its links
        to observations; it has no link to any state.
        """
        average = dict.fromkeys(range(len(self.observations)), 0.0)
        listed = sum(cause.share for cause in self.knowledge.causes.values())
        for name, cause in self.knowledge.causes.items():
            alternatives = self._alternatives(name)
            total = sum(a.odds for a in alternatives)
            for a in alternatives:
                for target, chance in links_through_states(a, state_links).items():
                    average[target] += cause.share / listed * (a.odds / total) * chance
        odds = self._odds(self.knowledge.settings.unlisted.share)
        return Alternative((UNLISTED,), ("",), odds, {o: q for o, q in average.items() if q > 0}, {})


def join_links(*parts: Links) -> Links:
    """Combine links that act at once by noisy-OR: 1 minus the product of the misses.

    Args:
        parts: Chances by target, of causes that are present together.

    Returns:
        The chance, by target, that at least one of them shows it.
    """
    joined: dict[int, float] = {}
    for links in parts:
        for target, chance in links.items():
            known = joined.get(target, 0.0)
            joined[target] = known + (1 - known) * chance
    return joined


def links_through_states(alternative: Alternative, state_links: tuple[Links, ...]) -> Links:
    """Give an alternative's chance to show each observation, directly or by a state.

    Args:
        alternative: The alternative, present alone.
        state_links: Links of each state to observations.

    Returns:
        Chance by observation: direct link and every route by a state, combined by noisy-OR.
    """
    routes = [
        {target: brought * chance for target, chance in state_links[state].items()}
        for state, brought in alternative.state_links.items()
    ]
    return join_links(alternative.links, *routes)
