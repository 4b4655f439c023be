"""The command score: its options, and the job they make.

Takes the arguments, gives an exit code; may import everything above, heavy layers only inside the command.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

TicketsArgument = Annotated[
    str, typer.Argument(help="CSV, JSON Lines (both also .gz, .zst), Parquet or .xlsx; - for a stream.")
]
OutOption = Annotated[
    str,
    typer.Option(
        "--out", help="FILE.jsonl, .csv, .parquet, .xlsx; DIR/ of Parquet parts; - for JSON Lines on stdout."
    ),
]
MapOption = Annotated[list[str] | None, typer.Option("--map", metavar="THEIRS=OURS", help="Rename a column.")]
UnitsOption = Annotated[
    list[Path] | None,
    typer.Option("--units", help="Unit records: a YAML file of one, or a table with a column a field."),
]
ResumeOption = Annotated[bool, typer.Option("--resume", help="Go on where an ended run stopped.")]
NextOption = Annotated[
    bool, typer.Option("--next/--no-next", help="Name the next step of each ticket; slower.")
]
ProcessesOption = Annotated[
    int | None, typer.Option("--processes", min=1, max=64, help="Worker processes; one a core.")
]
QuietOption = Annotated[bool, typer.Option("--quiet", help="No progress, no counts.")]
MeasureOption = Annotated[
    bool, typer.Option("--measure", help="Print how often the confirmed causes were ranked first.")
]
ReportOption = Annotated[
    Path | None, typer.Option("--report", help="Write a triage report to this .html file.")
]
ClusterOption = Annotated[
    str, typer.Option("--cluster", metavar="ADDRESS", help="Score on a Dask cluster, as tcp://host:8786.")
]
CountsOption = Annotated[bool, typer.Option("--json", help="Print the counts as JSON.")]


def score_tickets(
    tickets: TicketsArgument,
    out: OutOption,
    pairs: MapOption = None,
    units: UnitsOption = None,
    *,
    resume: ResumeOption = False,
    with_next: NextOption = True,
    processes: ProcessesOption = None,
    quiet: QuietOption = False,
    measure: MeasureOption = False,
    report: ReportOption = None,
    cluster: ClusterOption = "",
    as_json: CountsOption = False,
) -> None:
    """Score a backlog of tickets: ranked causes, priority, next step and questions of each."""
    from diagnose.interfaces.score import build_job, run_job

    job = build_job(
        tickets,
        out,
        pairs=pairs or (),
        units=units or (),
        with_next=with_next,
        resume=resume,
        processes=processes,
        quiet=quiet,
        measure=measure,
        report=report,
        cluster=cluster,
    )
    code = run_job(job, as_json=as_json)
    if code:
        raise typer.Exit(code)
