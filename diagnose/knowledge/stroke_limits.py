"""Model of `stroke_limits.yaml`: what a figure of a stroke log may be, and where each limit comes from.

Takes a file, gives the model; may import the loader's helpers, not the loader.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from diagnose.errors import Fault, FaultsFound, InputFaulty
from diagnose.knowledge.validate import validate
from diagnose.knowledge.words import Model, Text
from diagnose.knowledge.yaml_nodes import read_yaml

# Every figure that a stroke log can give and a limit can be set for.
FigureId = Literal[
    "travel_open_short",
    "travel_closed_short",
    "end_spread_open",
    "end_spread_closed",
    "stroke_time_opening",
    "stroke_time_closing",
    "dead_time",
    "t63",
    "t86",
    "overshoot",
    "dead_band",
    "resolution",
    "point_error",
    "hysteresis",
    "zero_error",
    "span_error",
    "linearity",
    "coast",
    "cycle_amplitude",
    "starts_per_hour",
    "duty",
    "running_current",
    "current_rise",
    "time_rise",
    "lowest_supply",
    "output_error",
]
UnitField = Literal[
    "supply_volts", "stroke_time_s", "running_current_a", "rated_starts_per_hour", "rated_duty_percent"
]
Bound = Annotated[float, Field(gt=0, le=1e6)]


class StrokeLimit(Model):
    """One limit: a number, or a factor on a field of the unit record.

    Attributes:
        of: Field of the unit record that the bound is a factor on; the bound itself when left out.
    """

    at_most: Bound | None = None
    at_least: Bound | None = None
    of: UnitField | None = None
    source: Text

    @model_validator(mode="after")
    def _ensure_one_bound(self) -> Self:
        if (self.at_most is None) == (self.at_least is None):
            raise ValueError("a limit has either at_most or at_least")
        return self


class StrokeLimits(Model):
    """The limits by figure; a figure without one is shown and not judged.

    Attributes:
        exact_within: Per cent of span within which a resting point counts as exact when the shape of
            the errors is read.
    """

    exact_within: Annotated[float, Field(gt=0, le=10)]
    exact_source: Text
    limits: dict[FigureId, StrokeLimit]


def load_stroke_limits(path: Path) -> StrokeLimits:
    """Read a file of limits that somebody names in place of the shipped one.

    Raises:
        InputFaulty: Listing every fault with file, line and column.
    """
    try:
        document = read_yaml(path)
    except FaultsFound as error:
        raise InputFaulty(error.faults) from None
    faults: list[Fault] = []
    limits: StrokeLimits | None = validate(StrokeLimits, document, (), faults)
    if limits is None:
        raise InputFaulty(faults)
    return limits
