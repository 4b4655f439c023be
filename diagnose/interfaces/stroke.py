"""The command `stroke`: what a log of command and travel shows, and whether it proves a repair.

Takes log files, prints or writes; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

LogArgument = Annotated[Path, typer.Argument(help="Log: CSV or Parquet with time, command and position.")]
BeforeOption = Annotated[Path | None, typer.Option("--before", help="The log before the repair.")]
BaselineOption = Annotated[Path | None, typer.Option("--baseline", help="The as-commissioned log.")]
CauseOption = Annotated[
    str | None,
    typer.Option("--cause", help="Cause or cause.mode that was put right: run its acceptance check."),
]
UnitOption = Annotated[str | None, typer.Option("--unit", help="Unit record, or the name of a shipped one.")]
UnitsOption = Annotated[
    list[str] | None,
    typer.Option("--column", metavar="COLUMN=UNIT", help="Unit of a column: command=1-5V, time=ms."),
]
MapOption = Annotated[list[str] | None, typer.Option("--map", metavar="THEIRS=OURS", help="Rename a column.")]
LimitsOption = Annotated[
    Path | None, typer.Option("--limits", help="Limits in place of stroke_limits.yaml of the rules.")
]
CaseOption = Annotated[Path | None, typer.Option("--case", help="Add what the log tells to this case file.")]
PlotOption = Annotated[Path | None, typer.Option("--plot", help="Draw the log: FILE.svg or .png.")]
HtmlOption = Annotated[Path | None, typer.Option("--html", help="Write a page to print and sign.")]
PdfOption = Annotated[Path | None, typer.Option("--pdf", help="The same as PDF, printed by Chromium.")]
VerboseOption = Annotated[
    int, typer.Option("-v", "--verbose", count=True, help="Strokes, steps, points and places too.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the document as JSON.")]


@dataclass(frozen=True)
class Wishes:
    """What was asked for on the command line."""

    log: Path
    before: Path | None = None
    is_baseline: bool = False
    cause: str | None = None
    unit: str | None = None
    columns: tuple[str, ...] = ()
    renamed: tuple[str, ...] = ()
    limits: Path | None = None
    case: Path | None = None
    plot: Path | None = None
    html: Path | None = None
    pdf: Path | None = None
    verbosity: int = 0
    as_json: bool = False


def analyse_stroke(
    log: LogArgument,
    *,
    before: BeforeOption = None,
    baseline: BaselineOption = None,
    cause: CauseOption = None,
    unit: UnitOption = None,
    columns: UnitsOption = None,
    renamed: MapOption = None,
    limits: LimitsOption = None,
    case: CaseOption = None,
    plot: PlotOption = None,
    html: HtmlOption = None,
    pdf: PdfOption = None,
    verbosity: VerboseOption = 0,
    as_json: JsonOption = False,
) -> None:
    """Analyse a stroke log: figures with their doubt, verdicts, findings; acceptance after a repair."""
    from diagnose.interfaces.stroke_run import run_stroke

    if before is not None and baseline is not None:
        raise typer.BadParameter("give --before or --baseline, not both")
    run_stroke(
        Wishes(
            log,
            before or baseline,
            baseline is not None,
            cause,
            unit,
            tuple(columns or ()),
            tuple(renamed or ()),
            limits,
            case,
            plot,
            html,
            pdf,
            verbosity,
            as_json,
        )
    )
