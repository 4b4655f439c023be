"""What stands behind each derived observation, and what each cause shows by itself.

Takes Knowledge, gives plain look-ups for the checks; may import base and branches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.branches import Branches, TooManyBranchesError, expand_condition
from diagnose.knowledge.reasons import Rule


def expand_rule(rule: Rule) -> Branches:
    """Expand a rule's condition; one that holds in too many ways has no branch here."""
    try:
        return expand_condition(rule.when)
    except TooManyBranchesError:
        return frozenset()


def name_of(atom: str) -> str:
    """Give the observation or circumstance of an atom `name=value`."""
    return atom.partition("=")[0]


def list_inputs(knowledge: Knowledge) -> dict[str, frozenset[str]]:
    """List the names that stand behind each derived observation, through other derived ones too.

    Returns:
        Observations and circumstances by derived observation; itself only where it stands in a loop.
    """
    direct: dict[str, set[str]] = {}
    for rule in knowledge.rules.values():
        if rule.concludes.observation:
            names = {atom.name for atom in rule.when.atoms()}
            direct.setdefault(rule.concludes.observation, set()).update(names)
    return {target: frozenset(_walk(names, direct)) for target, names in direct.items()}


def _walk(names: Iterable[str], direct: Mapping[str, set[str]]) -> set[str]:
    reached: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached.add(name)
            waiting.extend(direct.get(name, ()))
    return reached


def can_hold(knowledge: Knowledge, atoms: Iterable[str]) -> bool:
    """Tell whether all atoms can hold at once: one state each, one of a group, one value each."""
    values: dict[str, set[str]] = {}
    for atom in atoms:
        name, _, value = atom.partition("=")
        values.setdefault(name, set()).add(value)
    present = {name for name, found in values.items() if "present" in found}
    return all(
        len(found) == 1 or (name in knowledge.circumstances and knowledge.circumstances[name].several)
        for name, found in values.items()
    ) and not any(a in knowledge.group_of(b) for a, b in combinations(sorted(present), 2))


def list_strengths(knowledge: Knowledge, cause: str) -> dict[str, float]:
    """Give the largest direct link of a cause, in any mode, to each observation it can show."""
    found: dict[str, float] = {}
    for _, link in knowledge.all_links(cause):
        strength = knowledge.strength(link)
        if strength > 0:
            found[link.to] = max(found.get(link.to, 0.0), strength)
    return found


def list_states(knowledge: Knowledge, cause: str) -> Iterator[tuple[str | None, str]]:
    """Walk the states that a cause brings about, with the mode where only a mode does."""
    record = knowledge.causes[cause]
    sides = [(None, record.brings_about), *((name, mode.brings_about) for name, mode in record.modes.items())]
    for mode, links in sides:
        yield from ((mode, link.to) for link in links if knowledge.strength(link) > 0)


def list_shown(knowledge: Knowledge, cause: str) -> frozenset[str]:
    """List what a cause can show: by itself, by a state it brings about, or beside another cause."""
    through = {
        link.to
        for _, state in list_states(knowledge, cause)
        for link in knowledge.consequences[state].links
        if knowledge.strength(link) > 0
    }
    beside = {
        link.to
        for together in knowledge.exclusives.together
        for pair in together.pairs
        if cause in pair.causes
        for link in pair.links
        if knowledge.strength(link) > 0
    }
    return frozenset(list_strengths(knowledge, cause)) | through | beside
