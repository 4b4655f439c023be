"""The stroke report: everything one log shows, complete enough to render without log and rules.

Takes nothing, gives frozen models; may import the words of the knowledge models.
"""

from __future__ import annotations

from typing import Literal

from diagnose.facts.model import State
from diagnose.knowledge.stroke_limits import FigureId
from diagnose.knowledge.words import Id, Model

Verdict = Literal["within", "outside", "cannot tell", "not judged"]
# What each figure is, and its unit. Travel and errors are in per cent of the full travel.
FIGURES: dict[FigureId, tuple[str, str]] = {
    "travel_open_short": ("Open end, short of 100 %", "%"),
    "travel_closed_short": ("Closed end, short of 0 %", "%"),
    "end_spread_open": ("Open end, spread of moves", "%"),
    "end_spread_closed": ("Closed end, spread of moves", "%"),
    "stroke_time_opening": ("Full stroke opening", "s"),
    "stroke_time_closing": ("Full stroke closing", "s"),
    "dead_time": ("Dead time", "s"),
    "t63": ("T63, step of about 10 %", "s"),
    "t86": ("T86, step of about 10 %", "s"),
    "overshoot": ("Overshoot", "%"),
    "dead_band": ("Dead band", "%"),
    "resolution": ("Resolution", "%"),
    "point_error": ("Greatest error at rest", "%"),
    "hysteresis": ("Hysteresis", "%"),
    "zero_error": ("Zero error", "%"),
    "span_error": ("Span error", "%"),
    "linearity": ("Non-linearity, terminal-based", "%"),
    "coast": ("Run-on after drive off", "%"),
    "cycle_amplitude": ("Limit cycle, peak to peak", "%"),
    "starts_per_hour": ("Motor starts, as logged", "1/h"),
    "duty": ("Drive on, share, as logged", "%"),
    "running_current": ("Running current", "A"),
    "current_rise": ("Current, worst place / median", ""),
    "time_rise": ("Time, worst place / median", ""),
    "lowest_supply": ("Lowest supply on the move", "V"),
    "output_error": ("Position output off the travel", "%"),
}


class Figure(Model):
    """One figure with its range and its verdict.

    Attributes:
        value: Best value; None where the log bounds it only, or does not show it.
        low: Least value that fits the log; None without one.
        high: Greatest value that fits the log; None without one.
        where: Where it was read, or why it is not shown.
        bound: The limit in words, empty where there is none.
        source: Where the limit comes from.
    """

    id: FigureId
    says: str
    unit: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    where: str
    verdict: Verdict
    bound: str = ""
    source: str = ""

    @property
    def is_shown(self) -> bool:
        """Tell whether the log shows anything of it."""
        return self.low is not None


class StrokeView(Model):
    """One long move."""

    way: Literal["opening", "closing"]
    end: Literal["open", "closed", "midway"]
    begins: float
    seconds: float
    from_travel: float
    to_travel: float
    speed: float
    order: str
    made: tuple[str, ...]


class StepView(Model):
    """One step of the command; None where the log does not show it."""

    at: float
    from_command: float
    to_command: float
    moved: bool | None
    dead_time: float | None
    t63: float | None
    t86: float | None
    overshoot: float | None


class PointView(Model):
    """Resting travel at one command, from below and from above."""

    command: float
    up: float | None
    down: float | None
    other: float | None


class Found(Model):
    """One thing found, in a sentence."""

    kind: Id
    says: str


class SpotView(Model):
    """A stretch of travel where current or time rises."""

    what: Literal["current", "time"]
    way: Literal["opening", "closing"]
    from_travel: float
    to_travel: float
    ratio: float


class CycleView(Model):
    """A limit cycle at one command."""

    command: float
    amplitude: float
    period: float
    travel: float
    count: int
    from_time: float
    seconds: float


class Told(Model):
    """One observation that the log decides."""

    observation: Id
    state: State
    words: str


class Report(Model):
    """Everything one log shows.

    Attributes:
        interval: Seconds between samples; no time is known better.
        scatter: Standard deviation of the noise of the travel, per cent.
        grain: Step of the figures of the travel, per cent.
        columns: What each column was taken for.
        notes: What was made good in reading, and what the log is too short for.
    """

    format: Literal[1] = 1
    log: str
    asset: str = ""
    rows: int
    seconds: float
    interval: float
    scatter: float
    grain: float
    columns: tuple[str, ...]
    notes: tuple[str, ...]
    figures: tuple[Figure, ...]
    strokes: tuple[StrokeView, ...]
    steps: tuple[StepView, ...]
    points: tuple[PointView, ...]
    shapes: tuple[Found, ...]
    spots: tuple[SpotView, ...]
    cycles: tuple[CycleView, ...]
    facts: tuple[Told, ...] = ()

    def figure(self, name: FigureId) -> Figure:
        """Give one figure."""
        return next(figure for figure in self.figures if figure.id == name)
