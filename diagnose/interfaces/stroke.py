"""The command `stroke`: what a log of command and travel shows.

Takes a log file, prints; may import everything above.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

LogArgument = Annotated[Path, typer.Argument(help="Log: CSV or Parquet with time, command and position.")]
UnitOption = Annotated[str | None, typer.Option("--unit", help="Unit record, or the name of a shipped one.")]
UnitsOption = Annotated[
    list[str] | None, typer.Option("--column", metavar="COLUMN=UNIT", help="Unit: command=1-5V, time=ms.")
]
MapOption = Annotated[list[str] | None, typer.Option("--map", metavar="THEIRS=OURS", help="Rename a column.")]
LimitsOption = Annotated[
    Path | None, typer.Option("--limits", help="Limits in place of stroke_limits.yaml of the rules.")
]
CaseOption = Annotated[Path | None, typer.Option("--case", help="Add what the log tells to this case file.")]
VerboseOption = Annotated[
    int, typer.Option("-v", "--verbose", count=True, help="-v strokes, steps, points and places too.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the report as JSON.")]


@dataclass(frozen=True)
class Wishes:
    """What was asked for on the command line."""

    log: Path
    unit: str | None
    columns: tuple[str, ...]
    renamed: tuple[str, ...]
    limits: Path | None
    case: Path | None
    verbosity: int
    as_json: bool


def analyse_stroke(
    log: LogArgument,
    *,
    unit: UnitOption = None,
    columns: UnitsOption = None,
    renamed: MapOption = None,
    limits: LimitsOption = None,
    case: CaseOption = None,
    verbosity: VerboseOption = 0,
    as_json: JsonOption = False,
) -> None:
    """Analyse a stroke log: figures with their doubt, verdicts, findings, and facts for the ranking."""
    run_stroke(
        Wishes(log, unit, tuple(columns or ()), tuple(renamed or ()), limits, case, verbosity, as_json)
    )


def run_stroke(wishes: Wishes) -> None:
    """Print what a log shows, and add it to a case file where one is named.

    Raises:
        InputFaulty: The log, the unit record, the limits or the case file has faults.
    """
    from diagnose.explanation.stroke_text import render_stroke
    from diagnose.facts.stroke.loading import LogOptions
    from diagnose.facts.stroke.observations import read_facts
    from diagnose.facts.stroke.reporting import build_report, ensure_limits, load_analysis
    from diagnose.facts.unit_record import load_unit
    from diagnose.interfaces.setup import unit_path
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory
    from diagnose.knowledge.stroke_limits import load_stroke_limits

    knowledge = load_knowledge(rules_directory())
    limits = (
        load_stroke_limits(wishes.limits)
        if wishes.limits
        else ensure_limits(knowledge.stroke_limits, rules_directory())
    )
    record = load_unit(unit_path(wishes.unit)) if wishes.unit else None
    units = split_pairs(wishes.columns, "--column")
    renamed = split_pairs(wishes.renamed, "--map")
    kind = record.input_kind if record and record.input_kind != "no_analogue" else None
    analysis, columns = load_analysis(wishes.log, LogOptions(units, renamed, kind), limits, record)
    report = build_report(analysis, columns, record, read_facts(analysis, knowledge, record))
    if wishes.as_json:
        print(report.model_dump_json(indent=2))
    else:
        print(render_stroke(report, wishes.verbosity), end="")


def split_pairs(pairs: Iterable[str], option: str) -> dict[str, str]:
    """Read pairs such as `command=1-5V`.

    Raises:
        BadParameter: One has no equals sign.
    """
    read = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not (name.strip() and equals and value.strip()):
            raise typer.BadParameter(f"'{pair[:60]}' is no pair; write {option} NAME=VALUE")
        read[name.strip()] = value.strip()
    return read
