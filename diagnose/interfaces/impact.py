"""The command `check --against`: what an edit of the rules does to case files and tickets.

Takes two rules directories, a directory of cases and perhaps a file of tickets, prints; may import everything above.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from diagnose.errors import FaultsFound, InputFaulty, fault_in_file
from diagnose.explanation.edits import list_edits
from diagnose.explanation.impact import (
    Judged,
    Verdict,
    add_tickets,
    compare_judged,
    judge_calls,
    judge_evidence,
    render_impact,
)
from diagnose.facts.case_file import list_case_files, read_found
from diagnose.facts.from_ticket import TicketReader
from diagnose.interfaces.tickets.reading import TicketFile
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.ranking.rank import prepare_ranking


def run_against(
    rules: Path, other: Path, cases: Path, *, with_next: bool, as_json: bool, tickets: str | None = None
) -> None:
    """Print which calls and tickets change between the other rules and these, and by which edits.

    Args:
        rules: The rules as they are now.
        other: The rules they are compared with.
        cases: Directory of case files.
        with_next: Compare the next steps too; takes a third of a second a call, spread over the cores.
        as_json: Print the Impact document.
        tickets: File of tickets to rank under both as well; each is read by the language of its rules.

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
    if tickets is not None:
        rows = [row for row in TicketFile(tickets, {}).rows() if not row.fault]
        old, new = _judge_tickets(other, before, rows), _judge_tickets(rules, after, rows)
        found = {_name(row): row.values.get("confirmed_cause", "") for row in rows}
        impact = add_tickets(impact, list_edits(before, after), old, new, found)
    print(impact.model_dump_json(indent=2) if as_json else render_impact(impact), end="\n" if as_json else "")


def _name(row: Row) -> str:
    return row.values.get("id") or f"row {row.number}"


def _judge_tickets(rules: Path, knowledge: Knowledge, rows: Sequence[Row]) -> dict[str, Verdict]:
    """Say what one rule base makes of each ticket; of another device it makes nothing."""
    reader = TicketReader(knowledge, load_language(rules, knowledge))
    prepared = prepare_ranking(knowledge)
    verdicts = {}
    for row in rows:
        reading = reader.read(row.values)
        verdict = judge_evidence(prepared, reading.evidence)
        if reading.is_other:
            verdict = verdict.model_copy(update={"status": "not_covered", "first": "other_equipment"})
        verdicts[_name(row)] = verdict
    return verdicts


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
