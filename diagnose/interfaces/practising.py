"""What a learner practises next among the shipped cases, and a learner's lessons in words.

Takes a tutor and kept lessons, gives lines; may import everything above.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from itertools import islice

import typer

from diagnose.errors import InputFaulty
from diagnose.facts.case_file import Case, load_cases
from diagnose.interfaces.difficulty_cache import find_difficulty
from diagnose.interfaces.lesson_pick import Wanted, load_named_case
from diagnose.interfaces.progress_book import ProgressBook
from diagnose.knowledge.shipped import cases_directory
from diagnose.knowledge.validate import suggest
from diagnose.training.practice import (
    Confusion,
    Playable,
    Review,
    Suggestion,
    is_right,
    suggest_practice,
)
from diagnose.training.progress import Kept
from diagnose.training.scene import Tutor


class Offer(Suggestion):
    """A suggestion as it is shown: the case by its title, for its id names the cause."""

    title: str
    part: str
    difficulty: int


def list_next(tutor: Tutor, kept: Sequence[Kept], wanted: Wanted, most: int) -> tuple[Offer, ...]:
    """List what a learner should practise next.

    Args:
        tutor: The rule base made ready.
        kept: Lessons of the learner.
        wanted: Part and difficulty, where one is asked for.
        most: How many to give at most; difficulties are measured until so many fit.

    Raises:
        typer.BadParameter: There is no such part.
    """
    return tuple(islice(_offer(tutor, kept, wanted), most))


def _offer(tutor: Tutor, kept: Sequence[Kept], wanted: Wanted) -> Iterator[Offer]:
    cases = load_cases(cases_directory(), tutor.knowledge)
    playable = {name: one for name, case in cases.items() if (one := _playable(tutor, name, case))}
    parts = sorted({one.part for one in playable.values()})
    if wanted.part is not None and wanted.part not in parts:
        cure = suggest(wanted.part, parts, f"use one of {', '.join(parts)}")
        raise typer.BadParameter(f"no part '{wanted.part}'; {cure}")
    for said in suggest_practice(kept, tuple(playable.values()), datetime.now(UTC), wanted.part):
        grade = find_difficulty(tutor, cases[said.case]).grade
        if wanted.difficulty in {None, grade}:
            title, part = cases[said.case].title, playable[said.case].part
            yield Offer(**said.model_dump(), title=title, part=part, difficulty=grade)


def _playable(tutor: Tutor, name: str, case: Case) -> Playable | None:
    if case.confirmed is None:
        return None
    record = tutor.knowledge.causes.get(case.confirmed.cause)
    return Playable(name, case.confirmed.cause, record.part if record else name.partition("/")[0])


def render_learner(
    learner: str, kept: Sequence[Kept], reviews: Mapping[str, Review], confusions: Sequence[Confusion]
) -> str:
    """Render a learner's lessons for a terminal.

    Args:
        learner: Name.
        kept: Lessons in the order they were begun.
        reviews: When each cause is due.
        confusions: Causes taken for each other.

    Returns:
        Lines that each end in a newline.
    """
    if not kept:
        return f"{learner} has no lessons yet.\n"
    lines = [f"Lessons of {learner}:", *(f"  {_say_lesson(one)}" for one in kept)]
    if reviews:
        lines += ["", "Due again:"]
    for review in sorted(reviews.values(), key=lambda r: (r.due, r.cause)):
        lines.append(f"  {review.due:%Y-%m-%d}  {review.cause}")
    if confusions:
        lines += ["", "Taken for each other:"]
    for pair in confusions:
        state = "practise both" if pair.open else "settled since"
        lines.append(f"  {pair.times} times {pair.named} named where it was {pair.confirmed}; {state}")
    return "\n".join(lines) + "\n"


def _say_lesson(one: Kept) -> str:
    """Say one lesson; the case of an open one is not named, for its id names the cause."""
    kind = "exam" if one.allowed else "lesson"
    when = f"{one.begun:%Y-%m-%d %H:%M}  {kind:<6}"
    if one.outcome is None:
        return f"{when}  open, {len(one.lesson.moves)} moves, {one.lesson.minutes:.0f} min"
    outcome = one.outcome
    verdict = "passed" if outcome.grade.passed else "not passed"
    named = "cause right" if is_right(outcome) else f"named {outcome.named}"
    stops = f", {one.lesson.unsafe} unsafe" if one.lesson.unsafe else ""
    return f"{when}  {one.lesson.case}: {outcome.grade.total:.0f} of 100, {verdict}, {named}{stops}"


def pick_for_learner(tutor: Tutor, book: ProgressBook, learner: str, wanted: Wanted) -> Case:
    """Pick the case a learner should play next, and say why on the other stream.

    Args:
        tutor: The rule base made ready.
        book: The progress; where it cannot be read the learner is taken as new.
        learner: Name.
        wanted: Part and difficulty, where one is asked for.

    Raises:
        typer.BadParameter: No case is like that.
    """
    try:
        kept = book.list_kept(learner)
    except InputFaulty as error:
        print(f"{error}\nThe lesson goes on as for a new learner.", file=sys.stderr)
        kept = ()
    if any(one.outcome is None and one.allowed is None for one in kept):
        how = f"diagnose progress resume --learner {learner!r}{book.option}"
        print(f"A lesson is open; go on with it by: {how}", file=sys.stderr)
    offers = list_next(tutor, kept, wanted, 1)
    if not offers:
        raise typer.BadParameter("no case is like that; ask for another part or difficulty")
    print(f"Picked for {learner}: {offers[0].reason}.", file=sys.stderr)
    return load_named_case(tutor, offers[0].case)
