"""The check of a rule base and its cases: a summary, the findings, tables on demand.

Takes directories, prints; may import everything above.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from diagnose.errors import Fault, InputFaulty, RulesFaulty, fault_in_file
from diagnose.facts.case_file import UNITS, Case, load_case, load_cases, load_near_misses
from diagnose.facts.language.checks import check_language
from diagnose.facts.unit_record import load_unit
from diagnose.interfaces.train_command import build_tutor
from diagnose.knowledge.check import WARNINGS, check_knowledge, first_of
from diagnose.knowledge.language import LANGUAGE, load_language
from diagnose.knowledge.loader import load_knowledge, load_located
from diagnose.knowledge.located import Located
from diagnose.knowledge.sources import list_sources
from diagnose.next_step.pair_checks import check_pairs
from diagnose.next_step.telling_apart import PairTable, TooManyFacesError, Verdict, weigh_pairs
from diagnose.ranking.building import compile_network
from diagnose.ranking.near_misses import check_near_misses
from diagnose.ranking.rank import prepare_ranking
from diagnose.training.case_checks import check_lesson
from diagnose.training.difficulty import measure_difficulty, render_difficulty


@dataclass(frozen=True)
class Checked:
    """A rule base with all that its checks found.

    Attributes:
        cases: The cases beside the rules; none where any of them has a fault.
        table: What tells its causes apart; None where the rules cannot be compiled.
        found: Findings in the rules, sorted by place.
        in_cases: Faults of the cases.
    """

    base: Located
    cases: Mapping[str, Case]
    table: PairTable | None
    found: tuple[Fault, ...]
    in_cases: tuple[Fault, ...]


def check_all(rules: Path) -> Checked:
    """Run every check on a rule base and the cases beside it.

    Raises:
        RulesFaulty: The rules do not even load.
    """
    base = load_located(rules)
    found = [*check_knowledge(base), *_check_language(base, rules)]
    # the cases of a rule base lie beside it
    directory = rules.absolute().parent / "cases"
    cases, near_misses, in_cases = _load_cases(base, directory)
    table = None
    if not _is_refused(found):
        of_rules, of_lessons = _check_compiled(base, directory, None if in_cases else (cases, near_misses))
        table, of_pairs = _weigh(base)
        found += [*of_rules, *of_pairs]
        in_cases = (*in_cases, *of_lessons)
    return Checked(base, cases, table, tuple(sorted(found)), in_cases)


def _check_language(base: Located, rules: Path) -> list[Fault]:
    """Check the language of tickets, where the rule base has one."""
    if not (rules / LANGUAGE).is_dir():
        return []
    try:
        return first_of(check_language(load_language(rules, base.knowledge)))
    except RulesFaulty as error:
        return list(error.faults)


def _load_cases(
    base: Located, directory: Path
) -> tuple[Mapping[str, Case], Mapping[str, Case], tuple[Fault, ...]]:
    try:
        for path in sorted((directory / UNITS).glob("*.yaml")):
            load_unit(path)
        return load_cases(directory, base.knowledge), load_near_misses(directory, base.knowledge), ()
    except InputFaulty as error:
        return {}, {}, error.faults


def run_check(rules: Path) -> None:
    """Check a rule base and the cases beside it; print a summary and raise what is wrong.

    Raises:
        RulesFaulty: The rules have faults, or rules and cases.
        InputFaulty: Only the cases have faults.
    """
    checked = check_all(rules)
    _print_summary(checked)
    faults = [fault for fault in checked.found if fault.check not in WARNINGS]
    if faults:
        raise RulesFaulty([*faults, *checked.in_cases])
    if checked.in_cases:
        raise InputFaulty(checked.in_cases)


def run_case_check(path: Path, *, as_json: bool) -> None:
    """Check one case file as a lesson and print how difficult it is.

    Raises:
        RulesFaulty: The rules cannot be used.
        InputFaulty: The case has faults, or is not fit to learn from.
    """
    tutor = build_tutor()
    case = load_case(path, tutor.knowledge)
    faults = check_lesson(tutor.reasoner.prepared, case, path)
    if faults:
        raise InputFaulty(faults)
    difficulty = measure_difficulty(tutor, case)
    print(difficulty.model_dump_json(indent=2) if as_json else f"{path}: {render_difficulty(difficulty)}")


def _is_refused(found: Iterable[Fault]) -> bool:
    """Tell whether the rules cannot be compiled at all."""
    return bool({fault.check for fault in found} & {"cycle", "too-many-branches", "too-many-facts"})


def _check_compiled(
    base: Located, directory: Path, read: tuple[Mapping[str, Case], Mapping[str, Case]] | None
) -> tuple[list[Fault], list[Fault]]:
    """Compile the rules and run them on their examples and on the cases, unless those could not be read."""
    try:
        prepared = prepare_ranking(base.knowledge)
    except RulesFaulty as error:
        return list(error.faults), []
    if read is None:
        return [], []
    cases, near_misses = read
    examples = first_of(check_near_misses(base, prepared, {**cases, **near_misses}))
    lessons = (check_lesson(prepared, case, directory / f"{name}.yaml") for name, case in cases.items())
    return examples, first_of(fault for faults in lessons for fault in faults)


def _weigh(base: Located) -> tuple[PairTable | None, list[Fault]]:
    try:
        table = weigh_pairs(base.knowledge, compile_network(base.knowledge))
    except TooManyFacesError as error:
        document, _ = base.places["whole", "format.yaml"]
        return None, [fault_in_file(document.path, "too-many-causes", str(error), "split the rule base")]
    return table, first_of(check_pairs(base, table))


def _print_summary(checked: Checked) -> None:
    knowledge = checked.base.knowledge
    if checked.table is not None:
        print(_say_pairs(checked.table, len(knowledge.accepted.look_alikes)))
    for fault in checked.found:
        if fault.check in WARNINGS:
            print(f"warning: {fault}", file=sys.stderr)
    counts = Counter(fault.check for fault in (*checked.found, *checked.in_cases))
    said = ", ".join(f"{count} {check}" for check, count in counts.most_common())
    print(
        f"{len(knowledge.causes)} causes, {len(knowledge.observations)} observations, "
        f"{len(knowledge.inspections)} inspections, {len(knowledge.rules)} derived rules, "
        f"{len(checked.cases)} cases: {said or 'no faults'} (rules {knowledge.version})"
    )


def _say_pairs(table: PairTable, look_alikes: int) -> str:
    passed = [v for v in table.verdicts if v.passes]
    by_two = sum(len(v.looks) > 1 for v in passed)
    live = sum(v.needs_live for v in passed)
    return (
        f"{len(table.verdicts)} pairs of causes: {len(passed) - by_two} told apart by one look "
        f"({live} of them only live), {by_two} by two, {len(table.verdicts) - len(passed)} not "
        f"({look_alikes} accepted as look-alikes)"
    )


def print_pairs(rules: Path) -> None:
    """Print what tells every two causes apart best, hardest pairs first, then what observations separate.

    Raises:
        RulesFaulty: The rules do not load.
        InputFaulty: The rule base has too many causes to compare.
    """
    knowledge = load_knowledge(rules)
    try:
        table = weigh_pairs(knowledge, compile_network(knowledge))
    except TooManyFacesError as error:
        raise RulesFaulty([fault_in_file(rules, "too-many-causes", str(error), "split it")]) from None
    rows = sorted(table.verdicts, key=lambda v: (min(v.mean / 2, v.there, v.back), v.first, v.second))
    print("cause\tother\tdB\tdB_there\tdB_back\tdB_dead\taccess\tinspection")
    for verdict in rows:
        print(_render_verdict(verdict))
    print("\nobservation\tpairs")
    for name, count in sorted(table.separated.items(), key=lambda entry: (entry[1], entry[0])):
        print(f"{name}\t{count}")


def _render_verdict(verdict: Verdict) -> str:
    figures = (verdict.mean, verdict.there, verdict.back, verdict.dead)
    return "\t".join(
        (
            verdict.first,
            verdict.second,
            *(f"{figure:.1f}" for figure in figures),
            "+".join(verdict.access),
            "+".join(verdict.looks),
        )
    )


def print_sources(rules: Path) -> None:
    """Print every strength, prior, value and caution with its place, its source or mark, and a count of each.

    Raises:
        RulesFaulty: The rules do not load.
    """
    rows = list(list_sources(load_knowledge(rules)))
    print("entry\twhat\tvalue\tsource")
    for row in rows:
        entry = row.spot[1] if row.spot[0] == "whole" else f"{row.spot[0]}/{row.spot[1]}"
        print(f"{entry}\t{row.what}\t{row.value}\t{row.source}")
    print("\nsource\tvalues")
    for source, count in _count_sources(row.source for row in rows):
        print(f"{source}\t{count}")


def _count_sources(sources: Iterable[str]) -> Iterator[tuple[str, int]]:
    yield from Counter(sources).most_common()
