"""One log analysed: every figure, stroke, step, point, shape, spot and cycle, judged by its limits.

Takes a `Trace`, gives an `Analysis`; may import the rest of the package. Nothing is written or printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from diagnose.facts.stroke import cycling, drive, points, steps, strokes
from diagnose.facts.stroke.columns import CURRENT, OUTPUT, VOLTS
from diagnose.facts.stroke.cycling import Cycle
from diagnose.facts.stroke.drive import Spot
from diagnose.facts.stroke.estimate import Reading, Untold, about
from diagnose.facts.stroke.holds import Hold, Motion, find_motions
from diagnose.facts.stroke.noise import Noise, find_command_noise
from diagnose.facts.stroke.points import Point
from diagnose.facts.stroke.shape import Shape, find_shapes
from diagnose.facts.stroke.steps import Step
from diagnose.facts.stroke.strokes import Stroke
from diagnose.facts.stroke.trace import Trace
from diagnose.facts.stroke.wording import counted
from diagnose.knowledge.stroke_limits import FigureId, StrokeLimits


@dataclass(frozen=True, eq=False)
class Analysis:
    """What one log shows, as records; each part is worked out once, when it is first asked for."""

    trace: Trace
    motions: tuple[Motion, ...]
    noise: Noise
    limits: StrokeLimits

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Steps of the command and their answers."""
        return steps.find_steps(self.motions, self.noise)

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """Resting points by command."""
        return points.find_points(self.motions, self.noise)

    @cached_property
    def strokes(self) -> tuple[Stroke, ...]:
        """Long moves."""
        return strokes.find_strokes(self.motions, self.noise)

    @cached_property
    def cycles(self) -> tuple[Cycle, ...]:
        """Limit cycles at a steady command."""
        return cycling.find_cycles(self.motions, self.noise)

    @cached_property
    def command_cycle(self) -> Cycle | None:
        """A command that swings by itself."""
        noise = find_command_noise(self.trace.joined("command"), self.trace.interval)
        return cycling.find_command_cycle(self.motions, noise)

    @cached_property
    def quiet(self) -> tuple[Hold, ...]:
        """Holds in which the travel rests long enough to tell that it does not cycle."""
        return cycling.quiet_holds(self.motions, self.cycles)

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """The shape of the errors."""
        return find_shapes(self.points, self.limits.exact_within)

    @cached_property
    def profiles(self) -> tuple[drive.Profile, ...]:
        """Current and time along the travel."""
        return drive.find_profiles(self.motions, self.noise)

    @cached_property
    def spots(self) -> tuple[Spot, ...]:
        """Places where current or time rises above its limit."""
        bounds: dict[drive.What, float] = {}
        for what, name in _RISES.items():
            limit = self.limits.limits.get(name)
            if limit is not None and limit.at_most is not None:
                bounds[what] = limit.at_most
        return drive.find_spots(self.profiles, bounds)

    @cached_property
    def starts(self) -> int:
        """Motor starts in the log."""
        return strokes.count_starts(self.motions, sum(2 * cycle.count for cycle in self.cycles))

    def has(self, name: str) -> bool:
        """Tell whether the log has a column."""
        return name in self.trace.names

    @cached_property
    def readings(self) -> dict[FigureId, Reading]:
        """Every figure as the log shows it."""
        return dict(_readings(self))


_RISES: dict[drive.What, FigureId] = {"current": "current_rise", "time": "time_rise"}


def analyse(trace: Trace, limits: StrokeLimits) -> Analysis:
    """Analyse a cleaned log.

    Args:
        trace: The log on an even clock.
        limits: What its figures may be.

    Returns:
        The records; nothing is judged yet.
    """
    motions, noise = find_motions(trace)
    return Analysis(trace, motions, noise, limits)


def _readings(a: Analysis) -> Iterator[tuple[FigureId, Reading]]:
    yield "travel_open_short", strokes.read_short(a.motions, a.noise, "open")
    yield "travel_closed_short", strokes.read_short(a.motions, a.noise, "closed")
    yield "end_spread_open", strokes.read_spread(a.motions, a.noise, "open")
    yield "end_spread_closed", strokes.read_spread(a.motions, a.noise, "closed")
    yield "stroke_time_opening", steps.read_stroke_time(a.motions, a.noise, 1)
    yield "stroke_time_closing", steps.read_stroke_time(a.motions, a.noise, -1)
    yield "dead_time", steps.read_dead_time(a.steps, a.noise)
    yield "t63", steps.read_step_time(a.steps, a.noise, "t63")
    yield "t86", steps.read_step_time(a.steps, a.noise, "t86")
    yield "overshoot", steps.read_overshoot(a.steps, a.noise)
    yield "dead_band", steps.read_smallest(a.steps, reversals=True)
    yield "resolution", steps.read_smallest(a.steps, reversals=False)
    yield "point_error", points.read_point_error(a.points)
    yield "hysteresis", points.read_hysteresis(a.points)
    yield "zero_error", points.read_zero(a.points)
    yield "span_error", points.read_span(a.points)
    yield "linearity", points.read_linearity(a.points)
    yield "coast", strokes.read_coast(a.motions, a.noise)
    yield "cycle_amplitude", _cycle_amplitude(a)
    yield from _running(a)
    yield "running_current", drive.read_running_current(a.motions, trace_has=a.has(CURRENT))
    yield "current_rise", drive.read_rise(a.profiles, "current")
    yield "time_rise", drive.read_rise(a.profiles, "time")
    yield "lowest_supply", drive.read_lowest_supply(a.motions, trace_has=a.has(VOLTS))
    yield "output_error", drive.read_output_error(a.motions, a.noise, trace_has=a.has(OUTPUT))


def _cycle_amplitude(a: Analysis) -> Reading:
    if a.cycles:
        worst = max(a.cycles, key=lambda cycle: cycle.amplitude)
        where = f"at {worst.command:.4g} % command, period {worst.period:.3g} s, {worst.count} swings"
        return about(worst.amplitude, a.noise.visible, where)
    if not a.quiet:
        return Untold(f"no hold of {cycling.QUIET_SECONDS:g} s at steady command")
    return _none_seen(a.quiet, a.noise)


def _none_seen(quiet: Sequence[Hold], noise: Noise) -> Reading:
    seconds = sum(hold.seconds for hold in quiet)
    return about(0.0, noise.visible, f"none in {counted(len(quiet), 'hold')}, {seconds:.0f} s")


def _running(a: Analysis) -> Iterator[tuple[FigureId, Reading]]:
    hours = a.trace.seconds / 3600
    watched = f"over {a.trace.seconds:.0f} s"
    yield "starts_per_hour", about(a.starts / hours, 1 / hours, f"{counted(a.starts, 'start')} {watched}")
    moving = strokes.running_seconds(a.motions)
    doubt = 2 * a.trace.interval * max(1, a.starts)
    seconds = a.trace.seconds
    yield (
        "duty",
        about(100 * moving / seconds, 100 * min(moving, doubt) / seconds, f"{moving:.1f} s {watched}"),
    )
