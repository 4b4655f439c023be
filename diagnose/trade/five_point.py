"""The static test: travels read at commands going up and down become errors, hysteresis and non-linearity.

Takes numbers, gives numbers; imports the guards. Everything in per cent of the full travel.
"""

from __future__ import annotations

from typing import NamedTuple

from diagnose.trade.guards import ensure_within

COMMANDS = (0.0, 25.0, 50.0, 75.0, 100.0)


class StaticFigures(NamedTuple):
    """What a static test shows, in per cent: an error is travel less command."""

    highest_error: float
    lowest_error: float
    hysteresis: float
    non_linearity: float
    zero_error: float
    span_error: float


def static_figures(up: tuple[float, ...], down: tuple[float, ...]) -> StaticFigures:
    """Give errors, hysteresis and terminal-based non-linearity of a five-point test.

    Args:
        up: Travel at 0, 25, 50, 75 and 100 % command, approached from below.
        down: Travel at the same commands, approached from above.

    Returns:
        Errors: the highest and the lowest of travel - command. Hysteresis: max |down - up|. With
        m = (up + down) / 2: non-linearity max |m - line through the ends of m|, zero error m(0), span
        error m(100) - m(0) - 100.

    Raises:
        ValueError: Not five travels each way, or one out of -100 to 200 %.

    References:
        Definitions; errors and hysteresis as in IEC 61298-2 (seen in a reproduction).

    >>> [round(value, 3) for value in static_figures(
    ...     (0.0, 24.6, 49.5, 74.7, 100.0), (0.2, 25.4, 50.5, 75.5, 100.0)
    ... )]
    [0.5, -0.5, 1.0, 0.075, 0.1, -0.1]
    """
    for travels in (up, down):
        if len(travels) != len(COMMANDS):
            raise ValueError(f"{len(COMMANDS)} travels are wanted each way, not {len(travels)}")
        for travel in travels:
            ensure_within("travel", travel, "%", -100, 200)
    errors = [t - c for travels in (up, down) for t, c in zip(travels, COMMANDS, strict=True)]
    middle = tuple((one + other) / 2 for one, other in zip(up, down, strict=True))
    span = middle[-1] - middle[0]
    return StaticFigures(
        max(errors),
        min(errors),
        max(abs(other - one) for one, other in zip(up, down, strict=True)),
        max(abs(m - middle[0] - span * c / 100) for m, c in zip(middle, COMMANDS, strict=True)),
        middle[0],
        span - 100,
    )
