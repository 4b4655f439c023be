"""Entries of the catalogue: coast, dead band, hunting, steps and the static test.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.five_point import COMMANDS, static_figures
from diagnose.trade.positioning import (
    DEAD_BAND_RESERVE,
    StopOrder,
    coast_travel,
    converter_step,
    dead_band_needed,
    has_limit_cycle,
    hunting_amplitude,
    hunting_starts,
    is_nudged_by_noise,
    position_tolerance,
    rest_error,
    smallest_steps,
    travel_speed,
)
from diagnose.trade.response import dead_time_share, lag_of_times, lag_times, ramp_times

_STROKE = Input("stroke_time", "time for the full travel", "s", 1, 600, "15 s")
_DELAY = Input("delay", "from the stop point to the start of braking", "s", 0, 2, "60 ms")
_BRAKING = Input("braking", "from there to standstill, slowing evenly", "s", 0, 5, "0 s", 0.0)
_BAND = Input(
    "band", "total dead band: the motor runs when the error exceeds half of it", "%", 0.05, 20, "1 %"
)
_ORDER = Input(
    "order",
    "at band where the stop is ordered on entering the band, at zero where at zero error",
    example="at_band",
    default="at_band",
    choices=("at_band", "at_zero"),
)
_NOISE = Input("noise", "peak-to-peak noise with one converter step", "%", 0, 20, "0.1 %")
_DEAD_TIME = Input("dead_time", "from the command to the first movement", "s", 0, 60, "0.2 s")
_COAST_FORM = "coast = 100 / stroke_time * (delay + braking / 2)"
_REST_FORMS = ("at_band: rest = band / 2 - coast", "at_zero: rest = -coast")
_COAST = Result("coast", "run after the stop point", "%")
_REST = Result("rest", "error left after a move, below 0 past the target", "%")
_TIMES = (Result("t63", "T63", "s"), Result("t86", "T86", "s"))
_AHEAD = (
    "a card that stops ahead of zero counts as at zero, with what the coast departs from the expected one"
)
_HYSTERESIS = "hysteresis = max({})".format(
    ", ".join(f"abs(down_{command:g} - up_{command:g})" for command in COMMANDS)
)
_TERMS = "terms as in ISA-75.25.01, from memory, unverified"


def _coast(stroke_time: float, delay: float, braking: float) -> tuple[float, float]:
    return travel_speed(stroke_time), coast_travel(stroke_time, delay, braking)


def _dead_band(
    stroke_time: float, delay: float, braking: float, backlash: float, noise: float
) -> tuple[float, float, float]:
    coast = coast_travel(stroke_time, delay, braking)
    needed = dead_band_needed(coast, backlash, noise)
    return coast, needed, DEAD_BAND_RESERVE * needed


def _hunting(
    *, band: float, stroke_time: float, delay: float, braking: float, pause: float, order: StopOrder
) -> tuple[float | str, ...]:
    coast = coast_travel(stroke_time, delay, braking)
    amplitude = hunting_amplitude(band, coast, order)
    verdict = "hunts" if has_limit_cycle(band, coast, order) else "one move, then rest"
    starts = hunting_starts(amplitude, stroke_time, pause) if amplitude else 0.0
    return coast, rest_error(band, coast, order), verdict, amplitude, starts


def _steps(
    band: float, stroke_time: float, delay: float, braking: float, order: StopOrder
) -> tuple[float, float, float]:
    coast = coast_travel(stroke_time, delay, braking)
    return coast, *smallest_steps(band, coast, order)


def _nudge(rest: float, noise: float, band: float) -> str:
    if noise > band:
        return "noise alone keeps starting the motor"
    return "noise starts it once more" if is_nudged_by_noise(rest, noise, band) else "noise leaves it at rest"


def _lag(time_constant: float, dead_time: float) -> tuple[float, float, float]:
    t63, t86 = lag_times(time_constant, dead_time)
    return t63, t86, dead_time_share(dead_time, t63)


def _drive(step: float, stroke_time: float, dead_time: float) -> tuple[float, float, float]:
    t63, t86 = ramp_times(step, stroke_time, dead_time)
    return t63, t86, dead_time_share(dead_time, t63)


def _static(**travels: float) -> tuple[float, ...]:
    up = tuple(travels[f"up_{command:g}"] for command in COMMANDS)
    down = tuple(travels[f"down_{command:g}"] for command in COMMANDS)
    return tuple(static_figures(up, down))


def _travels(way: str, *examples: str) -> tuple[Input, ...]:
    said = "from below" if way == "up" else "from above"
    return tuple(
        Input(f"{way}_{command:g}", f"travel at {command:g} % command, {said}", "%", -100, 200, example)
        for command, example in zip(COMMANDS, examples, strict=True)
    )


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "coast",
        "Coast of the travel",
        "How far does the travel run on after the stop point?",
        (_STROKE, _DELAY, _BRAKING),
        _coast,
        ("speed = 100 / stroke_time", "coast = speed * (delay + braking / 2)"),
        (Result("speed", "speed", "%/s"), _COAST),
        "full speed through the delay, then even braking",
        "kinematics",
        Standing.DERIVED,
    ),
    Calculation(
        "dead-band",
        "Dead band that a unit needs",
        "How wide must the dead band be, so that the unit does not hunt?",
        (
            _STROKE,
            _DELAY,
            _BRAKING,
            Input("backlash", "play that the feedback sees and the flow can take up", "%", 0, 20, "0.3 %"),
            _NOISE,
        ),
        _dead_band,
        (_COAST_FORM, "needed = coast + backlash + noise", "set = 1.25 * needed"),
        (
            _COAST,
            Result("needed", "smallest total dead band", "%"),
            Result("set", "total dead band to set", "%"),
        ),
        "cards that order the stop on entering the band; widen it only after coast and play are found sound",
        "derived; the factor 1.25 common practice, no source",
        Standing.DERIVED,
    ),
    Calculation(
        "hunting",
        "Does it hunt, and how far",
        "Does this dead band make the unit hunt, and by how much?",
        (
            _BAND,
            _STROKE,
            _DELAY,
            _BRAKING,
            Input("pause", "at rest before the motor reverses", "s", 0, 60, "0.2 s", 0.0),
            _ORDER,
        ),
        _hunting,
        (
            _COAST_FORM,
            *_REST_FORMS,
            "hunts where the rest error lies beyond half the band on the other side",
            "where it hunts the amplitude is twice the rest error: 2 coast less band, or 2 coast when stopped at zero",
            "its starts an hour are 3600 over the time for one amplitude at full speed and the pause",
        ),
        (
            _COAST,
            _REST,
            Result("verdict", "verdict"),
            Result("amplitude", "peak to peak while hunting", "%"),
            Result("starts", "starts an hour while hunting", "1/h"),
        ),
        f"constant command, no noise or play; {_AHEAD}",
        "derived",
        Standing.DERIVED,
    ),
    Calculation(
        "smallest-steps",
        "Smallest command steps that move the unit",
        "Which steps of the command does the unit follow, onward and back?",
        (_BAND, _STROKE, _DELAY, _BRAKING, _ORDER),
        _steps,
        (
            _COAST_FORM,
            "at_band: onward = coast",
            "at_zero: onward = band / 2 + coast",
            "back = band - onward",
        ),
        (
            _COAST,
            Result("onward", "step in the direction of the last move (resolution)", "%"),
            Result("back", "step against it", "%"),
        ),
        f"a unit at rest that does not hunt, no noise or play; {_AHEAD}",
        f"derived; {_TERMS}",
        Standing.DERIVED,
    ),
    Calculation(
        "position-tolerance",
        "How far the valve may stand from its command",
        "How exact can this unit position its valve?",
        (_BAND, Input("play", "backlash between position feedback and valve", "%", 0, 20, "0.3 %")),
        position_tolerance,
        ("tolerance = band / 2 + play",),
        (Result("tolerance", "either way", "%"),),
        "a unit that does not hunt; the feedback taken as exact",
        "derived",
        Standing.DERIVED,
    ),
    Calculation(
        "noise-nudge",
        "Does noise start the motor",
        "Does the noise of command or feedback start the motor at constant command?",
        (Input("rest", "error left after the last move", "%", -20, 20, "0.1 %"), _NOISE, _BAND),
        _nudge,
        ("starts once more where abs(rest) + noise / 2 > band / 2, again and again where noise > band",),
        (Result("verdict", "verdict"),),
        "noise evenly about the true value",
        "derived",
        Standing.DERIVED,
    ),
    Calculation(
        "converter-step",
        "One step of a converter",
        "How much travel is one step of the card's converter?",
        (Input("bits", "bits of the converter over the full travel", "", 1, 32, "10"),),
        converter_step,
        ("step = 100 / (2 ** bits - 1)",),
        (Result("step", "one step", "%"),),
        "the converter's whole range used for the travel",
        "definition",
        Standing.DERIVED,
    ),
    Calculation(
        "lag-times",
        "Step times of a first-order lag",
        "When is 63.2 and 86.5 per cent of a step reached, and how much of that is dead time?",
        (Input("time_constant", "time constant", "s", 0.001, 3600, "2 s"), _DEAD_TIME),
        _lag,
        (
            "t63 = dead_time + time_constant",
            "t86 = dead_time + 2 * time_constant",
            "share = dead_time / t63 * 100",
        ),
        (*_TIMES, Result("share", "dead time in T63", "%")),
        "one time constant; a motor-driven valve moves at constant speed instead, see drive-times",
        f"solution of the first-order equation; {_TERMS}",
        Standing.DERIVED,
    ),
    Calculation(
        "lag-of-times",
        "Time constant and dead time of measured step times",
        "What time constant and dead time lie behind these step times?",
        (
            Input("t63", "time to 63.2 % of the final change", "s", 0.001, 3600, "2.5 s"),
            Input("t86", "time to 86.5 % of the final change", "s", 0.001, 7200, "4.5 s"),
        ),
        lag_of_times,
        ("time_constant = t86 - t63", "dead_time = max(0, 2 * t63 - t86)"),
        (Result("time_constant", "time constant", "s"), Result("dead_time", "dead time", "s")),
        "a first-order lag",
        f"solution of the first-order equation; {_TERMS}",
        Standing.DERIVED,
    ),
    Calculation(
        "drive-times",
        "Step times of a motor-driven valve",
        "When is 63.2 and 86.5 per cent of a step reached at constant speed?",
        (Input("step", "final change of the travel", "%", 0.1, 100, "10 %"), _STROKE, _DEAD_TIME),
        _drive,
        (
            "t63 = dead_time + (1 - exp(-1)) * step * stroke_time / 100",
            "t86 = dead_time + (1 - exp(-2)) * step * stroke_time / 100",
            "share = dead_time / t63 * 100",
        ),
        (*_TIMES, Result("share", "dead time in T63", "%")),
        "constant speed, starting and stopping taken as instant",
        f"kinematics; {_TERMS}",
        Standing.DERIVED,
    ),
    Calculation(
        "five-point",
        "Figures of a five-point test",
        "What errors, hysteresis and non-linearity do these ten travels show?",
        (
            *_travels("up", "0 %", "24.6 %", "49.5 %", "74.7 %", "100 %"),
            *_travels("down", "0.2 %", "25.4 %", "50.5 %", "75.5 %", "100 %"),
        ),
        _static,
        (
            "highest and lowest error are the largest and least travel less command",
            _HYSTERESIS,
            "the non-linearity is the greatest distance of the mean travels from the line through their ends",
            "zero = (up_0 + down_0) / 2",
            "span = (up_100 + down_100) / 2 - zero - 100",
        ),
        (
            Result("highest", "highest error", "%"),
            Result("lowest", "lowest error", "%"),
            Result("hysteresis", "hysteresis", "%"),
            Result("non_linearity", "non-linearity between the ends", "%"),
            Result("zero", "error at zero", "%"),
            Result("span", "error of the span", "%"),
        ),
        "each point approached from one side only; a clipped end looks like a wrong span, look at the middle",
        "definitions; errors and hysteresis as in IEC 61298-2",
        Standing.REPRODUCED,
    ),
)
