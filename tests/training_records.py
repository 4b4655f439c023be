"""Lessons as they are kept, made by hand for the tests of progress, practice and class."""

from datetime import UTC, datetime, timedelta

from diagnose.training.progress import Kept
from diagnose.training.records import Grade, GradePart, Lesson, Move, Number, Outcome

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def make_part(score: float, weight: float, **numbers: float) -> GradePart:
    """Make one part of a grade."""
    listed = tuple(Number(name=name.replace("_", " "), value=value) for name, value in numbers.items())
    return GradePart(score=score, weight=weight, formula="as given", numbers=listed)


def make_kept(
    number: int,
    confirmed: str,
    named: str | None,
    *,
    learner: str = "ada",
    days: float = 0,
    total: float = 80.0,
    unsafe: int = 0,
    confidence: float = 0.8,
    minutes: tuple[float, float] = (60.0, 30.0),
) -> Kept:
    """Make a lesson on the first case of a cause, days after the first noon; open where no cause is named.

    The minutes are the learner's and the program's.
    """
    when = NOON + timedelta(days=days)
    close = Move(kind="close", id=named or "", confidence=confidence, minutes=minutes[0])
    stops = (Move(kind="unsafe", id="look!isolation"),) * unsafe
    first = Move(kind="ask_circumstance", id="duty", minutes=1)
    lesson = Lesson(
        case=f"part/{confirmed}-01",
        seed=number,
        rules_version="v",
        moves=(first, *stops, *((close,) if named else ())),
    )
    brier = (confidence - (named == confirmed)) ** 2
    grade = Grade(
        safety=make_part(1 - min(1, unsafe / 2), 0.3, unsafe_choices=unsafe),
        cause=make_part(float(named == confirmed), 0.35),
        minutes=make_part(0.5, 0.2, own_minutes=minutes[0]).model_copy(
            update={
                "numbers": (
                    Number(name="own minutes", value=minutes[0]),
                    Number(name="program's minutes", value=minutes[1]),
                )
            }
        ),
        calibration=make_part(1 - brier, 0.15, confidences_given=1, mean_squared_error=brier),
        total=total,
        formula="as given",
        passed=total >= 70 and not unsafe and named == confirmed,
    )
    outcome = Outcome(lesson=lesson, grade=grade, named=named, confirmed=confirmed) if named else None
    return Kept(
        id=f"{number:032x}", learner=learner, begun=when, changed=when, lesson=lesson, outcome=outcome
    )
