"""The forward-chaining engine: durable_rules behind one function.

Takes compiled rules and atoms, gives firings equal to those of plain.py; may import compile.
The only module that imports durable_rules. Every oddity of that library (2.0.28) is met here:
each is named at the line that meets it and shown in tests/chaining/test_engine_traps.py.
"""

from __future__ import annotations

import itertools
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Any

from durable.engine import Host, MessageObservedException

from diagnose.chaining.compile import CompiledRule, CompiledRules, Firing

# A rule set of 512 distinct conditions fails or never returns, wherever they stand in the rules.
MAX_DISTINCT_ATOMS = 450
# A condition shared by more than 127 rules of one set is refused or written past its end.
MAX_RULES_SHARING_ATOM = 100
# Memory of one case grows with the rules of the set.
MAX_RULES = 1_000
# Two facts of one case may have the same 32-bit hash; another case id gives other hashes.
ATTEMPTS = 3

# Answers kept: the circumstances of a unit stay the same from one answer to the next.
REMEMBERED = 256

# Opens each case. No atom is spelled without "=", so it is never one of ours.
OPENING = "opening"

_LOCK = threading.Lock()
_CASES = itertools.count()


class EngineFailedError(RuntimeError):
    """The rule engine broke down; a fault of the program, never of the input."""


class _QuietHost(Host):  # type: ignore[misc]  # the library ships no types
    """A host without the two timer threads, which would take firings away from the running case."""

    def _run(self) -> None:
        """Start nothing: no rule of ours uses timers."""


@cache
def _host() -> _QuietHost:
    """Give the one host of the process; hosts are never freed."""
    return _QuietHost()


@dataclass(frozen=True, eq=False)
class _RuleSet:
    """One registered rule set and the list that its actions append to."""

    name: str
    vocabulary: frozenset[str]
    fired: list[Firing] = field(default_factory=list)


def run_engine(rules: CompiledRules, atoms: Iterable[str]) -> frozenset[Firing]:
    """Find every firing of the rules on the atoms, stage by stage.

    Args:
        rules: The compiled rules.
        atoms: What is known; repeats and atoms that no rule asks for add nothing.

    Returns:
        One firing for each rule whose atoms are all known or concluded.

    Raises:
        EngineFailedError: An action of the engine failed.
    """
    known = set(atoms)
    firings: set[Firing] = set()
    with _LOCK:
        for stage in _register(rules):
            # a fact that no rule of the set asks for would raise
            fired = [
                firing
                for rule_set in stage
                for firing in _run_set(rule_set, tuple(sorted(known & rule_set.vocabulary)))
            ]
            firings.update(fired)
            known.update(rules.by_id[firing.rule_id].conclusion.atom for firing in fired)
    return frozenset(firings)


def split_stage(rules: Iterable[CompiledRule]) -> Iterator[tuple[CompiledRule, ...]]:
    """Split the rules of one stage into rule sets that the engine can hold.

    Rules of one stage do not depend on each other, so any split gives the same firings.
    """
    chunk: list[CompiledRule] = []
    uses: Counter[str] = Counter()
    for rule in rules:
        is_full = len(chunk) == MAX_RULES or len(uses.keys() | set(rule.atoms)) > MAX_DISTINCT_ATOMS
        if is_full or any(uses[atom] == MAX_RULES_SHARING_ATOM for atom in rule.atoms):
            yield tuple(chunk)
            chunk, uses = [], Counter()
        chunk.append(rule)
        uses.update(rule.atoms)
    if chunk:
        yield tuple(chunk)


_registered: dict[str, tuple[tuple[_RuleSet, ...], ...]] = {}


def _register(rules: CompiledRules) -> tuple[tuple[_RuleSet, ...], ...]:
    """Register the rules once; a name cannot be registered twice, so it carries the digest."""
    if rules.digest not in _registered:
        _registered[rules.digest] = tuple(
            tuple(
                _register_set(f"{rules.digest}_{number}_{part}", chunk)
                for part, chunk in enumerate(_split_by_subject(stage))
            )
            for number, stage in enumerate(rules.stages)
        )
    return _registered[rules.digest]


def _split_by_subject(rules: tuple[CompiledRule, ...]) -> Iterator[tuple[CompiledRule, ...]]:
    """Keep rules about priors, which ask for circumstances, apart from those about what is seen."""
    for is_prior in (True, False):
        yield from split_stage(r for r in rules if (r.conclusion.kind in {"shift", "ruled_out"}) is is_prior)


def _register_set(name: str, rules: tuple[CompiledRule, ...]) -> _RuleSet:
    rule_set = _RuleSet(name, frozenset(atom for rule in rules for atom in rule.atoms))
    # registering changes the dictionary given, so each is made fresh
    definition = {"opening": _define((OPENING,), _ignore)}
    for number, rule in enumerate(rules):
        definition[f"r{number}"] = _define(rule.atoms, _record(rule, rule_set.fired))
    _host().register_rulesets({name: definition})
    return rule_set


def _define(atoms: tuple[str, ...], run: Callable[[Any], None]) -> dict[str, object]:
    """Write a rule as the library wants it: one capture for each fact, no `none`, no counts."""
    return {"all": [{f"m_{n}": {"atom": atom}} for n, atom in enumerate(atoms)], "run": run}


def _record(rule: CompiledRule, fired: list[Firing]) -> Callable[[Any], None]:
    names = [f"m_{number}" for number in range(len(rule.atoms))]

    def run(closure: Any) -> None:  # noqa: ANN401 - the library ships no types
        matched = sorted(getattr(closure, name).atom for name in names)
        fired.append(Firing(rule.id, tuple(matched)))

    return run


def _ignore(closure: Any) -> None:  # noqa: ANN401 - the library ships no types
    """Answer the opening fact."""


@lru_cache(maxsize=REMEMBERED)
def _run_set(rule_set: _RuleSet, facts: tuple[str, ...]) -> tuple[Firing, ...]:
    """Run one rule set on facts it asks for; the same facts always give the same firings."""
    if not facts:  # an empty batch ends the process
        return ()
    for _ in range(ATTEMPTS):
        try:
            return _run_case(rule_set, facts, str(next(_CASES)))
        except MessageObservedException:
            continue
    raise EngineFailedError(f"two of these facts look the same to the engine: {', '.join(facts)}")


def _run_case(rule_set: _RuleSet, facts: Iterable[str], case: str) -> tuple[Firing, ...]:
    rule_set.fired.clear()
    # deleting a case in which no action ever ran frees memory at random: one runs first, always
    _host().assert_fact(rule_set.name, {"atom": OPENING, "sid": case})
    try:
        state = _host().assert_facts(rule_set.name, [{"atom": fact, "sid": case} for fact in facts])
    finally:
        _host().delete_state(rule_set.name, case)
    # an exception in an action is not raised but left in the state
    if state and "exception" in state:
        raise EngineFailedError(state["exception"])
    return tuple(rule_set.fired)
