"""An analysed log becomes the frozen report.

Takes an `Analysis`, gives a `Report`; may import judging, report and the package.
"""

from __future__ import annotations

from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.facts.model import Fact
from diagnose.facts.stroke.analysis import Analysis, analyse
from diagnose.facts.stroke.cleaning import clean_log
from diagnose.facts.stroke.columns import Column
from diagnose.facts.stroke.judging import judge
from diagnose.facts.stroke.loading import LogOptions, load_log
from diagnose.facts.stroke.report import (
    CycleView,
    Found,
    PointView,
    Report,
    SpotView,
    StepView,
    StrokeView,
    Told,
)
from diagnose.knowledge.stroke_limits import StrokeLimits
from diagnose.knowledge.unit import UnitRecord

# A service log of days holds thousands; the report keeps the first ones and says so.
MOST_ROWS = 200


def load_analysis(
    path: Path, options: LogOptions, limits: StrokeLimits, unit: UnitRecord | None
) -> tuple[Analysis, tuple[Column, ...]]:
    """Read, clean and analyse one log file.

    Args:
        path: CSV or Parquet.
        options: Units and names where the header does not tell.
        limits: What the figures may be.
        unit: The unit record, for the kind of command and the acting direction.

    Returns:
        The analysis, and what each column was taken for.

    Raises:
        InputFaulty: The log cannot be read, or is too short.
    """
    raw = load_log(path, options)
    trace = clean_log(raw, is_reverse=unit is not None and unit.acting == "reverse")
    return analyse(trace, limits), raw.columns


def ensure_limits(limits: StrokeLimits | None, rules: Path) -> StrokeLimits:
    """Give the limits of a rule base.

    Raises:
        InputFaulty: It has none.
    """
    if limits is None:
        wrong = "the rules hold no limits for stroke logs"
        raise InputFaulty([fault_in_file(rules, "stroke-limits", wrong, "name a file by --limits")])
    return limits


def build_report(
    a: Analysis, columns: tuple[Column, ...], unit: UnitRecord | None, facts: tuple[Fact, ...] = ()
) -> Report:
    """Write everything an analysed log shows into one frozen document.

    Args:
        a: The analysed log.
        columns: What each column was taken for.
        unit: The unit record, for limits that rest on it.
        facts: What the log tells the ranker.
    """
    return Report(
        log=a.trace.path,
        asset=unit.asset if unit else "",
        rows=a.trace.rows,
        seconds=a.trace.seconds,
        interval=a.trace.interval,
        scatter=round(a.noise.scatter, 6),
        grain=round(a.noise.grain, 6),
        columns=tuple(f"{c.name} from '{c.header.strip()}' ({c.unit})" for c in columns),
        notes=(*a.trace.notes, *_notes(a)),
        figures=tuple(judge(name, reading, a.limits, unit) for name, reading in a.readings.items()),
        strokes=_strokes(a),
        steps=_steps(a),
        points=tuple(
            PointView(command=p.command, up=p.up, down=p.down, other=p.other) for p in a.points[:MOST_ROWS]
        ),
        shapes=tuple(Found(kind=shape.kind, says=shape.says) for shape in a.shapes),
        spots=_spots(a),
        cycles=_cycles(a),
        facts=tuple(Told(observation=f.observation, state=f.state, words=f.origin.words) for f in facts),
    )


def _notes(a: Analysis) -> tuple[str, ...]:
    notes = []
    if not any(motion.changes for motion in a.motions):
        asked = any(motion.command_changes for motion in a.motions)
        notes.append(
            "Nothing moved although the command changed."
            if asked
            else "Nothing moved; the command never changed."
        )
    elif not a.steps:
        notes.append("The command holds no step: a log of steps up and down tells most.")
    if max(len(a.strokes), len(a.steps), len(a.points)) > MOST_ROWS:
        notes.append(f"Only the first {MOST_ROWS} strokes, steps and points are listed; all count.")
    return tuple(notes)


def _strokes(a: Analysis) -> tuple[StrokeView, ...]:
    return tuple(
        StrokeView(
            way="opening" if stroke.way > 0 else "closing",
            end=stroke.end,
            begins=stroke.begins,
            seconds=stroke.seconds,
            from_travel=stroke.started_at,
            to_travel=stroke.reached,
            speed=stroke.speed,
            order=stroke.order,
            made=stroke.made,
        )
        for stroke in a.strokes[:MOST_ROWS]
    )


def _steps(a: Analysis) -> tuple[StepView, ...]:
    return tuple(
        StepView(
            at=step.at,
            from_command=step.from_command,
            to_command=step.to_command,
            moved=step.moved,
            dead_time=step.dead_time,
            t63=step.t63,
            t86=step.t86,
            overshoot=step.overshoot,
        )
        for step in a.steps[:MOST_ROWS]
    )


def _spots(a: Analysis) -> tuple[SpotView, ...]:
    return tuple(
        SpotView(
            what=spot.what,
            way="opening" if spot.way > 0 else "closing",
            from_travel=spot.from_travel,
            to_travel=spot.to_travel,
            ratio=spot.ratio,
        )
        for spot in a.spots
    )


def _cycles(a: Analysis) -> tuple[CycleView, ...]:
    return tuple(
        CycleView(
            command=cycle.command,
            amplitude=cycle.amplitude,
            period=cycle.period,
            travel=cycle.travel,
            count=cycle.count,
            from_time=cycle.from_time,
            seconds=cycle.seconds,
        )
        for cycle in a.cycles[:MOST_ROWS]
    )
