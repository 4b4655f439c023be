"""A log after a repair beside one before it, or beside an as-commissioned baseline, with the acceptance check.

Takes reports and acceptance points, gives a frozen `Comparison`; may import report, acceptance and knowledge.
"""

from __future__ import annotations

from typing import Literal

from diagnose.facts.stroke.acceptance import AcceptancePoint, count_results
from diagnose.facts.stroke.acceptance_checks import Result
from diagnose.facts.stroke.report import Figure, Report
from diagnose.knowledge.stroke_limits import FigureId
from diagnose.knowledge.words import Model

Change = Literal["better", "worse", "alike", "cannot tell"]
# What depends on the commands of the log and not on the unit is not compared.
_OF_THE_LOG: frozenset[FigureId] = frozenset({"starts_per_hour", "duty"})
# A greater figure is the better one here; everywhere else the smaller.
_MORE_IS_BETTER: frozenset[FigureId] = frozenset({"lowest_supply"})


class Compared(Model):
    """One figure in both logs, and whether it moved by more than the doubt of both."""

    before: Figure
    after: Figure
    change: Change


class Comparison(Model):
    """One log held against its acceptance check, and beside an earlier log where there is one.

    Attributes:
        cause: The cause that was put right; empty where none was named.
        acceptance: The sentence that proves the repair, as the rules have it.
        is_baseline: The earlier log is the as-commissioned one.
        cautions: Safety lines for what is still to be tried; with them goes the deferral.
    """

    format: Literal[1] = 1
    cause: str = ""
    remedy: str = ""
    acceptance: str = ""
    points: tuple[AcceptancePoint, ...] = ()
    before: Report | None = None
    is_baseline: bool = False
    after: Report
    figures: tuple[Compared, ...] = ()
    cautions: tuple[str, ...] = ()
    deferral: str = ""
    rules_version: str

    @property
    def result(self) -> Result:
        """Say what the log makes of the acceptance check as a whole."""
        counts = count_results(self.points)
        if counts["fail"]:
            return "fail"
        return "cannot tell" if counts["cannot tell"] else "pass" if counts["pass"] else "by hand"


def compare_figures(before: Report, after: Report) -> tuple[Compared, ...]:
    """Pair the figures that either log shows."""
    earlier = {figure.id: figure for figure in before.figures}
    return tuple(
        Compared(before=earlier[figure.id], after=figure, change=_change(earlier[figure.id], figure))
        for figure in after.figures
        if (figure.is_shown or earlier[figure.id].is_shown) and figure.id not in _OF_THE_LOG
    )


def _change(before: Figure, after: Figure) -> Change:
    was, now = _sizes(before), _sizes(after)
    if was is None or now is None:
        return "cannot tell"
    if now[1] < was[0]:
        return "worse" if after.id in _MORE_IS_BETTER else "better"
    if now[0] > was[1]:
        return "better" if after.id in _MORE_IS_BETTER else "worse"
    return "alike"


def _sizes(figure: Figure) -> tuple[float, float] | None:
    """Give the least and the greatest size of a figure, its sign dropped."""
    if figure.low is None:
        return None
    high = float("inf") if figure.high is None else figure.high
    least = 0.0 if figure.low <= 0 <= high else min(abs(figure.low), abs(high))
    return least, max(abs(figure.low), abs(high))
