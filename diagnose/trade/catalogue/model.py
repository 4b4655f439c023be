"""What a calculation offered by name is made of: its inputs, function, formula, results, source and standing.

Takes nothing, gives frozen records; imports nothing of ours.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

# A number in the unit of its input or result, or a word.
Value = float | str


class Standing(StrEnum):
    """How far the formula or the value of a calculation may be relied on."""

    TEXT_READ = "published, text read"
    REPRODUCED = "published, independent reproduction read"
    DERIVED = "derived: arithmetic, geometry or a definition"
    PRACTICE = "common practice, no source"
    MEMORY = "from memory, unverified"


@dataclass(frozen=True)
class Input:
    """One input of a calculation.

    Attributes:
        name: Name of the function's argument; the option is the same with dashes.
        says: What it is, in plain words.
        unit: Unit in which the function takes it; empty for a plain number or a word.
        lowest: Lowest value allowed, itself allowed.
        highest: Highest value allowed, itself allowed.
        example: As one would type it, for example "120 m".
        default: Value taken when nothing is given; None where it must be given.
        choices: The words allowed; empty for a number.
    """

    name: str
    says: str
    unit: str = ""
    lowest: float = 0.0
    highest: float = 0.0
    example: str = ""
    default: Value | None = None
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Result:
    """One result of a calculation.

    Attributes:
        name: Name under which formulas and JSON know it.
        says: What it is, in plain words.
        unit: Its unit; empty for a plain number or a word.
        endless: What an infinite value means, in words.
    """

    name: str
    says: str
    unit: str = ""
    endless: str = "never"


@dataclass(frozen=True)
class Calculation:
    """One calculation that can be asked for by name.

    Attributes:
        id: Name on the command line, small letters and dashes.
        title: A few words.
        answers: The question it answers, in one line.
        inputs: In the order they are asked for.
        function: Called with every input by name; gives one value, or a tuple with one value a result.
        formula: Lines. One that reads "result = expression" uses only names of inputs and of
            results, numbers and sqrt, exp, log, atan, tan, degrees, radians, pi, max, min, abs,
            so that a test can work it out; any other line is prose. One that begins with a word
            of a choice and a colon holds where that word is chosen.
        results: In the order the function gives them.
        valid: Where it holds, beyond the ranges of its inputs.
        source: Title and clause, or what stands in for them.
        standing: How far source and formula may be relied on.
    """

    id: str
    title: str
    answers: str
    inputs: tuple[Input, ...]
    function: Callable[..., Value | tuple[Value, ...]]
    formula: tuple[str, ...]
    results: tuple[Result, ...]
    valid: str
    source: str
    standing: Standing

    def run(self, values: dict[str, Value]) -> tuple[Value, ...]:
        """Work it out.

        Args:
            values: One value an input, by name, in the input's unit.

        Returns:
            One value a result, in their order.

        Raises:
            ValueError: The values do not go together, in one clause.
        """
        answer = self.function(**values)
        return answer if isinstance(answer, tuple) else (answer,)
