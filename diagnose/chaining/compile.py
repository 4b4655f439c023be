"""Compile the rule base into flat rules of atoms, in acyclic stages.

Takes Knowledge, gives CompiledRules that every evaluator reads; may import knowledge and errors.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from typing import Literal

from diagnose.chaining.atoms import spell_atom
from diagnose.errors import Fault, RulesFaulty, fault_in_file
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.branches import (
    MAX_ATOMS,
    MAX_BRANCHES,
    Branches,
    TooManyBranchesError,
    expand_condition,
)
from diagnose.knowledge.reasons import Cause, Conclusion
from diagnose.knowledge.words import Atom, Condition

MAX_COMPILED = 5_000
# Ends the id of the rule that only shifts the prior, because its circumstance was merely said.
SAID = ".said"

DERIVED_FILES = "rules/derived"


@dataclass(frozen=True, order=True)
class Concluded:
    """What a firing concludes.

    Attributes:
        target: The observation, cause or caution.
        atom: The atom it adds for later stages; empty where it adds none.
    """

    kind: Literal["observation", "ruled_out", "shift", "caution"]
    target: str
    atom: str = ""


@dataclass(frozen=True, order=True)
class CompiledRule:
    """One branch of one rule: it fires when all its atoms are known.

    Attributes:
        id: `base_id`, or `base_id#n` where the rule has several branches.
        base_id: `<rule>`, `<cause>.shift.<n>` or `<cause>.ruled_out.<n>`, n from 1; with
            `.said` at the end where the exclusion was said but is not certain.
        stage: Later than the stages of all rules that conclude one of its atoms.
        atoms: Sorted, without repeats.
    """

    id: str
    base_id: str
    stage: int
    atoms: tuple[str, ...]
    conclusion: Concluded


@dataclass(frozen=True, order=True)
class Firing:
    """One compiled rule that fired, and the atoms it fired on, sorted."""

    rule_id: str
    atoms: tuple[str, ...]


@dataclass(frozen=True)
class CompiledRules:
    """Every compiled rule by id, in order of stage and id, with a digest of them all."""

    by_id: Mapping[str, CompiledRule]
    digest: str

    @property
    def rules(self) -> tuple[CompiledRule, ...]:
        """List all rules in order of stage and id."""
        return tuple(self.by_id.values())

    @property
    def stages(self) -> tuple[tuple[CompiledRule, ...], ...]:
        """List the rules stage by stage; rules of one stage do not depend on each other."""
        last = max((rule.stage for rule in self.by_id.values()), default=-1)
        return tuple(tuple(r for r in self.by_id.values() if r.stage == n) for n in range(last + 1))


@dataclass(frozen=True)
class _Written:
    """A rule as the rule base has it, before its condition is expanded."""

    path: str
    base_id: str
    when: Condition
    conclusion: Concluded
    certain: bool = False


def compile_rules(knowledge: Knowledge) -> CompiledRules:
    """Compile all rules, exclusions and shifts of a rule base.

    Args:
        knowledge: The loaded rule base.

    Returns:
        The compiled rules, in order of stage and id.

    Raises:
        RulesFaulty: Rules that depend on themselves, conditions with more than 32 branches or
            branches with more than 16 atoms, more than 5,000 branches in all.
    """
    written = tuple(_list_written(knowledge))
    faults: list[Fault] = []
    branches = {rule.base_id: _expand(rule, knowledge, faults) for rule in written}
    if faults:
        raise RulesFaulty(faults)
    stages = _order_stages(written, branches)
    return make_compiled(
        rule for entry in written for rule in _number(entry, branches[entry.base_id], stages[entry.base_id])
    )


def make_compiled(rules: Iterable[CompiledRule]) -> CompiledRules:
    """Order compiled rules, digest them and check their total.

    Raises:
        RulesFaulty: More than 5,000 compiled rules.
    """
    ordered = sorted(rules, key=lambda rule: (rule.stage, rule.id))
    if len(ordered) > MAX_COMPILED:
        most, count = Counter(rule.base_id for rule in ordered).most_common(1)[0]
        wrong = f"the rules have {len(ordered)} branches, more than {MAX_COMPILED}"
        cure = f"simplify the largest conditions ('{most}' has {count} branches)"
        raise RulesFaulty([fault_in_file("rules", "too-many-rules", wrong, cure)])
    digest = hashlib.sha256(repr(ordered).encode()).hexdigest()
    return CompiledRules({rule.id: rule for rule in ordered}, digest)


def _list_written(knowledge: Knowledge) -> Iterator[_Written]:
    for rule in knowledge.rules.values():
        conclusion = _conclude(rule.concludes)
        if conclusion.kind == "ruled_out":
            yield from _list_exclusion(DERIVED_FILES, rule.id, rule.when, conclusion.target)
        else:
            yield _Written(DERIVED_FILES, rule.id, rule.when, conclusion)
    for cause in knowledge.causes.values():
        yield from _list_of_cause(cause)


def _list_of_cause(cause: Cause) -> Iterator[_Written]:
    path = f"rules/{cause.part}/{cause.cause}.yaml"
    for number, exclusion in enumerate(cause.ruled_out, start=1):
        base_id = f"{cause.cause}.ruled_out.{number}"
        yield from _list_exclusion(path, base_id, exclusion.when, cause.cause)
    for number, shift in enumerate(cause.circumstances, start=1):
        base_id = f"{cause.cause}.shift.{number}"
        yield _Written(path, base_id, shift.when, Concluded("shift", cause.cause))


def _list_exclusion(path: str, base_id: str, when: Condition, cause: str) -> Iterator[_Written]:
    """Rule the cause out where the circumstances are certain; only shift its prior where they were said."""
    yield _Written(path, base_id, when, Concluded("ruled_out", cause), certain=True)
    yield _Written(path, base_id + SAID, when, Concluded("shift", cause))


def _conclude(conclusion: Conclusion) -> Concluded:
    if conclusion.observation is not None:
        atom = spell_atom(conclusion.observation, "present")
        return Concluded("observation", conclusion.observation, atom)
    if conclusion.ruled_out is not None:
        return Concluded("ruled_out", conclusion.ruled_out)
    return Concluded("caution", str(conclusion.caution))


def _expand(rule: _Written, knowledge: Knowledge, faults: list[Fault]) -> Branches:
    def spell(atom: Atom) -> str:
        return spell_atom(
            atom.name, atom.value, certain=rule.certain and atom.name in knowledge.circumstances
        )

    if rule.certain and any(atom.name not in knowledge.circumstances for atom in rule.when.atoms()):
        wrong = f"'{rule.base_id}' rules a cause out by something seen, which can be mistaken"
        cure = "rule out by circumstances only, and link the observation to the cause instead"
        faults.append(fault_in_file(rule.path, "ruled-out-by-sight", wrong, cure))
    try:
        branches = expand_condition(rule.when, spell)
    except TooManyBranchesError:
        wrong = f"the condition of '{rule.base_id}' holds in more than {MAX_BRANCHES} ways"
        cure = "split it into a derived observation and a rule that uses it"
        faults.append(fault_in_file(rule.path, "too-many-branches", wrong, cure))
        return frozenset()
    if max(map(len, branches)) > MAX_ATOMS:
        wrong = f"'{rule.base_id}' asks for more than {MAX_ATOMS} facts at once"
        cure = "join some of them in a derived observation"
        faults.append(fault_in_file(rule.path, "too-many-facts", wrong, cure))
    return branches


def _order_stages(written: tuple[_Written, ...], branches: Mapping[str, Branches]) -> dict[str, int]:
    makers: dict[str, list[str]] = {}
    for rule in written:
        if rule.conclusion.atom:
            makers.setdefault(rule.conclusion.atom, []).append(rule.base_id)
    needs = {
        rule.base_id: sorted(
            {maker for branch in branches[rule.base_id] for atom in branch for maker in makers.get(atom, ())}
        )
        for rule in written
    }
    stages: dict[str, int] = {}
    for base_id in _sort_acyclic(needs):
        stages[base_id] = max((stages[needed] + 1 for needed in needs[base_id]), default=0)
    return stages


def _sort_acyclic(needs: Mapping[str, list[str]]) -> tuple[str, ...]:
    try:
        return tuple(TopologicalSorter(needs).static_order())
    except CycleError as error:
        loop = " -> ".join(error.args[1])
        wrong = f"rules conclude each other in a loop: {loop}"
        cure = "take one conclusion of the loop out of the conditions"
        raise RulesFaulty([fault_in_file(DERIVED_FILES, "cycle", wrong, cure)]) from error


def _number(rule: _Written, branches: Branches, stage: int) -> Iterator[CompiledRule]:
    for number, atoms in enumerate(sorted(tuple(sorted(branch)) for branch in branches), start=1):
        branch_id = rule.base_id if len(branches) == 1 else f"{rule.base_id}#{number}"
        yield CompiledRule(branch_id, rule.base_id, stage, atoms, rule.conclusion)
