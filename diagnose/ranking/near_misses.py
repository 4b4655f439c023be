"""Checks that every rule fires on the cases it names and stays silent on the near misses it names.

Takes a located rule base, its prepared ranking and its cases, gives faults; may import rank.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.chaining.plain import run_plain
from diagnose.errors import Fault
from diagnose.facts.case_file import Case, evidence_of_case
from diagnose.knowledge.located import Located
from diagnose.knowledge.reasons import Rule
from diagnose.ranking.rank import Prepared, rank_evidence

Cases = Mapping[str, Case]


def check_near_misses(base: Located, prepared: Prepared, cases: Cases) -> Iterator[Fault]:
    """Run every rule on the cases it names.

    Args:
        base: The rule base.
        prepared: The same, made ready to rank.
        cases: All cases a rule may name, by id.
    """
    for rule in base.knowledge.rules.values():
        for field in ("fires_on", "silent_on"):
            if not getattr(rule, field):
                wrong, cure = f"'{rule.id}' names no case under `{field}`", "write the case and name it"
                yield base.fault(("rules", rule.id), "no-example", wrong, cure)
            for number, name in enumerate(getattr(rule, field)):
                spot = ("rules", rule.id, field, number)
                if name not in cases:
                    yield base.fault(
                        spot, "vocabulary", f"no case '{name}'", "write the case or name another"
                    )
                elif (field == "fires_on") != _fires(prepared, rule, cases[name]):
                    wrong = f"'{rule.id}' {'does not fire' if field == 'fires_on' else 'fires'} on '{name}'"
                    yield base.fault(spot, "example", wrong, "correct the case or the condition")
                elif field == "silent_on":
                    yield from _check_near(base, rule, number, cases)


def _fires(prepared: Prepared, rule: Rule, case: Case) -> bool:
    evidence = evidence_of_case(case, prepared.knowledge)
    fired = {firing.rule_id for firing in rank_evidence(prepared, evidence, run_plain).chained.firings}
    return rule.id in {rule_id.partition("#")[0] for rule_id in fired}


def _check_near(base: Located, rule: Rule, number: int, cases: Cases) -> Iterator[Fault]:
    """A near miss is one fact away from a case on which the rule fires, and another cause was found."""
    silent = cases[rule.silent_on[number]]
    near = [
        firing
        for name in rule.fires_on
        if (firing := cases.get(name)) is not None and len(_list_differences(firing, silent)) == 1
    ]
    spot = ("rules", rule.id, "silent_on", number)
    if not near:
        wrong = f"'{silent.case}' is not one fact away from a case on which '{rule.id}' fires"
        yield base.fault(spot, "near-miss", wrong, "let it differ in one fact")
    elif not any(_found(firing) != _found(silent) for firing in near) or not _found(silent):
        wrong = f"'{silent.case}' has no confirmed cause of its own"
        yield base.fault(spot, "near-miss", wrong, "confirm another cause than where the rule fires")


def _found(case: Case) -> str:
    return case.confirmed.cause if case.confirmed else ""


def _list_differences(one: Case, other: Case) -> set[str]:
    """Name the observations, readings and circumstances that two cases tell differently."""
    told, also = _told(one), _told(other)
    return {name for name in told.keys() | also.keys() if told.get(name) != also.get(name)}


def _told(case: Case) -> dict[str, set[object]]:
    found: dict[str, set[object]] = {}
    for fact in case.facts:
        found.setdefault(fact.observation, set()).add((fact.state, fact.origin, fact.after))
    for reading in case.readings:
        found.setdefault(reading.reading, set()).add((reading.value, reading.after))
    for name, values in (*case.circumstances.items(), *case.nameplate.items()):
        found.setdefault(name, set()).update(values)
    return found
