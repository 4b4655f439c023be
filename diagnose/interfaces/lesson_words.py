"""What a learner may type in a lesson: a number, a word of command, or words that find choices.

Takes a line, gives a Typed or a fault that says what to type; imports nothing of ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

Verb = Literal[
    "choose", "words", "hint", "suspect", "close", "causes", "list", "call", "notes", "help", "quit", ""
]

HELP = (
    "3: take choice 3; or type words of what you want to ask or look at",
    "suspect CAUSE 60: write a suspicion down with your confidence in per cent, as often as you like",
    "causes WORDS: find the name of a cause by words; causes alone lists the parts of the unit",
    "hint 1, hint 2, hint 3: where to look, which family, the step (2, 4 and 8 minutes)",
    "close CAUSE 80: name the cause with your confidence and end the lesson; close unlisted 80 hands over",
    "close CAUSE 80 REMEDY REMEDY: the same with the remedies in your order, each named by what it puts right",
    "list: show the choices again; call: the call; notes: what you know so far",
    "quit: stop, the lesson is kept; Ctrl-C and the end of the input do the same",
)
_BARE = frozenset(["list", "call", "notes", "help", "quit"])


@dataclass(frozen=True)
class Typed:
    """One line as understood.

    Attributes:
        number: Choice, counted from 1, or grade of a hint.
        confidence: Probability, 0 to 1.
    """

    verb: Verb
    words: str = ""
    number: int = 0
    confidence: float = 0.0
    remedies: tuple[str, ...] = ()


def read_typed(line: str) -> Typed:
    """Understand one line.

    Args:
        line: As typed.

    Returns:
        What it asks for; anything that is no command is words.

    Raises:
        ValueError: A command whose parts are missing, with how to type it.
    """
    words = line.strip().split()
    if not words:
        return Typed("")
    verb, rest = words[0].lower(), words[1:]
    if not rest and verb in _BARE:
        return Typed(verb)  # type: ignore[arg-type]  # a member of _BARE is a verb
    if not rest and re.fullmatch(r"[0-9]{1,3}", verb):
        return Typed("choose", number=int(verb))
    if verb == "hint":
        return _read_hint(rest)
    if verb == "causes":
        return Typed("causes", " ".join(rest))
    if verb in {"suspect", "close"}:
        return _read_cause("suspect" if verb == "suspect" else "close", rest)
    return Typed("words", " ".join(words))


def _read_hint(rest: list[str]) -> Typed:
    if len(rest) != 1 or not re.fullmatch(r"[0-9]{1,2}", rest[0]):
        raise ValueError(
            "which hint? Type hint 1 (where to look), hint 2 (which family) or hint 3 (the step)"
        )
    return Typed("hint", number=int(rest[0]))


def _read_cause(verb: Literal["suspect", "close"], rest: list[str]) -> Typed:
    """Read `CAUSE 60` or `CAUSE 60 %`, with remedies after it when closing."""
    example = f"{verb} open_cam_early 60"
    place = next(
        (n for n, word in enumerate(rest) if n and re.fullmatch(r"[0-9]{1,3}([.,][0-9]+)?%?", word)), 0
    )
    if not place:
        raise ValueError(f"the cause and your confidence in per cent are wanted; type for example {example}")
    after = [word.strip(",") for word in rest[place + 1 :] if word.strip(",%")]
    if verb == "suspect" and after:
        raise ValueError(f"nothing comes after the confidence; type for example {example}")
    confidence = float(rest[place].rstrip("%").replace(",", ".")) / 100
    return Typed(verb, " ".join(rest[:place]), confidence=confidence, remedies=tuple(after))
