"""Checks `unlinked-pattern` and `shift-and-link`: no fact counts twice.

Takes Located, gives faults; may import supports. A pattern that fires replaces what it rests on, for every
cause; so whatever shows an input of a pattern must say how often it shows the pattern, `never` if it does not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from diagnose.errors import Fault
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Link
from diagnose.knowledge.supports import can_hold, expand_rule, list_inputs
from diagnose.knowledge.words import Atom
from diagnose.knowledge.yaml_nodes import Key

Inputs = Mapping[str, frozenset[str]]


def check_absorbed_links(base: Located) -> Iterator[Fault]:
    """Find causes, modes, states and pairs linked to an input of a pattern but not to the pattern."""
    inputs = list_inputs(base.knowledge)
    for spot, links, also in _list_sides(base.knowledge):
        strong = {n: link.to for n, link in enumerate(links) if base.knowledge.strength(link) > 0}
        for pattern in sorted(inputs.keys() - {link.to for link in links} - set(also)):
            number = next((n for n, to in strong.items() if to in inputs[pattern]), None)
            if number is not None:
                wrong = f"linked to '{strong[number]}' but not to the pattern '{pattern}' that replaces it"
                cure = f"add a link to '{pattern}', `never` if it does not show it"
                yield base.fault((*spot, "links", number), "unlinked-pattern", wrong, cure)


def _list_sides(knowledge: Knowledge) -> Iterator[tuple[Key, tuple[Link, ...], Iterable[str]]]:
    """Walk every list of links with its spot, and what is linked for it elsewhere."""
    for name, cause in knowledge.causes.items():
        in_modes = [{link.to for link in mode.links} for mode in cause.modes.values()]
        yield ("causes", name), cause.links, set.intersection(*in_modes) if in_modes else ()
        own = [link.to for link in cause.links]
        yield from ((("causes", name, "modes", m), face.links, own) for m, face in cause.modes.items())
    for name, state in knowledge.consequences.items():
        yield ("consequences", name), state.links, ()
    for number, together in enumerate(knowledge.exclusives.together):
        for place, pair in enumerate(together.pairs):
            yield ("whole", "exclusive.yaml", "together", number, "pairs", place), pair.links, ()


def check_shifted_links(base: Located) -> Iterator[Fault]:
    """Find circumstances that move the prior of a cause and stand behind a pattern it is linked to."""
    inputs = list_inputs(base.knowledge)
    for name, cause in base.knowledge.causes.items():
        linked = _linked_patterns(base.knowledge, name, inputs)
        for number, shift in enumerate(cause.circumstances):
            for atom in shift.when.atoms():
                patterns = [
                    p for p in linked if atom.name in inputs[p] and _can_meet(base.knowledge, p, atom)
                ]
                if patterns:
                    wrong = f"'{atom.name}' moves the prior and stands behind the pattern '{patterns[0]}' too"
                    cure = "drop the shift, or take the circumstance out of the pattern"
                    at = ("circumstances", number)
                    yield base.fault(("causes", name, *at), "shift-and-link", wrong, cure)


def _can_meet(knowledge: Knowledge, pattern: str, atom: Atom) -> bool:
    """Tell whether a shift and a pattern can hold on one unit: not where they ask for two values of one thing."""
    return any(
        can_hold(knowledge, {*branch, str(atom)})
        for rule in knowledge.rules.values()
        if rule.concludes.observation == pattern
        for branch in expand_rule(rule)
    )


def _linked_patterns(knowledge: Knowledge, cause: str, inputs: Inputs) -> list[str]:
    linked = {link.to for _, link in knowledge.all_links(cause) if knowledge.strength(link) > 0}
    return [pattern for pattern in inputs if pattern in linked]
