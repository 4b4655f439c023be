"""What a look gives in a lesson: what the case states, and for the rest a draw given the confirmed cause.

Takes a case, the network and a seed, gives a World that answers every look; may import explanation and above.
The whole world is drawn at once, so its answers agree with each other in whatever order they are asked for.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import prod

import numpy as np

from diagnose.explanation.reasoner import Reasoner
from diagnose.explanation.reasons import state_sentence
from diagnose.facts.case_file import Case, Confirmed, evidence_of_case
from diagnose.facts.model import Belief, CircumstanceFact, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.network import Alternative, Floats, Network
from diagnose.ranking.rank import Ranking
from diagnose.ranking.sight import holds
from diagnose.training.meters import Meter, choose_number
from diagnose.training.records import Shown

_NEVER = 1e-12
# Consequence states together rarer than this, given the cause, are not drawn.
_TOO_RARE = 1e-6


@dataclass(frozen=True, eq=False)
class World:
    """Everything that is so at the unit of a lesson.

    Attributes:
        states: State of every plain observation.
        drawn: Observations on which the case is silent.
        words: What the case says of an observation.
        readings: What a meter shows, by reading; readings of the case, and drawn ones that fit.
        circumstances: What the case tells beforehand.
        atoms: Everything that conditions on the unit itself are judged on.
        mode: Mode of the confirmed cause; empty where it has none.
        consequences: Consequence states that are on.
    """

    states: Mapping[str, State]
    drawn: frozenset[str]
    words: Mapping[str, str]
    readings: Mapping[str, str]
    circumstances: tuple[CircumstanceFact, ...]
    atoms: frozenset[str]
    mode: str
    consequences: frozenset[str]


def build_world(reasoner: Reasoner, case: Case, confirmed: Confirmed, seed: int) -> World:
    """Draw what a case does not state from the strengths, given its confirmed cause.

    Args:
        reasoner: The rule base made ready.
        case: What was seen at the unit.
        confirmed: What was really found.
        seed: Makes the draw repeatable.

    Returns:
        The world; what the case states holds in it word for word.
    """
    knowledge, network = reasoner.knowledge, reasoner.prepared.network
    evidence = evidence_of_case(case, knowledge)
    ranking = reasoner.rank(evidence)
    stated = _list_stated(knowledge, ranking)
    random = np.random.default_rng([seed, zlib.crc32(case.case.encode())])
    faults, on = _draw_faults(network, confirmed, stated, random)
    chances = _show_chances(network, faults, on)
    states = _draw_observations(network, chances, stated, random)
    states = _hide_what_cannot_show(knowledge, states, stated, ranking)
    readings = dict(_list_readings(knowledge, case, states, seed))
    return World(
        states=states,
        drawn=frozenset(states) - frozenset(_list_settled(network, stated)),
        words={belief.observation: _words_of(belief) for belief in ranking.beliefs},
        readings=readings,
        circumstances=evidence.circumstances,
        atoms=ranking.chained.atoms,
        mode=next((m for a in faults for c, m in zip(a.members, a.modes, strict=True)
                   if c == confirmed.cause), ""),
        consequences=frozenset(n for n, is_on in zip(network.states, on, strict=True) if is_on),
    )  # fmt: skip


def answer_look(knowledge: Knowledge, world: World, reveals: tuple[str, ...]) -> tuple[Shown, ...]:
    """Give what a look shows of the observations it reveals."""
    return tuple(
        Shown(
            observation=name,
            state="present" if world.states[name] is State.PRESENT else "absent",
            says=_say_shown(knowledge, world, name),
            drawn=name in world.drawn,
        )
        for name in reveals
    )


def _say_shown(knowledge: Knowledge, world: World, name: str) -> str:
    """Say it as it is met: the meter's number where one decides, else what is seen in words."""
    for reading, record in knowledge.readings.items():
        if reading in world.readings and any(d.observation == name for d in record.decides):
            return f"{record.says}: {world.readings[reading]}"
    sentence = state_sentence(knowledge, name, world.states[name])
    words = world.words.get(name, "")
    return f'{sentence} ("{words}")' if words and name not in world.drawn else sentence


def _list_stated(knowledge: Knowledge, ranking: Ranking) -> dict[str, State]:
    """List what was seen of plain observations; hearsay, and what origins dispute evenly, is left to the draw.

    Who looks for himself may find the contrary of what he was told.
    """
    return {
        belief.observation: belief.state
        for belief in ranking.beliefs
        if belief.state is not State.UNKNOWN
        and not is_hearsay(belief)
        and not knowledge.observations[belief.observation].derived
    }


def is_hearsay(belief: Belief) -> bool:
    """Tell whether nobody who told of it had seen it."""
    return all(fact.origin.kind is OriginKind.HEARSAY for fact in belief.facts)


def _words_of(belief: Belief) -> str:
    return "; ".join(dict.fromkeys(fact.origin.words for fact in belief.facts if fact.origin.words))


def _list_settled(network: Network, stated: Mapping[str, State]) -> Iterator[str]:
    """List what the case states, and what that settles of the observations that exclude it."""
    yield from stated
    for group in _groups(network):
        if any(stated.get(member) is State.PRESENT for member in group):
            yield from group


@lru_cache(maxsize=8)
def _groups(network: Network) -> tuple[tuple[str, ...], ...]:
    """List all variables of the network: ordered groups, and every other observation by itself."""
    groups = [tuple(network.observations[number] for number in group) for group in network.groups]
    grouped = {name for group in groups for name in group}
    return tuple(sorted([*groups, *((name,) for name in network.observations if name not in grouped)]))


def _draw_faults(
    network: Network, confirmed: Confirmed, stated: Mapping[str, State], random: np.random.Generator
) -> tuple[tuple[Alternative, ...], Floats]:
    """Draw the modes that the case leaves open and the consequence states, given what it states."""
    options = []
    for faults in product(*_list_alternatives(network, confirmed)):
        brought, odds = _chance_of_states(network, faults), prod(fault.odds for fault in faults)
        for bits in product((0.0, 1.0), repeat=len(network.states)):
            on = np.array(bits)
            prior = float(np.prod(np.where(on > 0, brought, 1 - brought)))
            if prior > _TOO_RARE:
                weight = _likelihood(network, _show_chances(network, faults, on), stated)
                options.append((odds * prior * weight, faults, on))
    weights = np.array([weight for weight, _, _ in options])
    _, faults, on = options[int(random.choice(len(options), p=weights / weights.sum()))]
    return faults, on


def _list_alternatives(network: Network, confirmed: Confirmed) -> Iterator[tuple[Alternative, ...]]:
    """List, for each variable that something found belongs to, the alternatives it may be."""
    wanted = {confirmed.cause, *confirmed.also}
    for variable in network.variables:
        members = {m for a in variable.alternatives for m in a.members} & wanted
        if not members:
            continue
        best = confirmed.cause if confirmed.cause in members else min(members)
        # two found causes that cannot be together leave the confirmed one
        for together in (members, {best}):
            found = [a for a in variable.alternatives if set(a.members) == together]
            if found:
                yield tuple(_of_mode(found, confirmed)) or tuple(found)
                break


def _of_mode(alternatives: list[Alternative], confirmed: Confirmed) -> Iterator[Alternative]:
    for alternative in alternatives:
        modes = dict(zip(alternative.members, alternative.modes, strict=True))
        if confirmed.mode is None or modes.get(confirmed.cause, confirmed.mode) == confirmed.mode:
            yield alternative


def _chance_of_states(network: Network, faults: tuple[Alternative, ...]) -> Floats:
    miss = 1 - network.tables.state_background
    for fault in faults:
        for state, chance in fault.state_links.items():
            miss[state] *= 1 - chance
    return np.asarray(1 - miss)


def _show_chances(network: Network, faults: tuple[Alternative, ...], on: Floats) -> dict[str, float]:
    """Give P(observation shows | faults, states) by noisy-OR."""
    miss = (1 - network.tables.background) * np.prod(1 - network.tables.state_links * on[:, None], axis=0)
    for fault in faults:
        for number, chance in fault.links.items():
            miss[number] *= 1 - chance
    return dict(zip(network.observations, (1 - miss).tolist(), strict=True))


def _likelihood(network: Network, chances: Mapping[str, float], stated: Mapping[str, State]) -> float:
    """Give P(what the case states | chances); of a group the members before the one present are absent."""
    value = 1.0
    for group in _groups(network):
        if stated.keys().isdisjoint(group):
            continue
        is_settled = any(stated.get(member) is State.PRESENT for member in group)
        for name in group:
            is_present = stated.get(name) is State.PRESENT
            if is_settled or name in stated:
                value *= max(chances[name] if is_present else 1 - chances[name], _NEVER)
            if is_present:
                break
    return value


def _draw_observations(
    network: Network, chances: Mapping[str, float], stated: Mapping[str, State], random: np.random.Generator
) -> dict[str, State]:
    """Draw every observation; of a group the first that shows is the only one."""
    states: dict[str, State] = {}
    for group in _groups(network):
        draws = random.random(len(group))
        shown = next((name for name in group if stated.get(name) is State.PRESENT), None)
        if shown is None:
            open_ones = ((n, d) for n, d in zip(group, draws, strict=True) if n not in stated)
            shown = next((name for name, draw in open_ones if draw < chances[name]), None)
        states |= {name: State.PRESENT if name == shown else State.ABSENT for name in group}
    return states


def _hide_what_cannot_show(
    knowledge: Knowledge, states: Mapping[str, State], stated: Mapping[str, State], ranking: Ranking
) -> dict[str, State]:
    """Make absent what was drawn present though nothing of the kind can be seen at this unit."""
    atoms = set(ranking.chained.atoms)
    seen = dict(states)
    for name in sorted(states):
        if states[name] is not State.PRESENT or name in stated:
            continue
        needs = (knowledge.conditions[c] for c in knowledge.observations[name].seen_only_if)
        if any(holds(part, atoms) for need in needs for part in need.fails_when):
            seen[name] = State.ABSENT
        else:
            atoms.add(f"{name}={State.PRESENT.value}")
    return seen


def _list_readings(
    knowledge: Knowledge, case: Case, states: Mapping[str, State], seed: int
) -> Iterator[tuple[str, str]]:
    """List what meters show: the readings of the case, and numbers drawn inside the band of the states."""
    told = {given.reading: given.value for given in case.readings}
    for name, reading in knowledge.readings.items():
        if name in told:
            yield name, told[name]
            continue
        if not reading.read_off:
            continue
        meter = Meter(knowledge, name, case.unit)
        share = np.random.default_rng([seed, zlib.crc32(f"{case.case} {name}".encode())]).random()
        number = choose_number(meter, states, float(share))
        if number is not None:
            yield name, f"reads about {number}"
