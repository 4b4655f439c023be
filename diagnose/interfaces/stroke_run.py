"""Carry the command `stroke` out: read, analyse, compare, then print, draw and write what was asked for.

Takes wishes, prints; may import everything above.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import typer

from diagnose.explanation.stroke_compare import render_comparison
from diagnose.explanation.stroke_html import render_stroke_page
from diagnose.explanation.stroke_text import render_stroke
from diagnose.facts.case_file import Case, load_case, write_case
from diagnose.facts.model import Fact
from diagnose.facts.stroke.acceptance import check_acceptance
from diagnose.facts.stroke.acceptance_checks import Subject
from diagnose.facts.stroke.analysis import Analysis
from diagnose.facts.stroke.comparison import Comparison, compare_figures
from diagnose.facts.stroke.into_case import add_to_case, latest_repair, start_case
from diagnose.facts.stroke.loading import LogOptions
from diagnose.facts.stroke.observations import read_facts
from diagnose.facts.stroke.report import Report
from diagnose.facts.stroke.reporting import build_report, ensure_limits, load_analysis
from diagnose.facts.unit_record import load_unit
from diagnose.interfaces.setup import unit_path
from diagnose.interfaces.stroke import Wishes
from diagnose.interfaces.writing import write_whole
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.stroke_limits import StrokeLimits, load_stroke_limits
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import suggest
from diagnose.next_step.cautions import collect_cautions


@dataclass(frozen=True, eq=False)
class _Read:
    """One log, read: the analysis, the facts and the report."""

    analysis: Analysis
    facts: tuple[Fact, ...]
    report: Report


def run_stroke(wishes: Wishes) -> None:
    """Print what a log shows, and write what else was asked for.

    Raises:
        InputFaulty: A log, the unit record, the limits, the case file or a target has faults.
    """
    knowledge = load_knowledge(rules_directory())
    ensure_cause(knowledge, wishes.cause)
    limits = (
        load_stroke_limits(wishes.limits)
        if wishes.limits
        else ensure_limits(knowledge.stroke_limits, rules_directory())
    )
    case = _case(wishes, knowledge)
    record = load_unit(unit_path(wishes.unit)) if wishes.unit else case.unit if case else None
    after = latest_repair(case) if case else ""
    now = _read(wishes.log, wishes, knowledge, limits=limits, record=record, after=after)
    earlier = _read(wishes.before, wishes, knowledge, limits=limits, record=record) if wishes.before else None
    comparison = _compare(wishes, knowledge, now, earlier, record)
    _write_files(wishes, now, comparison)
    if case is not None and wishes.case is not None:
        write_whole(wishes.case, write_case(add_to_case(case, now.facts, record)))
        _tell_written(wishes.case)
    _print(wishes, now.report, comparison)


def ensure_cause(knowledge: Knowledge, cause: str | None) -> None:
    """Refuse a cause that the rules do not hold.

    Raises:
        BadParameter: Naming the nearest one.
    """
    if cause is not None and knowledge.named_remedy(cause) is None:
        raise typer.BadParameter(
            f"no cause '{cause[:60]}'; {suggest(cause, knowledge.causes, 'see `diagnose show`')}"
        )


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


def _case(wishes: Wishes, knowledge: Knowledge) -> Case | None:
    if wishes.case is None:
        return None
    return load_case(wishes.case, knowledge) if wishes.case.exists() else start_case(wishes.case, wishes.log)


def _read(
    path: Path,
    wishes: Wishes,
    knowledge: Knowledge,
    *,
    limits: StrokeLimits,
    record: UnitRecord | None,
    after: str = "",
) -> _Read:
    units, renamed = split_pairs(wishes.columns, "--column"), split_pairs(wishes.renamed, "--map")
    kind = record.input_kind if record and record.input_kind != "no_analogue" else None
    analysis, columns = load_analysis(path, LogOptions(units, renamed, kind), limits, record)
    facts = read_facts(analysis, knowledge, record, after)
    return _Read(analysis, facts, build_report(analysis, columns, record, facts))


def _compare(
    wishes: Wishes, knowledge: Knowledge, now: _Read, earlier: _Read | None, record: UnitRecord | None
) -> Comparison:
    base = Comparison(
        after=now.report,
        before=earlier.report if earlier else None,
        is_baseline=wishes.is_baseline,
        figures=compare_figures(earlier.report, now.report) if earlier else (),
        rules_version=knowledge.version,
    )
    remedy = knowledge.named_remedy(wishes.cause) if wishes.cause else None
    if remedy is None or wishes.cause is None:
        return base
    points = check_acceptance(remedy.acceptance, Subject(now.analysis, record))
    is_open = any(point.result in {"cannot tell", "by hand"} for point in points)
    # what is still to be tried is tried on the unit, with every caution of the work
    called = collect_cautions(knowledge, remedy, (remedy.access,), knowledge.cautions.acts["stroke_valve"])
    return base.model_copy(
        update={
            "cause": wishes.cause,
            "remedy": remedy.says,
            "acceptance": remedy.acceptance,
            "points": points,
            "cautions": tuple(knowledge.cautions.lines[name].says for name in called) if is_open else (),
            "deferral": knowledge.cautions.deferral if is_open else "",
        }
    )


def _write_files(wishes: Wishes, now: _Read, comparison: Comparison) -> None:
    if wishes.plot is not None:
        from diagnose.interfaces.stroke_plot import draw_stroke

        draw_stroke(now.analysis, wishes.plot)
        _tell_written(wishes.plot)
    if wishes.html is not None:
        write_whole(wishes.html, render_stroke_page(comparison))
        _tell_written(wishes.html)
    if wishes.pdf is not None:
        from diagnose.interfaces.pdf import write_pdf

        write_pdf(render_stroke_page(comparison), wishes.pdf)
        _tell_written(wishes.pdf)


def _tell_written(path: Path) -> None:
    print(f"Written: {path}", file=sys.stderr)


def _print(wishes: Wishes, report: Report, comparison: Comparison) -> None:
    is_compared = bool(comparison.cause) or comparison.before is not None
    if wishes.as_json:
        print((comparison if is_compared else report).model_dump_json(indent=2))
    elif is_compared:
        print(render_comparison(comparison), end="")
    else:
        print(render_stroke(report, wishes.verbosity), end="")
