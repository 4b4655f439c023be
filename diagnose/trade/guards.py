"""Guards at the door of a formula: a number it cannot take is named with what is wanted.

Takes numbers, gives nothing or raises ValueError; imports nothing of ours.
"""

from __future__ import annotations

import math


def ensure_positive(name: str, value: float, unit: str) -> None:
    """Refuse what is not a finite number above zero.

    Args:
        name: What the number is, in plain words.
        value: The number.
        unit: Its unit; empty for a plain number.

    Raises:
        ValueError: Zero, negative, infinite or no number.

    >>> ensure_positive("stroke time", 0, "s")
    Traceback (most recent call last):
        ...
    ValueError: stroke time must be above 0 s, not 0 s
    """
    if not 0 < value < math.inf:
        raise ValueError(f"{name} must be above {_say(0, unit)}, not {_say(value, unit)}")


def ensure_within(name: str, value: float, unit: str, low: float, high: float = math.inf) -> None:
    """Refuse what is not a finite number from low to high, both allowed.

    Args:
        name: What the number is, in plain words.
        value: The number.
        unit: Its unit; empty for a plain number.
        low: Lowest number allowed; minus infinity for any.
        high: Highest number allowed; infinity for any.

    Raises:
        ValueError: Outside the range, infinite or no number.

    >>> ensure_within("travel", 120, "%", 0, 100)
    Traceback (most recent call last):
        ...
    ValueError: travel must be 0 to 100 %, not 120 %
    """
    if math.isfinite(value) and low <= value <= high:
        return
    if high < math.inf:
        wanted = f"{low:g} to {_say(high, unit)}"
    elif low > -math.inf:
        wanted = f"{_say(low, unit)} or more"
    else:
        wanted = "a finite number"
    raise ValueError(f"{name} must be {wanted}, not {_say(value, unit)}")


def _say(value: float, unit: str) -> str:
    return f"{value:g} {unit}".rstrip()
