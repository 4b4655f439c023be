"""Motor heating as one time constant: rise, time to the cut-out and back, periodic duty, strokes allowed.

Takes numbers, gives numbers; may import guards. Rises are K above ambient. A real motor has at
least two time constants: for plausibility only (common practice, no source).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from diagnose.trade.guards import ensure_positive, ensure_within


class Allowance(NamedTuple):
    """Strokes before the cut-out opens (infinite: it never does) and the highest rise of that duty in K."""

    strokes: float
    highest_rise: float


def heated_rise(steady: float, heating: float, minutes: float, start: float = 0.0) -> float:
    """Give the rise after running: steady * (1 - exp(-t / tau)) + start * exp(-t / tau).

    Args:
        steady: Rise the motor would end at if it ran for ever, K.
        heating: Time constant of heating, minutes.
        minutes: Run time.
        start: Rise at the start, K.

    Returns:
        K above ambient.

    Raises:
        ValueError: A number is not above 0, or start or run time is below 0.

    References:
        First-order heating, textbook.

    >>> round(heated_rise(160, 20, 13.863), 2)
    80.0
    """
    ensure_positive("steady rise", steady, "K")
    ensure_positive("time constant", heating, "min")
    ensure_within("run time", minutes, "min", 0)
    ensure_within("rise at the start", start, "K", 0)
    left = math.exp(-minutes / heating)
    return steady * (1 - left) + start * left


def steady_rise(rise: float, minutes: float, heating: float) -> float:
    """Give the steady rise behind a short-time rating: rise / (1 - exp(-t / tau)).

    Args:
        rise: Rise reached after the rated time, K.
        minutes: Rated run time, as in "S2 15 min".
        heating: Time constant of heating, minutes.

    Returns:
        K above ambient.

    Raises:
        ValueError: A number is not above 0.

    References:
        First-order heating turned round; S2 is a duty type of IEC 60034-1 (seen in a reproduction).

    >>> round(steady_rise(80, 13.863, 20), 1)
    160.0
    """
    ensure_positive("rise", rise, "K")
    ensure_positive("run time", minutes, "min")
    ensure_positive("time constant", heating, "min")
    return rise / (1 - math.exp(-minutes / heating))


def time_to_trip(steady: float, constant: float, trip: float, start: float = 0.0) -> float:
    """Give the run time to the cut-out: tau * ln((steady - start) / (steady - trip)).

    Args:
        steady: Rise the motor would end at, K.
        constant: Time constant of heating, minutes.
        trip: Rise at which the cut-out opens: its temperature less the ambient, K.
        start: Rise at the start, K.

    Returns:
        Minutes; 0 where it is that hot already, infinite where it never gets there.

    Raises:
        ValueError: A number is not above 0, or the start is below 0.

    References:
        First-order heating turned round.

    >>> round(time_to_trip(160, 20, 80), 3), time_to_trip(70, 20, 80)
    (13.863, inf)
    """
    ensure_positive("steady rise", steady, "K")
    ensure_positive("time constant", constant, "min")
    ensure_positive("rise at which the cut-out opens", trip, "K")
    ensure_within("rise at the start", start, "K", 0)
    if start >= trip:
        return 0.0
    return math.inf if steady <= trip else constant * math.log((steady - start) / (steady - trip))


def time_to_reset(trip: float, reset: float, constant: float) -> float:
    """Give the rest until the cut-out closes again: tau * ln(trip / reset).

    Args:
        trip: Rise at which it opened, K.
        reset: Rise at which it closes, K, below the first.
        constant: Time constant of cooling at rest, minutes.

    Returns:
        Minutes.

    Raises:
        ValueError: A number is not above 0, or the reset lies above the trip.

    References:
        First-order cooling, textbook; a cut-out closes some 15 to 35 K below its trip (common practice, no source).

    >>> round(time_to_reset(80, 45, 20), 3)
    11.507
    """
    ensure_positive("rise at which the cut-out opens", trip, "K")
    ensure_positive("rise at which the cut-out closes", reset, "K")
    ensure_positive("time constant", constant, "min")
    if reset > trip:
        raise ValueError(f"the cut-out closes below its trip: at most {trip:g} K, not {reset:g} K")
    return constant * math.log(trip / reset)


def periodic_rise(steady: float, run: float, rest: float, heating: float, cooling: float) -> float:
    """Give the highest rise of an endless duty: steady * (1 - a) / (1 - a * b), a = exp(-run / tau), b = exp(-rest / tau_c).

    Args:
        steady: Rise the motor would end at if it ran for ever, K.
        run: Minutes of each run.
        rest: Minutes of each rest.
        heating: Time constant of heating, minutes.
        cooling: Time constant of cooling at rest, minutes; not below that of heating.

    Returns:
        K above ambient, at the end of each run.

    Raises:
        ValueError: A number is not above 0, or the rest is below 0.

    References:
        First-order heating and cooling in turn, the sum of a geometric series.

    >>> round(periodic_rise(160, 1, 3, 20, 20), 2), round(periodic_rise(160, 2, 2, 20, 30), 2)
    (43.05, 99.18)
    """
    ensure_positive("steady rise", steady, "K")
    ensure_positive("run", run, "min")
    ensure_within("rest", rest, "min", 0)
    ensure_positive("time constant of heating", heating, "min")
    ensure_positive("time constant of cooling", cooling, "min")
    kept, cooled = math.exp(-run / heating), math.exp(-rest / cooling)
    return steady * (1 - kept) / (1 - kept * cooled)


def allowed_strokes(
    *,
    steady: float,
    cut_out: float,
    ambient: float,
    stroke: float,
    pause: float,
    heating: float = 20.0,
    cooling: float = 30.0,
) -> Allowance:
    """Give the strokes one after the other from cold before the cut-out opens.

    The rise after stroke k is highest * (1 - (a * b)^k), with a = exp(-stroke / heating) and
    b = exp(-pause / cooling), so that k = ln(1 - trip / highest) / ln(a * b).

    Args:
        steady: Rise the motor would end at if it ran for ever, K.
        cut_out: Temperature at which the cut-out opens, degC.
        ambient: Temperature of the air around, degC, below that of the cut-out.
        stroke: Minutes of each stroke.
        pause: Minutes between two strokes.
        heating: Time constant of heating, minutes; 20 is a guess.
        cooling: Time constant of cooling at rest, minutes; 30 is a guess.

    Returns:
        Whole strokes, infinite where it never opens; and the highest rise of that duty if it went on for ever.

    Raises:
        ValueError: A number is not above 0, or ambient is not below the cut-out.

    References:
        First-order heating and cooling in turn (textbook).

    >>> allowed_strokes(steady=160, cut_out=120, ambient=40, stroke=0.25, pause=0).strokes
    55.0
    """
    trip = cut_out - ambient
    if not trip > 0:
        raise ValueError(f"ambient must be below the cut-out's {cut_out:g} degC, not {ambient:g} degC")
    highest = periodic_rise(steady, stroke, pause, heating, cooling)
    if highest <= trip:
        return Allowance(math.inf, highest)
    shrink = -stroke / heating - pause / cooling
    return Allowance(float(math.floor(math.log(1 - trip / highest) / shrink)), highest)
