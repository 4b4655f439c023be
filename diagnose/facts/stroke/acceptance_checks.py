"""The checks that a log can make of an acceptance sentence: each one point, with pass, fail or cannot tell.

Takes an `Analysis` and the numbers of the sentence, gives `Outcome`; may import the package.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.facts.stroke.analysis import Analysis
from diagnose.facts.stroke.columns import CONTACTS, OUTPUT, VOLTS
from diagnose.facts.stroke.estimate import Reading, Untold
from diagnose.facts.stroke.holds import Hold
from diagnose.facts.stroke.judging import compare
from diagnose.facts.stroke.points import Point
from diagnose.facts.stroke.strokes import End, find_makings, holds_at
from diagnose.facts.stroke.wording import counted
from diagnose.knowledge.stroke_limits import FigureId, UnitField
from diagnose.knowledge.unit import UnitRecord

Result = Literal["pass", "fail", "cannot tell", "by hand"]
_RESULT: dict[str, Result] = {"within": "pass", "outside": "fail", "cannot tell": "cannot tell"}
_MA_PER_PERCENT = 0.16
# A command this near (per cent) to the one asked for counts as it.
_NEAR = 1.0
# Moves to within this of either end (per cent) are full strokes where the sentence names no limit.
_FULL = 2.0


@dataclass(frozen=True)
class Subject:
    """What is held against the sentence: the log, and the unit record where there is one."""

    analysis: Analysis
    unit: UnitRecord | None


@dataclass(frozen=True)
class Outcome:
    """What the log says of one point, and in which words."""

    result: Result
    words: str


def check_range(low: float, high: float, bound: float, words: str, *, is_most: bool = True) -> Outcome:
    """Hold a range against a bound."""
    return Outcome(_RESULT[compare(low, high, bound, is_most=is_most)], words)


def check_reading(
    reading: Reading, bound: float, unit: str, *, scale: float = 1.0, is_most: bool = True
) -> Outcome:
    """Hold a figure against a bound in its unit."""
    if isinstance(reading, Untold):
        return Outcome("cannot tell", reading.why)
    low, high = reading.low * scale, reading.high * scale
    side = "at most" if is_most else "at least"
    shown = f"{max(low, 0.0):.3g} to {high:.3g} {unit}, wanted {side} {bound:.3g}"
    return check_range(low, high, bound, f"{shown} ({reading.where})", is_most=is_most)


def check_nominal(
    s: Subject, names: Iterable[FigureId], field: UnitField, factor: float, unit: str, *, is_most: bool = True
) -> Outcome:
    """Hold figures against a factor on a field of the unit record; the worst counts."""
    nominal = getattr(s.unit, field) if s.unit is not None else None
    if nominal is None:
        return Outcome("cannot tell", f"the unit record does not tell {field}")
    outcomes = [
        check_reading(s.analysis.readings[name], factor * float(nominal), unit, is_most=is_most)
        for name in names
    ]
    return worst_of(outcomes)


def worst_of(outcomes: Sequence[Outcome]) -> Outcome:
    """Give the outcome that counts: a fail before what cannot be told before a pass."""
    order: tuple[Result, ...] = ("fail", "cannot tell", "pass", "by hand")
    return min(outcomes, key=lambda outcome: order.index(outcome.result))


def check_strokes(s: Subject, ways: Iterable[int], count: int, within: float | None) -> Outcome:
    """Check so many full moves to each end, each ending within a limit of it."""
    return worst_of(
        [_strokes_one_way(s, way, count, within if within is not None else _FULL) for way in ways]
    )


def _strokes_one_way(s: Subject, way: int, count: int, within: float) -> Outcome:
    end: End = "open" if way > 0 else "closed"
    mark = 100.0 if way > 0 else 0.0
    arrived = [hold for hold in holds_at(s.analysis.motions, end) if hold.changes and hold.travel is not None]
    if not arrived:
        return Outcome("cannot tell", f"the log holds no move to the {end} end")
    off = [(abs(mark - hold.travel), hold) for hold in arrived if hold.travel is not None]
    worst, hold = max(off, key=lambda one: one[0])
    doubt = s.analysis.noise.doubt_of_level(hold.samples)
    words = f"{counted(len(off), 'move')} to the {end} end, worst {worst:.2f} % off, wanted {count} within {within:g} %"
    outcome = check_range(max(0.0, worst - doubt), worst + doubt, within, words)
    return Outcome("cannot tell", words) if outcome.result == "pass" and len(off) < count else outcome


def check_count(s: Subject, count: int) -> Outcome:
    """Check that the log holds so many moves to each end."""
    ends: tuple[End, ...] = ("open", "closed")
    moves = [sum(bool(hold.changes) for hold in holds_at(s.analysis.motions, end)) for end in ends]
    words = f"{moves[0]} moves to open and {moves[1]} to closed, wanted {count} each"
    return Outcome("pass" if min(moves) >= count else "cannot tell", words)


def check_spread(s: Subject, within: float) -> Outcome:
    """Check the spread of the end travels."""
    a = s.analysis
    return worst_of(
        [check_reading(a.readings[n], within, "%") for n in ("end_spread_open", "end_spread_closed")]
    )


def check_limit(s: Subject, ends: Iterable[End]) -> Outcome:
    """Check that the limit contact is made at rest at each end."""
    outcomes = []
    for end in ends:
        name = "open_limit" if end == "open" else "close_limit"
        holds = [hold for hold in holds_at(s.analysis.motions, end) if hold.changes]
        if not s.analysis.has(name) or not holds:
            outcomes.append(
                Outcome("cannot tell", f"the log lacks the {end} limit or a move to the {end} end")
            )
            continue
        made = sum(hold.piece.values[name][hold.end - 1] > 0.5 for hold in holds)
        words = f"{end} limit made at {made} of {len(holds)} ends"
        outcomes.append(Outcome("pass" if made == len(holds) else "fail", words))
    return worst_of(outcomes)


def check_no_torque(s: Subject) -> Outcome:
    """Check that no torque contact makes, other than at an end that seats by torque."""
    names = [name for name in CONTACTS if name.endswith("torque") and s.analysis.has(name)]
    seats = {"open_torque": (100.0, "open_seating"), "close_torque": (0.0, "closed_seating")}
    trips = []
    for name in names:
        mark, seating = seats[name]
        by_torque = s.unit is not None and getattr(s.unit, seating) == "torque"
        makings = find_makings(s.analysis.motions, name)
        trips += [travel for travel in makings if not (by_torque and abs(travel - mark) <= _FULL)]
    if trips:
        return Outcome(
            "fail", f"torque contact made at {', '.join(f'{travel:.0f} %' for travel in trips[:6])} travel"
        )
    if len(names) < len(seats):
        return Outcome("cannot tell", "the log lacks the torque contacts")
    return Outcome("pass", "no torque contact made in the log")


def check_points(s: Subject, commands: Sequence[float], within: float, fewest: int = 1) -> Outcome:
    """Check the error at rest at the commands named, or at every point where none is named."""
    points = s.analysis.points
    wanted = [(command, _near(points, command)) for command in commands]
    missing = [f"{command:g} %" for command, point in wanted if point is None]
    if missing:
        return Outcome("cannot tell", f"the travel rests at no command near {', '.join(missing)}")
    used = [point for _, point in wanted if point is not None] or list(points)
    if len(used) < fewest:
        return Outcome("cannot tell", f"{counted(len(used), 'resting point')}, wanted {fewest}")
    errors = [(abs(t - p.command), p) for p in used for t in p.travels]
    worst, point = max(errors, key=lambda error: error[0])
    words = f"worst {worst:.2f} % at {point.command:.4g} % command of {counted(len(used), 'point')}, wanted {within:g} %"
    return check_range(max(0.0, worst - point.doubt), worst + point.doubt, within, words)


def check_five_points(s: Subject, within: float) -> Outcome:
    """Check the error at five points or more that reach from near one end to near the other."""
    return check_points(s, (), within, fewest=5)


def check_gap(s: Subject, command: float, within: float) -> Outcome:
    """Check that the directions agree at one command."""
    point = _near(s.analysis.points, command)
    if point is None or point.up is None or point.down is None:
        return Outcome("cannot tell", f"{command:g} % was not reached from both sides")
    gap, doubt = abs(point.down - point.up), 1.5 * point.doubt
    words = f"{gap:.2f} % apart at {command:g} %, wanted {within:g} %"
    return check_range(max(0.0, gap - doubt), gap + doubt, within, words)


def _near(points: Iterable[Point], command: float) -> Point | None:
    near = [point for point in points if abs(point.command - command) <= _NEAR]
    return min(near, key=lambda point: abs(point.command - command), default=None)


def check_quiet(s: Subject, commands: Sequence[float], minutes: float) -> Outcome:
    """Check that nothing starts for so many minutes at each command, or at any where none is named."""
    holds = [hold for motion in s.analysis.motions for hold in motion.holds]
    if not commands:
        return _quiet_at(s, holds, minutes, "any command")
    near = [(c, [hold for hold in holds if abs(hold.command - c) <= _NEAR]) for c in commands]
    return worst_of([_quiet_at(s, there, minutes, f"{command:g} %") for command, there in near])


def _quiet_at(s: Subject, holds: Sequence[Hold], minutes: float, where: str) -> Outcome:
    best = max((_rest_of(hold) for hold in holds), default=0.0)
    swings = [cycle for cycle in s.analysis.cycles if any(cycle.command == hold.command for hold in holds)]
    later = [hold for hold in holds if _starts_again(hold)]
    if swings or later:
        what = f"swings {swings[0].amplitude:.2f} %" if swings else "starts again"
        return Outcome(
            "fail", f"{what} at {(swings[0].command if swings else later[0].command):.4g} % command"
        )
    words = f"at {where} at rest for {best:.0f} s, wanted {minutes * 60:.0f} s"
    return Outcome("pass" if best >= minutes * 60 * 0.98 else "cannot tell", words)


def _starts_again(hold: Hold) -> bool:
    """Tell whether the travel moves on after it had come to rest from answering the command."""
    time, settled = hold.piece.time, hold.start
    for change in hold.changes:
        if settled > hold.start and time[change.start] - time[settled] > 5:
            return True
        settled = max(settled, min(change.end, hold.end - 1))
    return False


def _rest_of(hold: Hold) -> float:
    if hold.travel is None:
        return 0.0
    last = max([hold.start, *(min(change.end, hold.end - 1) for change in hold.changes)])
    return float(hold.piece.time[hold.end - 1] - hold.piece.time[last])


def check_step(s: Subject, size: float, within: float | None) -> Outcome:
    """Check that steps of a size are followed both ways, or end within a limit of the command."""
    steps = [
        step
        for step in s.analysis.steps
        if step.at_rest and step.moved is not None and 0.5 * size <= abs(step.size) <= 1.05 * size
    ]
    if not {1, -1} <= {1 if step.size > 0 else -1 for step in steps}:
        return Outcome("cannot tell", f"the log holds no steps of {size:g} % both ways from rest")
    ignored = [step for step in steps if not step.moved]
    if ignored:
        return Outcome(
            "fail", f"a step from {ignored[0].from_command:.4g} to {ignored[0].to_command:.4g} % ignored"
        )
    if within is not None:
        return check_points(s, [step.to_command for step in steps], within)
    return Outcome("pass", f"{counted(len(steps), 'step')} of up to {size:g} % followed")


def check_reversal(s: Subject, size: float, commands: Sequence[float]) -> Outcome:
    """Check that a reversal of a size moves the travel at each command."""
    outcomes = []
    for command in commands:
        near = [
            step
            for step in s.analysis.steps
            if step.is_reversal
            and step.moved is not None
            and abs(step.since_move) <= 1.05 * size
            and abs(step.from_command - command) <= 2 * size + _NEAR
        ]
        if not near:
            outcomes.append(Outcome("cannot tell", f"no reversal of {size:g} % near {command:g} %"))
        else:
            moved = any(step.moved for step in near)
            words = f"reversal of {size:g} % near {command:g} % {'answered' if moved else 'ignored'}"
            outcomes.append(Outcome("pass" if moved else "fail", words))
    return worst_of(outcomes)


def check_output(s: Subject, within: float) -> Outcome:
    """Check the position output against the travel at rest, in mA of a 4-20 mA loop."""
    if not s.analysis.has(OUTPUT):
        return Outcome("cannot tell", "the position output was not logged")
    return check_reading(s.analysis.readings["output_error"], within, "mA", scale=_MA_PER_PERCENT)


def check_supply(s: Subject, share: float) -> Outcome:
    """Check that the supply on the move stays above a share of nominal."""
    if not s.analysis.has(VOLTS):
        return Outcome("cannot tell", "the supply voltage was not logged")
    return check_nominal(s, ("lowest_supply",), "supply_volts", share, "V", is_most=False)


def check_starts(s: Subject) -> Outcome:
    """Check the starts per hour against the rating; a short log shows a test and no service."""
    if s.analysis.trace.seconds < 1800:
        return Outcome("cannot tell", f"{s.analysis.trace.seconds:.0f} s are too short for starts per hour")
    return check_nominal(s, ("starts_per_hour",), "rated_starts_per_hour", 1.0, "1/h")
