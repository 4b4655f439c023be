"""The command `check --against`: what an edit of the rules does to the case files.

Takes two rules directories and a directory of cases, prints; may import everything above.
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from diagnose.errors import FaultsFound, InputFaulty, fault_in_file
from diagnose.explanation.impact import (
    Judged,
    Verdict,
    compare_judged,
    judge_calls,
    render_impact,
)
from diagnose.facts.case_file import list_case_files, read_found
from diagnose.knowledge.loader import load_knowledge


def run_against(rules: Path, other: Path, cases: Path, *, with_next: bool, as_json: bool) -> None:
    """Print which calls change between the other rules and these, and by which edits.

    Args:
        rules: The rules as they are now.
        other: The rules they are compared with.
        cases: Directory of case files.
        with_next: Compare the next steps too; takes a third of a second a call, spread over the cores.
        as_json: Print the Impact document.

    Raises:
        RulesFaulty: One of the two has faults.
        InputFaulty: There are no case files.
    """
    before, after = load_knowledge(other), load_knowledge(rules)
    paths = list_case_files(cases)
    if not paths:
        raise InputFaulty([fault_in_file(cases, "no-cases", "no case files there", "name another directory")])
    if with_next:
        judged = (_judge_parallel(other, paths), _judge_parallel(rules, paths))
    else:
        judged = (judge_calls(before, paths, with_next=False), judge_calls(after, paths, with_next=False))
    impact = compare_judged(before, after, judged, {str(path): _found(path) for path in paths})
    print(impact.model_dump_json(indent=2) if as_json else render_impact(impact), end="\n" if as_json else "")


def _found(path: Path) -> tuple[str, str]:
    """Give id and confirmed cause of a case file; a faulty one is told of where it is ranked."""
    try:
        return read_found(path)
    except FaultsFound:
        return path.stem, ""


def _judge_parallel(rules: Path, paths: tuple[Path, ...]) -> Judged:
    """Judge the calls in one process a core; every second call each, so that long parts are shared."""
    workers = os.cpu_count() or 1
    shares = [paths[number::workers] for number in range(workers)]
    with ProcessPoolExecutor(workers) as pool:
        parts = list(pool.map(_judge_share, [rules] * workers, shares))
    verdicts: dict[str, Verdict] = {}
    unreadable: dict[str, str] = {}
    for found, faults in parts:
        verdicts |= found
        unreadable |= faults
    return verdicts, unreadable


def _judge_share(rules: Path, paths: tuple[Path, ...]) -> Judged:
    return judge_calls(load_knowledge(rules), paths, with_next=True)
