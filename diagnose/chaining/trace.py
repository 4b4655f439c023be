"""The trace of one case: what fired, on what, and what it concluded.

Takes beliefs and circumstances, gives Chained; may import facts, knowledge and the evaluators.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.chaining.atoms import list_atoms, name_of
from diagnose.chaining.compile import SAID, CompiledRule, CompiledRules, Firing
from diagnose.chaining.engine import run_engine
from diagnose.facts.model import Belief, CircumstanceFact
from diagnose.knowledge.base import Knowledge

Run = Callable[[CompiledRules, Iterable[str]], frozenset[Firing]]

# Exclusions that were said but are not certain count as one: the largest of them only.
SAID_GROUP = "ruled_out"


class PriorShift(NamedTuple):
    """A shift of a cause's prior odds, in decibans; of one group only the largest counts."""

    rule_id: str
    decibans: float
    group: str


@dataclass(frozen=True)
class Chained:
    """Everything the rules concluded for one unit; rule ids are those without branch number.

    Attributes:
        firings: Every firing, sorted by rule id.
        entered: The atoms known from outside.
        atoms: The atoms entered or concluded.
        derived: For each concluded observation, the entered atoms behind it, sorted.
        ruled_out: For each cause that cannot be, the rules that say so.
        shifts: For each cause, the shifts of its prior odds.
        cautions: For each caution, the rules that call for it.
    """

    firings: tuple[Firing, ...]
    entered: frozenset[str]
    atoms: frozenset[str]
    derived: Mapping[str, tuple[str, ...]]
    ruled_out: Mapping[str, tuple[str, ...]]
    shifts: Mapping[str, tuple[PriorShift, ...]]
    cautions: Mapping[str, tuple[str, ...]]


def chain(
    knowledge: Knowledge,
    compiled: CompiledRules,
    beliefs: Iterable[Belief],
    circumstances: Collection[CircumstanceFact],
    run: Run = run_engine,
) -> Chained:
    """Run the rules on what is known of a unit and trace what they conclude.

    Args:
        knowledge: The rule base, for the numbers and sentences behind rule ids.
        compiled: The same rule base, compiled.
        beliefs: All origins' word on each observation.
        circumstances: What is known of the unit beforehand.
        run: The evaluator.
    """
    entered = list_atoms(beliefs, circumstances)
    firings = tuple(sorted(run(compiled, entered)))
    fired = sorted((compiled.by_id[firing.rule_id] for firing in firings), key=lambda rule: rule.stage)
    concluded = frozenset(rule.conclusion.atom for rule in fired if rule.conclusion.atom)
    return Chained(
        firings=firings,
        entered=entered,
        atoms=entered | concluded,
        derived=_trace_support(fired, entered),
        ruled_out=_list_rules(fired, "ruled_out"),
        shifts=_list_shifts(knowledge, fired),
        cautions=_list_rules(fired, "caution"),
    )


def find_sentence(knowledge: Knowledge, rule_id: str) -> str:
    """Find the sentence behind a rule id, with or without branch number; empty where there is none."""
    base_id = rule_id.partition("#")[0].removesuffix(SAID)
    if base_id in knowledge.rules:
        return knowledge.rules[base_id].says
    cause, kind, number = base_id.split(".")
    record = knowledge.causes[cause]
    listed = record.ruled_out if kind == "ruled_out" else record.circumstances
    return listed[int(number) - 1].says or ""


def _trace_support(fired: list[CompiledRule], entered: frozenset[str]) -> dict[str, tuple[str, ...]]:
    """Gather the entered atoms behind each concluded one; `fired` comes in order of stage."""
    behind: dict[str, set[str]] = {}
    for rule in fired:
        if rule.conclusion.atom:
            support = behind.setdefault(rule.conclusion.atom, set())
            support.update(entered.intersection(rule.atoms))
            support.update(atom for used in rule.atoms for atom in behind.get(used, ()))
    return {name_of(atom): tuple(sorted(behind[atom])) for atom in sorted(behind)}


def _list_rules(fired: list[CompiledRule], kind: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for target, base_id in sorted(
        {(r.conclusion.target, r.base_id) for r in fired if r.conclusion.kind == kind}
    ):
        found.setdefault(target, []).append(base_id)
    return {target: tuple(base_ids) for target, base_ids in found.items()}


def _list_shifts(knowledge: Knowledge, fired: list[CompiledRule]) -> dict[str, tuple[PriorShift, ...]]:
    certain = {rule.base_id + SAID for rule in fired if rule.conclusion.kind == "ruled_out"}
    return {
        cause: shifts
        for cause, base_ids in _list_rules(fired, "shift").items()
        if (shifts := tuple(_find_shift(knowledge, cause, b) for b in base_ids if b not in certain))
    }


def _find_shift(knowledge: Knowledge, cause: str, base_id: str) -> PriorShift:
    if base_id.endswith(SAID):
        return PriorShift(base_id, -knowledge.settings.thresholds.shift_cap_decibans, SAID_GROUP)
    shift = knowledge.causes[cause].circumstances[int(base_id.rpartition(".")[2]) - 1]
    return PriorShift(base_id, shift.decibans, shift.group)
