"""What a log tells the ranker: observations decided by its figures, each with the words it rests on.

Takes an `Analysis`, gives facts of origin log; may import knowledge, facts.readings and the package. A number
that has a reading in the rules is compared there, by the same limits as a meter's.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from diagnose.facts.model import Fact, Origin, OriginKind, State
from diagnose.facts.readings import Measured, decide, ensure_in_range, trust_pair
from diagnose.facts.stroke.analysis import Analysis
from diagnose.facts.stroke.columns import CONTACTS, CURRENT, OUTPUT, POSITION, VOLTS
from diagnose.facts.stroke.estimate import Estimate
from diagnose.facts.stroke.holds import Hold
from diagnose.facts.stroke.noise import Noise
from diagnose.facts.stroke.points import Point
from diagnose.facts.stroke.strokes import End, find_makings, holds_at
from diagnose.facts.stroke.wording import counted
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.stroke_limits import FigureId
from diagnose.knowledge.unit import UnitRecord

# Starts in so short a log are those of the test, not of the service (s).
_SERVICE_SECONDS = 1800.0
# Rest at steady command for so long in all tells that it does not hunt (s).
_QUIET_SECONDS = 60.0
# Places of the travel nearer than this (per cent) are one place.
_ONE_PLACE = 10.0
_MA_PER_PERCENT = 0.16
_SURE = 0.8
# A log without a step this small (per cent) says nothing of small steps.
_SMALL_STEP = 5.0

Claim = tuple[str, bool, str]


def read_facts(
    a: Analysis, knowledge: Knowledge, unit: UnitRecord | None, after: str = ""
) -> tuple[Fact, ...]:
    """Turn an analysed log into facts for the ranker.

    Args:
        a: The analysed log.
        knowledge: The rule base; observations and readings that it lacks are left out.
        unit: The unit record, for readings compared with the nameplate.
        after: Id of the repair after which the log was taken.

    Returns:
        Facts with origin log, one an observation, in order of id.
    """
    facts: dict[str, Fact] = {}
    for fact in (*_from_readings(a, knowledge, unit, after), *_from_claims(a, knowledge, unit, after)):
        known = facts.get(fact.observation)
        if known is None or known.state is State.UNKNOWN:
            facts[fact.observation] = fact
    return tuple(facts[name] for name in sorted(facts))


def _from_readings(a: Analysis, knowledge: Knowledge, unit: UnitRecord | None, after: str) -> Iterator[Fact]:
    for measured in _measured(a):
        reading = knowledge.readings.get(measured.reading)
        if reading is None:
            continue
        try:
            ensure_in_range(reading, measured.value)
        except ValueError:
            continue  # a log outside what the reading can be decides nothing
        for fact in decide(knowledge, replace(measured, after=after), unit):
            words = f"{a.trace.path}: {fact.origin.words}"
            likelihood = trust_pair(knowledge, OriginKind.LOG, fact.state)
            yield replace(fact, origin=Origin(OriginKind.LOG, words), likelihood=likelihood)


def _from_claims(a: Analysis, knowledge: Knowledge, unit: UnitRecord | None, after: str) -> Iterator[Fact]:
    for name, is_present, words in (
        *_movement(a), *_ends(a), *_contacts(a, unit), *_hunting(a), *_direction(a), *_output(a)
    ):  # fmt: skip
        if name in knowledge.observations:
            state = State.PRESENT if is_present else State.ABSENT
            origin = Origin(OriginKind.LOG, f"{a.trace.path}: {words}")
            yield Fact(name, state, origin, trust_pair(knowledge, OriginKind.LOG, state), after)


def _measured(a: Analysis) -> Iterator[Measured]:
    """Give every reading of the rules that the log holds."""
    moves = any(motion.changes for motion in a.motions)
    for name, command in (("zero", 0.0), ("half", 50.0), ("full", 100.0)) if moves else ():
        point = _point_near(a.points, command)
        if point is not None:
            error = max((travel - point.command for travel in point.travels), key=abs)
            yield _measure(
                f"travel_error_at_{name}", abs(error), point.doubt, f"{abs(error):.2f} % ({error:+z.2f} %)"
            )
    half = _point_near(a.points, 50)
    if half is not None and half.up is not None and half.down is not None:
        gap = half.down - half.up
        yield _measure("direction_difference", abs(gap), 1.5 * half.doubt, f"{abs(gap):.2f} %")
    band = a.readings["dead_band"]
    if isinstance(band, Estimate) and (band.low > 0 or band.high <= _SMALL_STEP):
        yield from _of_figure(a, "dead_band", "smallest_step", "%")
    yield from _of_figure(a, "coast", "coast", "%")
    times = [a.readings[name] for name in ("stroke_time_opening", "stroke_time_closing")]
    slower = max((t for t in times if isinstance(t, Estimate)), key=lambda t: t.high, default=None)
    if slower is not None and slower.value is not None:
        yield _measure("stroke_time", slower.value, slower.high - slower.value, f"{slower.value:.3g} s")
    if a.trace.seconds >= _SERVICE_SECONDS or a.cycles:
        yield from _of_figure(a, "starts_per_hour", "starts_per_hour", "1/h")
    if a.has(CURRENT):
        yield from _of_figure(a, "running_current", "running_current", "A")
    if a.has(VOLTS):
        yield from _of_figure(a, "lowest_supply", "supply_volts_running", "V")
    yield from _output_readings(a)


def _output_readings(a: Analysis) -> Iterator[Measured]:
    """Read the position output in mA, where it was logged so."""
    if not a.has(OUTPUT):
        return
    highest = float(np.nanmax(a.trace.joined(OUTPUT))) * _MA_PER_PERCENT + 4
    yield _measure("position_output_current", highest, 0.05, f"never above {highest:.2f} mA")
    error = a.readings["output_error"]
    if isinstance(error, Estimate) and any(_is_end(point) for point in a.points):
        middle = (error.low + error.high) / 2 * _MA_PER_PERCENT
        doubt = (error.high - error.low) / 2 * _MA_PER_PERCENT
        yield _measure("position_output_error_at_ends", middle, doubt, f"{middle:.2f} mA ({error.where})")


def _is_end(point: Point) -> bool:
    return abs(point.middle) <= 2 or abs(point.middle - 100) <= 2


def _point_near(points: Sequence[Point], command: float) -> Point | None:
    near = [point for point in points if abs(point.command - command) <= 1]
    return min(near, key=lambda point: abs(point.command - command), default=None)


def _measure(reading: str, value: float, doubt: float, words: str) -> Measured:
    return Measured(reading, value, doubt, words)


def _of_figure(a: Analysis, name: FigureId, reading: str, unit: str) -> Iterator[Measured]:
    """Give a figure as a reading: the middle of its range, with half the range as its doubt."""
    estimate = a.readings[name]
    if isinstance(estimate, Estimate) and math.isfinite(estimate.high):
        low = max(0.0, estimate.low)
        middle, doubt = (low + estimate.high) / 2, (estimate.high - low) / 2
        shown = f"{estimate.value:.3g}" if estimate.value is not None else f"{low:.3g} to {estimate.high:.3g}"
        yield _measure(reading, middle, doubt, f"{shown} {unit} ({estimate.where})")


def _movement(a: Analysis) -> Iterator[Claim]:
    """Tell whether it moves at all, and each way."""
    sizes = [change.size for motion in a.motions for change in motion.changes]
    asked = [step.since_move for step in a.steps if step.at_rest]
    ways = {1: ("open_direction_dead", "open"), -1: ("close_direction_dead", "close")}
    if sizes:
        yield "no_movement", False, counted(len(sizes), "move")
    elif max((abs(size) for size in asked), default=0) >= _ONE_PLACE:
        yield (
            "no_movement",
            True,
            f"no movement on {counted(len(asked), 'step')} of up to {max(map(abs, asked)):.0f} %",
        )
        return
    for way, (name, word) in ways.items():
        moved = sum(size * way > 0 for size in sizes)
        unanswered = [step for step in a.steps if step.moved is False and step.since_move * way >= _ONE_PLACE]
        if moved:
            yield name, False, f"{counted(moved, 'move')} in the {word} direction"
        elif sizes and unanswered:
            yield name, True, f"{counted(len(unanswered), f'{word} command')} without movement"


def _ends(a: Analysis) -> Iterator[Claim]:
    limit = a.limits.limits.get("point_error")
    if limit is None or limit.at_most is None or not any(motion.changes for motion in a.motions):
        return
    yield from _end(a, "open", "travel_open_short", limit.at_most)
    yield from _end(a, "closed", "travel_closed_short", limit.at_most)
    spreads = [a.readings["end_spread_open"], a.readings["end_spread_closed"]]
    seen = [spread for spread in spreads if isinstance(spread, Estimate)]
    if any(spread.low > limit.at_most for spread in seen):
        worst = max(seen, key=lambda spread: spread.low)
        yield "end_point_wanders", True, f"end travels spread by {worst.value:.2f} % over {worst.where}"
    elif len(seen) == 2 and all(spread.high <= limit.at_most / 2 for spread in seen):
        yield "end_point_wanders", False, f"end travels agree within {max(s.high for s in seen):.2f} %"


def _end(a: Analysis, end: End, figure: FigureId, limit: float) -> Iterator[Claim]:
    short = a.readings[figure]
    if not isinstance(short, Estimate):
        return
    if short.low > limit:
        yield f"stops_short_of_{end}", True, f"{short.value:.2f} % short ({short.where})"
    elif short.high <= limit:
        yield f"stops_short_of_{end}", False, f"ends within {max(abs(short.low), abs(short.high)):.2f} %"
    if short.high < -limit:
        yield f"passes_{end}", True, f"{-(short.value or 0):.2f} % past the end ({short.where})"


def _contacts(a: Analysis, unit: UnitRecord | None) -> Iterator[Claim]:
    ends: tuple[tuple[End, str], ...] = (("open", "open"), ("closed", "close"))
    for end, side in ends:
        if a.has(f"{side}_limit"):
            yield from _limit(holds_at(a.motions, end), side, 100.0 if end == "open" else 0.0, a.noise)
    columns = [name for name in CONTACTS if name.endswith("torque") and a.has(name)]
    if not columns or not any(motion.changes for motion in a.motions):
        return
    trips = [travel for name in columns for travel in find_makings(a.motions, name)]
    unexplained = [
        f"{travel:.0f} %"
        for name in columns
        for travel in find_makings(a.motions, name)
        if not _is_seated_by_torque(name, travel, unit)
    ]
    if unexplained:
        places = ", ".join(unexplained[:6])
        yield (
            "torque_trip",
            True,
            f"torque contact made {counted(len(unexplained), 'time')}, at {places} travel",
        )
    elif not trips:
        yield "torque_trip", False, "no torque contact made in the whole log"


def _limit(holds: Sequence[Hold], side: str, mark: float, noise: Noise) -> Iterator[Claim]:
    """Hold the limit contact against the travel at rest with the command at its end."""
    way = 1 if mark else -1
    at = [
        (
            (mark - hold.travel) * way,
            hold.travel,
            bool(hold.piece.values[f"{side}_limit"][hold.end - 1] > 0.5),
        )
        for hold in holds
        if hold.travel is not None
    ]
    doubt = noise.doubt_of_level(5)
    made_short = [travel for short, travel, is_made in at if is_made and short - doubt > 2]
    there = [(travel, is_made) for short, travel, is_made in at if short + doubt <= 1]
    short_of_end, unmade = f"{side}_limit_made_short_of_end", f"{side}_limit_unmade_at_end"
    if made_short:
        yield (
            short_of_end,
            True,
            f"{side} limit made at {made_short[0]:z.1f} % travel, {counted(len(made_short), 'time')}",
        )
    elif there and len(there) == len(at):
        yield short_of_end, False, f"ends at {there[0][0]:z.1f} % travel"
    if there and not any(is_made for _, is_made in there):
        yield unmade, True, f"{side} limit not made at {there[0][0]:z.1f} % travel"
    elif there and all(is_made for _, is_made in there):
        yield unmade, False, f"{side} limit made at {there[0][0]:z.1f} % travel"


def _is_seated_by_torque(name: str, travel: float, unit: UnitRecord | None) -> bool:
    """A torque stop at an end is healthy where that end seats by torque, and proves nothing where nobody told."""
    mark, seating = (100.0, "open_seating") if name.startswith("open") else (0.0, "closed_seating")
    return abs(mark - travel) <= 2 and (unit is None or getattr(unit, seating) != "limit")


def _hunting(a: Analysis) -> Iterator[Claim]:
    quiet_seconds = sum(hold.seconds for hold in a.quiet)
    if a.command_cycle is not None:
        cycle = a.command_cycle
        yield "command_cycles", True, f"command swings {cycle.amplitude:.1f} % every {cycle.period:.3g} s"
    if not a.cycles:
        moves = any(motion.changes for motion in a.motions)
        if moves and quiet_seconds >= _QUIET_SECONDS and a.command_cycle is None and _shows_cycles(a):
            yield "hunts_at_steady_command", False, f"rests at steady command for {quiet_seconds:.0f} s"
        return
    worst = max(a.cycles, key=lambda cycle: cycle.amplitude)
    words = f"swings {worst.amplitude:.2f} % every {worst.period:.3g} s at {worst.command:.4g} % command"
    yield "hunts_at_steady_command", True, words
    if a.command_cycle is None:
        yield "command_cycles", False, "the command stands still while the travel swings"
    places = [cycle.travel for cycle in a.cycles]
    apart = [h.travel for h in a.quiet if h.travel is not None and abs(h.travel - worst.travel) > _ONE_PLACE]
    if max(places) - min(places) <= _ONE_PLACE and len(apart) >= 2:
        yield (
            "hunts_only_at_one_place",
            True,
            f"{words}; rests at {', '.join(f'{t:.0f}' for t in apart[:6])} %",
        )
    elif max(places) - min(places) > 2 * _ONE_PLACE:
        yield (
            "hunts_only_at_one_place",
            False,
            f"swings at {min(places):.0f} and at {max(places):.0f} % travel",
        )


def _shows_cycles(a: Analysis) -> bool:
    """Tell whether a cycle that matters would stand out of the noise."""
    limit = a.limits.limits.get("cycle_amplitude")
    return limit is None or limit.at_most is None or a.noise.visible <= limit.at_most


def _direction(a: Analysis) -> Iterator[Claim]:
    """Tell whether the travel goes the way of the command, and whether it mirrors it."""
    answered = [
        step for step in a.steps if step.change is not None and step.moved and abs(step.size) >= _ONE_PLACE
    ]
    wrong = [step for step in answered if step.change is not None and step.change * step.size < 0]
    if len(answered) >= 2 and len(wrong) in {0, len(answered)}:
        yield "runs_wrong_way", bool(wrong), f"{len(wrong)} of {len(answered)} steps answered the wrong way"
    apart = [point for point in a.points if abs(point.command - 50) >= 20]
    if len(apart) < 2:
        return
    mirrored = [abs(point.middle - (100 - point.command)) <= 2 + point.doubt for point in apart]
    if all(mirrored):
        yield (
            "travel_mirrors_command",
            True,
            f"rests at 100 less the command at {counted(len(apart), 'point')}",
        )
    elif not any(mirrored):
        yield "travel_mirrors_command", False, f"travel follows the command at {counted(len(apart), 'point')}"


def _output(a: Analysis) -> Iterator[Claim]:
    if len(a.trace.spikes.places) >= 3:
        middle = float(np.median(a.trace.spikes.places))
        words = f"{len(a.trace.spikes.places)} single samples out of line, about {middle:.0f} % travel"
        yield "position_reading_jumps", True, words
    if not a.has(OUTPUT):
        return
    output, travel = a.trace.joined(OUTPUT), a.trace.joined(POSITION)
    known = np.isfinite(output)
    if known.sum() < 10 or float(np.ptp(travel[known])) < 2 * _ONE_PLACE:
        return
    output, travel = output[known], travel[known]
    moved = float(np.quantile(output, 0.99) - np.quantile(output, 0.01))
    is_frozen = moved < 0.05 * float(np.ptp(travel))
    yield "position_reading_frozen", is_frozen, f"output moves {moved:.1f} %, travel {np.ptp(travel):.0f} %"
    if not is_frozen:
        agreement = float(np.corrcoef(output, travel)[0, 1])
        if abs(agreement) >= _SURE:
            yield (
                "position_reading_backwards",
                agreement < 0,
                f"output against travel: correlation {agreement:+.2f}",
            )
