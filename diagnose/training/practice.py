"""What a learner should practise next: causes that were confused, causes that are due, causes not met yet.

Takes kept lessons and the cases there are, gives suggestions with their reasons; imports progress and records.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from statistics import mean
from typing import Literal

from diagnose.training.progress import Kept
from diagnose.training.records import Outcome, Record

Ground = Literal["confused", "due", "new", "later"]
# Wozniak, Optimization of learning (1990), the algorithm of 1987 (SM-2): first easiness, its floor,
# the first two intervals in days, and the quality below which a cause starts anew.
_EASINESS, _HARDEST, _FIRST, _SECOND, _FORGOTTEN = 2.5, 1.3, 1, 6, 3
# Totals from which a passed lesson counts as quality 4 and 5; 3 below: our choice, no source.
_GOOD, _PERFECT = 80.0, 90.0
_WEAK = 70.0
_GROUNDS: tuple[Ground, ...] = ("confused", "due", "new", "later")


class Review(Record):
    """How well one cause sits, and when it is due.

    Attributes:
        repetitions: Times in a row that it was named well when it was due.
        easiness: Factor by which the interval grows.
        days: Interval.
    """

    cause: str
    repetitions: int
    easiness: float
    days: int
    due: datetime


class Confusion(Record):
    """One cause named where another was there.

    Attributes:
        open: Those of the two that were not named rightly since.
    """

    named: str
    confirmed: str
    times: int
    last: datetime
    open: tuple[str, ...]


class Suggestion(Record):
    """One case to practise and why; the cause itself is for the instructor, not for the learner."""

    case: str
    cause: str
    ground: Ground
    reason: str


@dataclass(frozen=True)
class Playable:
    """A case that can be played."""

    case: str
    cause: str
    part: str


def rate_outcome(outcome: Outcome) -> int:
    """Rate a lesson from 0 to 5, as the schedule wants it.

    Args:
        outcome: A graded lesson.

    Returns:
        0 after an unsafe choice, 1 for a wrong cause, 2 for the right one without a pass, 3 to 5 for a pass.
    """
    if outcome.lesson.unsafe:
        return 0
    if not is_right(outcome):
        return 1
    if not outcome.grade.passed:
        return 2
    return 3 + (outcome.grade.total >= _GOOD) + (outcome.grade.total >= _PERFECT)


def schedule_causes(lessons: Iterable[Kept]) -> dict[str, Review]:
    """Schedule every cause that was met by the algorithm of Wozniak (1990).

    A cause named well before it was due keeps its interval; a failure counts whenever it comes.

    Args:
        lessons: Lessons of one learner.

    Returns:
        Reviews by cause.
    """
    reviews: dict[str, Review] = {}
    for when, outcome in _list_closed(lessons):
        cause = outcome.confirmed
        reviews[cause] = _review(reviews.get(cause), cause, rate_outcome(outcome), when)
    return reviews


def _review(before: Review | None, cause: str, quality: int, when: datetime) -> Review:
    """Take one lesson into the schedule of its cause."""
    easiness = before.easiness if before else _EASINESS
    if quality < _FORGOTTEN:
        due = when + timedelta(days=_FIRST)
        return Review(cause=cause, repetitions=0, easiness=easiness, days=_FIRST, due=due)
    if before and before.repetitions and when < before.due:
        return before
    repetitions = before.repetitions + 1 if before else 1
    days = {1: _FIRST, 2: _SECOND}.get(repetitions) or ceil((before.days if before else 0) * easiness)
    missed = 5 - quality
    easiness = max(_HARDEST, easiness + 0.1 - missed * (0.08 + missed * 0.02))
    due = when + timedelta(days=days)
    return Review(cause=cause, repetitions=repetitions, easiness=easiness, days=days, due=due)


def list_confusions(lessons: Iterable[Kept]) -> tuple[Confusion, ...]:
    """List which cause was named where which one was there.

    Args:
        lessons: Lessons of one learner, or of a class.

    Returns:
        Pairs, most frequent first, then the latest.
    """
    times: Counter[tuple[str, str]] = Counter()
    last: dict[tuple[str, str], datetime] = {}
    righted: dict[str, datetime] = {}
    for when, outcome in _list_closed(lessons):
        pair = (outcome.named.partition(".")[0], outcome.confirmed)
        if is_right(outcome):
            righted[outcome.confirmed] = when
        else:
            times[pair] += 1
            last[pair] = when
    found = (
        Confusion(named=named, confirmed=confirmed, times=count, last=last[named, confirmed],
                  open=_still_open((confirmed, named), last[named, confirmed], righted))
        for (named, confirmed), count in times.items()
    )  # fmt: skip
    return tuple(sorted(found, key=lambda c: (-c.times, -c.last.timestamp(), c.named, c.confirmed)))


def _still_open(causes: tuple[str, ...], since: datetime, righted: dict[str, datetime]) -> tuple[str, ...]:
    return tuple(cause for cause in causes if cause not in righted or righted[cause] <= since)


def suggest_practice(
    lessons: Sequence[Kept], playable: Sequence[Playable], now: datetime, part: str | None = None
) -> tuple[Suggestion, ...]:
    """Put every case in the order in which a learner should play it.

    First both causes of every confusion that is not settled, then causes that are due, the most overdue first,
    then causes not met yet, those of the weakest part first, then the rest as it comes due.

    Args:
        lessons: Lessons of the learner.
        playable: The cases there are.
        now: The moment to suggest for.
        part: Only cases of this part of the unit.

    Returns:
        Suggestions; of one cause the case played least first.
    """
    plan = _Plan(lessons, playable, now)
    wanted = [p for p in playable if part is None or p.part == part]
    return tuple(plan.suggest(p) for p in sorted(wanted, key=plan.place))


class _Plan:
    """What the order of cases rests on, gathered once."""

    def __init__(self, lessons: Sequence[Kept], playable: Sequence[Playable], now: datetime) -> None:
        self.now = now
        self.reviews = schedule_causes(lessons)
        self.confused = list(self._list_confused(lessons))
        self.played = Counter(kept.lesson.case for kept in lessons)
        parts = {p.case: p.part for p in playable}
        totals = defaultdict(list)
        for _, outcome in _list_closed(lessons):
            totals[parts.get(outcome.lesson.case, "")].append(outcome.grade.total)
        # the first case of each part before the second of any, so that a learner sees all of the unit
        self.within: dict[str, int] = {}
        counts: Counter[str] = Counter()
        for one in sorted(playable, key=lambda p: p.case):
            self.within[one.case] = counts[one.part]
            counts[one.part] += 1
        self.of_part = {name: (mean(values), len(values)) for name, values in totals.items()}

    def _list_confused(self, lessons: Sequence[Kept]) -> Iterator[tuple[str, Confusion]]:
        for confusion in list_confusions(lessons):
            yield from ((cause, confusion) for cause in confusion.open)

    def ground(self, cause: str) -> Ground:
        """Say why a cause is to be practised."""
        if any(cause == name for name, _ in self.confused):
            return "confused"
        review = self.reviews.get(cause)
        if review is None:
            return "new"
        return "due" if review.due <= self.now else "later"

    def place(self, case: Playable) -> tuple[int, float, int, int, int, str]:
        """Give the sort key of a case: ground, urgency within it, lessons of its part, times played, id."""
        ground = self.ground(case.cause)
        review = self.reviews.get(case.cause)
        total, lessons = self.of_part.get(case.part, (100.0, 0))
        urgency = (
            float([name for name, _ in self.confused].index(case.cause)) if ground == "confused"
            else review.due.timestamp() if review
            else total if total < _WEAK else 100.0
        )  # fmt: skip
        return (
            _GROUNDS.index(ground),
            urgency,
            lessons,
            self.played[case.case],
            self.within[case.case],
            case.case,
        )

    def suggest(self, case: Playable) -> Suggestion:
        """Give a case with the reason that a learner may read without learning its cause."""
        ground = self.ground(case.cause)
        reasons = {
            "confused": "one of two causes that were taken for each other",
            "due": "a cause met before is due again",
            "new": f"a cause of the {case.part} not met yet",
            "later": "met before and not due yet",
        }
        return Suggestion(case=case.case, cause=case.cause, ground=ground, reason=reasons[ground])


def _list_closed(lessons: Iterable[Kept]) -> list[tuple[datetime, Outcome]]:
    """List graded lessons in the order they were closed."""
    closed = [(kept.changed, kept.outcome) for kept in lessons if kept.outcome]
    return sorted(closed, key=lambda pair: pair[0])


def is_right(outcome: Outcome) -> bool:
    """Tell whether the right cause was named, whatever its mode."""
    return outcome.named.partition(".")[0] == outcome.confirmed
