"""Numbers in a sentence become classes by unit and size, so that patterns can speak of them.

Takes a sentence, gives places of number classes; may import tokens and patterns. A number's class says what a
technician would call it: `@ma_full` is about 20 mA, `@deg_part` is neither shut nor open.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.facts.language.patterns import Span
from diagnose.facts.language.tokens import Sentence, Token

# How the trade writes units, after a number; compared in lower case.
UNITS = {
    "ma": "ma", "milliamp": "ma", "milliamps": "ma", "a": "a", "amp": "a", "amps": "a",
    "v": "v", "volt": "v", "volts": "v", "vac": "v", "vdc": "v",
    "%": "pct", "percent": "pct", "pct": "pct",
    "deg": "deg", "degs": "deg", "degree": "deg", "degrees": "deg", "°": "deg",
    "ohm": "ohm", "ohms": "ohm", "ω": "ohm", "r": "ohm", "k": "kohm", "kohm": "kohm", "kohms": "kohm",
    "mohm": "megohm", "megohm": "megohm", "meg": "megohm", "megs": "megohm", "megohms": "megohm",
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "min": "min", "mins": "min", "minute": "min", "minutes": "min",
    "nm": "nm", "lbf": "lbf", "lb": "lbf", "ft": "lbf", "uf": "uf", "µf": "uf",
    "bar": "bar", "psi": "psi", "c": "temp", "hz": "hz", "mm": "mm",
}  # fmt: skip
# (class, lowest, highest): every class whose range holds the value.
_SIZES: dict[str, tuple[tuple[str, float, float], ...]] = {
    "ma": (
        ("ma_negative", -100, -0.3), ("ma_dead", -0.3, 3.6), ("ma_zero", 3.8, 4.25), ("ma_half", 11.5, 12.5),
        ("ma_part", 4.3, 19.6), ("ma_full", 19.65, 20.5), ("ma_over", 20.6, 100),
    ),
    "pct": (("pct_under", -100, -5.01), ("pct_zero", -5, 2), ("pct_half", 48, 52), ("pct_part", 2.5, 97.4), ("pct_full", 97.5, 101), ("pct_near_open", 60, 97.4), ("pct_near_closed", 2.5, 35), ("pct_over", 102, 200)),
    "deg": (("deg_under", -90, -2.5), ("deg_zero", -2.4, 2), ("deg_half", 43, 47), ("deg_part", 2.5, 87.4), ("deg_full", 87.5, 91.5), ("deg_near_open", 55, 87.4), ("deg_near_closed", 2.5, 30), ("deg_over", 92, 130)),
    "v": (("volts_none", -5, 6), ("volts_some", 6.1, 19), ("volts_extra_low", 19.1, 60), ("volts_mains", 60.1, 750)),
    "ohm": (("ohm_low", 0, 2), ("ohm_some", 2.1, 900), ("ohm_high", 901, 1e9)),
    "kohm": (("ohm_high", 0, 1e6),),
    "megohm": (("megohm_low", 0, 0.99), ("megohm_good", 1, 1e6)),
    "bare": (("num_zero", 0, 2), ("num_half", 48, 52), ("num_part", 2.5, 97.4), ("num_near_open", 60, 86), ("num_near_closed", 3, 15), ("num_full", 97.5, 100)),
}  # fmt: skip
# Every class that a number, or two of one unit compared, can have.
NUMBER_CLASSES = frozenset(
    {name for sizes in _SIZES.values() for name, _, _ in sizes}
    | {form.format(unit) for unit in {*UNITS.values(), "bare"} for form in ("{}", "more_{}", "less_{}")}
)
# Words that say which of two numbers is how it should be.
_NORMAL = frozenset(
    [
        "normal",
        "usual",
        "was",
        "used",
        "instead",
        "plate",
        "marked",
        "nameplate",
        "should",
        "against",
        "vs",
        "rather",
        "of",
        "than",
    ]
)
_RATIO = 1.15


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit; `bare` where none was typed."""

    value: float
    unit: str
    span: Span


def find_quantities(sentence: Sentence) -> Iterator[Quantity]:
    """Find the numbers of a sentence with the unit typed behind them."""
    for place, token in enumerate(sentence):
        if token.kind != "number":
            continue
        after = sentence[place + 1] if place + 1 < len(sentence) else None
        unit = UNITS.get(after.text.lower()) if after is not None else None
        value = float(token.text.replace(",", "."))
        if unit is None:
            yield Quantity(value, "bare", (place, place + 1))
        else:
            yield Quantity(value, unit, (place, place + 2))


def find_number_places(sentence: Sentence) -> dict[str, list[Span]]:
    """Find where each number class stands in a sentence."""
    found = list(find_quantities(sentence))
    places: dict[str, list[Span]] = {}
    for quantity in found:
        places.setdefault(f"@{quantity.unit}", []).append(quantity.span)
        for name, lowest, highest in _SIZES.get(quantity.unit, ()):
            if lowest <= quantity.value <= highest:
                places.setdefault(f"@{name}", []).append(quantity.span)
    for name, span in _compare(sentence, found):
        places.setdefault(f"@{name}", []).append(span)
    return places


def _compare(sentence: Sentence, found: list[Quantity]) -> Iterator[tuple[str, Span]]:
    """Compare two numbers of one unit where words between or behind say which one is normal."""
    for one, other in itertools.pairwise(found):
        if (
            one.unit != other.unit
            or one.unit in {"bare", "pct", "deg"}
            or not min(one.value, other.value) > 0
        ):
            continue
        between = _words(sentence[one.span[1] : other.span[0]])
        behind = _words(sentence[other.span[1] : other.span[1] + 3])
        if not (between | behind) & _NORMAL:
            continue
        span = (one.span[0], other.span[1])
        if one.value > other.value * _RATIO:
            yield f"more_{one.unit}", span
        elif other.value > one.value * _RATIO:
            yield f"less_{one.unit}", span


def _words(tokens: tuple[Token, ...]) -> set[str]:
    return {token.text.lower() for token in tokens}
