"""What a person may type at a prompt: yes, no, don't know, a reading, words, or a word of command.

Takes text, gives an Answer; imports nothing of ours.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Said = Literal["yes", "no", "unknown", "text", "work", "why", "rank", "back", "save", "quit", "help", "skip"]

_WORDS: dict[str, Said] = {
    "yes": "yes",
    "y": "yes",
    "no": "no",
    "n": "no",
    "unknown": "unknown",
    "don't know": "unknown",
    "dont know": "unknown",
    "?": "unknown",
    "u": "unknown",
    "work it out": "work",
    "work out": "work",
    "why": "why",
    "rank": "rank",
    "back": "back",
    "save": "save",
    "quit": "quit",
    "help": "help",
    "": "skip",
}

# Fewer letters than this name no choice.
_SHORTEST = 2


@dataclass(frozen=True)
class Answer:
    """One line typed at a prompt.

    Attributes:
        said: What kind of answer it is.
        text: The line itself, without space around it.
    """

    said: Said
    text: str


def read_answer(line: str) -> Answer:
    """Read one typed line; anything that is no known word is text."""
    text = line.strip()
    return Answer(_WORDS.get(text.lower(), "text"), text)


def read_choices(text: str, choices: int) -> tuple[int, ...] | None:
    """Read "2" or "1, 3" as zero-based choices; None when it is not such a list.

    Args:
        text: What was typed.
        choices: How many choices were shown.
    """
    if not re.fullmatch(r"\s*\d{1,3}([\s,]+\d{1,3})*\s*", text):
        return None
    numbers = [int(number) - 1 for number in re.findall(r"\d+", text)]
    return tuple(numbers) if all(0 <= number < choices for number in numbers) else None


def find_choice(text: str, choices: Sequence[str]) -> tuple[int, ...] | None:
    """Find the one choice that begins with what was typed, whole words first; None where none or several do.

    Args:
        text: What was typed.
        choices: The choices as they were shown.
    """
    typed = text.strip().casefold()
    for beginning in (f"{typed} ", typed):
        found = tuple(n for n, choice in enumerate(choices) if f"{choice} ".casefold().startswith(beginning))
        if len(typed) >= _SHORTEST and len(found) == 1:
            return found
    return None
