"""The score command: options to a job, counts and measures to the terminal.

Takes the options as typed, gives the exit code; may import batch and measuring.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path

import typer

from diagnose.errors import ExitCode
from diagnose.interfaces.batch import STREAM, Counts, Job, count_processes, run_score
from diagnose.interfaces.measuring import render_measures
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets.columns import read_mapping
from diagnose.interfaces.tickets.units import load_units
from diagnose.interfaces.tickets.writers import ensure_folder, rejects_path
from diagnose.knowledge.shipped import rules_directory


def build_job(
    tickets: str,
    out: str,
    *,
    pairs: Sequence[str],
    units: Sequence[Path],
    with_next: bool,
    resume: bool,
    processes: int | None,
    quiet: bool,
    measure: bool,
    report: Path | None,
    cluster: str,
) -> Job:
    """Make a job of the options.

    Raises:
        typer.BadParameter: A pair of columns is none.
        InputFaulty: A unit record is faulty.
    """
    try:
        mapping = read_mapping(pairs)
    except ValueError as error:
        raise typer.BadParameter(str(error), param_hint="--map") from None
    if out.endswith("/"):
        ensure_folder(Path(out))
    plan = Plan(rules_directory(), with_next, load_units(units))
    return Job(
        tickets, out, plan, mapping, resume, processes or count_processes(), quiet, measure, report, cluster
    )


def run_job(job: Job, *, as_json: bool) -> ExitCode:
    """Score, then tell the counts on stderr, or on stdout as JSON.

    Returns:
        Done, or that some rows were rejected.
    """
    counts = run_score(job)
    if as_json and job.out != STREAM:
        print(json.dumps(counts.as_dict(), indent=2))
        return _exit_code(counts)
    if counts.measures:
        print(render_measures(counts.measures), end="")
    if not job.quiet:
        print(_render(job, counts), file=sys.stderr)
    return _exit_code(counts)


def _exit_code(counts: Counts) -> ExitCode:
    return ExitCode.SOME_REJECTED if counts.rejected else ExitCode.DONE


def _render(job: Job, counts: Counts) -> str:
    if job.out == STREAM:
        return counts.render()
    lines = [counts.render(), f"Written: {job.out}"]
    if counts.rejected:
        lines.append(f"Rejected rows with their reasons: {rejects_path(Path(job.out))}")
    if job.report:
        lines.append(f"Report: {job.report}")
    return "\n".join(lines)
