"""How good the ranking was, from scored tickets whose cause was confirmed.

Takes scored tickets, gives figures and their text; may import errors and the ticket files.

The probabilities of causes need not add up to one, for several may be there at once. Scores that
are defined for one true class use shares: the probabilities of all causes and of "something not
listed", scaled to add up to one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import log
from sys import float_info
from typing import Any

PLACES = (1, 3, 5)
BINS = 10
_MIXED_UP = 12


@dataclass
class Bin:
    """Tickets whose first cause had a share within one tenth."""

    count: int = 0
    right: int = 0
    shares: float = 0.0


@dataclass
class Measures:
    """Figures gathered ticket by ticket.

    Attributes:
        within: Tickets whose confirmed cause came first, within three, within five.
        squared: Sum of squared errors over all causes (Brier 1950, in its form for several classes).
        logs: Sum of -ln of the share of the confirmed cause.
        confused: How often one cause came first where another was confirmed.
        spent: Minutes that were spent on the tickets that say so and have a plan.
        planned: Minutes expected by the plan on the same tickets.
    """

    count: int = 0
    unknown: int = 0
    not_ranked: int = 0
    within: dict[int, int] = field(default_factory=lambda: dict.fromkeys(PLACES, 0))
    squared: float = 0.0
    logs: float = 0.0
    bins: tuple[Bin, ...] = field(default_factory=lambda: tuple(Bin() for _ in range(BINS)))
    confused: Counter[tuple[str, str]] = field(default_factory=Counter)
    timed: int = 0
    spent: float = 0.0
    planned: float = 0.0

    def add(self, scored: Mapping[str, Any]) -> None:
        """Add one scored ticket; one without a confirmed cause adds nothing."""
        confirmed = scored.get("confirmed")
        if confirmed is None:
            return
        if confirmed["place"] is None:
            self.not_ranked += scored["reason"] == "other_equipment"
            self.unknown += scored["reason"] != "other_equipment"
            return
        self.count += 1
        for place in PLACES:
            self.within[place] += confirmed["place"] <= place
        self.squared += confirmed["squared_error"]
        # as elsewhere, a share of 0 counts as the smallest step of a number
        self.logs -= log(max(confirmed["share"], float_info.epsilon))
        self._add_first(confirmed)
        self._add_minutes(scored)

    def _add_first(self, confirmed: Mapping[str, Any]) -> None:
        is_right = confirmed["first"] == confirmed["cause"]
        share = confirmed["first_share"]
        tenth = self.bins[min(BINS - 1, int(share * BINS))]
        tenth.count, tenth.right, tenth.shares = tenth.count + 1, tenth.right + is_right, tenth.shares + share
        if not is_right:
            self.confused[confirmed["cause"], confirmed["first"]] += 1

    def _add_minutes(self, scored: Mapping[str, Any]) -> None:
        spent = _read_minutes(scored["given"].get("minutes_spent", ""))
        if spent is not None and scored["next"] is not None:
            self.timed += 1
            self.spent += spent
            self.planned += scored["next"]["plan_minutes"]

    @property
    def brier(self) -> float:
        """Give the mean squared error over all causes, 0 best and 2 worst."""
        return self.squared / self.count

    @property
    def log_score(self) -> float:
        """Give the mean of -ln of the confirmed cause's share, 0 best."""
        return self.logs / self.count


def measure(scored: Iterable[Mapping[str, Any]]) -> Measures:
    """Gather the figures of scored tickets."""
    measures = Measures()
    for one in scored:
        measures.add(one)
    return measures


def _read_minutes(text: str) -> float | None:
    try:
        minutes = float(text)
    except ValueError:
        return None
    return minutes if 0 <= minutes < 1e6 else None


def as_dict(measures: Measures) -> dict[str, object]:
    """Give the figures as plain data."""
    if not measures.count:
        return {"confirmed": 0, "not_in_rules": measures.unknown, "turned_away": measures.not_ranked}
    return {
        "confirmed": measures.count,
        "not_in_rules": measures.unknown,
        "turned_away": measures.not_ranked,
        **{f"within_{place}": n / measures.count for place, n in measures.within.items()},
        "brier": measures.brier,
        "log_score": measures.log_score,
        "reliability": [
            {"count": b.count, "share": b.shares / b.count, "right": b.right / b.count} if b.count else None
            for b in measures.bins
        ],
        "confused": [
            {"confirmed": cause, "first": first, "count": n}
            for (cause, first), n in measures.confused.most_common()
        ],
        "timed": measures.timed,
        "minutes_spent": measures.spent,
        "minutes_planned": measures.planned,
    }


def render_measures(measures: Measures) -> str:
    """Say the figures in lines."""
    head = (
        f"{measures.count} tickets with a confirmed cause; {measures.unknown} more name a cause that is "
        f"not in the rules, {measures.not_ranked} more were taken for another device"
    )
    if not measures.count:
        return f"{head}.\n"
    hits = ", ".join(f"within {place} {n / measures.count:.1%}" for place, n in measures.within.items())
    lines = [
        f"{head}.",
        f"Confirmed cause {hits}.",
        f"Brier score {measures.brier:.4f} (0 best, 2 worst), log score {measures.log_score:.4f} (0 best).",
        "",
        "Share of the first cause, and how often it was right:",
        "  share       tickets  mean share  right",
        *(_render_bin(number, tenth) for number, tenth in enumerate(measures.bins) if tenth.count),
    ]
    if measures.confused:
        lines += ["", "Most often taken for another cause:", *_render_confused(measures.confused)]
    if measures.timed:
        lines += ["", _render_minutes(measures)]
    return "\n".join(lines) + "\n"


def _render_bin(number: int, tenth: Bin) -> str:
    span = f"{number / BINS:.1f} to {(number + 1) / BINS:.1f}"
    return f"  {span}  {tenth.count:7d}  {tenth.shares / tenth.count:10.3f}  {tenth.right / tenth.count:5.3f}"


def _render_confused(confused: Counter[tuple[str, str]]) -> list[str]:
    ordered = sorted(confused.items(), key=lambda pair: (-pair[1], pair[0]))[:_MIXED_UP]
    return [f"  {count:5d}  {cause} taken for {first}" for (cause, first), count in ordered]


def _render_minutes(measures: Measures) -> str:
    saved = measures.spent - measures.planned
    return (
        f"Minutes: {measures.spent:.0f} spent on {measures.timed} tickets, {measures.planned:.0f} expected by "
        f"the plan for the same ones: {saved:.0f} saved, {saved / measures.timed:.1f} a ticket."
    )
