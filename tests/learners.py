"""Scripted learners that play whole lessons: at random, cheapest first, as the program would, in a hurry.

Takes a scene and a seed, gives a closed lesson; each sees only what a learner sees, but for the one that
follows the program.
"""

import random as random_numbers
from collections.abc import Callable

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.network import UNLISTED
from diagnose.training.choices import Choice, list_choices
from diagnose.training.lesson import run_choice, run_close, start_lesson
from diagnose.training.program import run_program
from diagnose.training.records import Lesson
from diagnose.training.scene import Scene, Tutor, evidence_of

Learner = Callable[[Scene, int], Lesson]
# a scripted learner names the cause after so many choices
CHOICES = 12


def make_tutor(reasoner: Reasoner) -> Tutor:
    """Make the shipped rule base ready to teach."""
    language = load_language(rules_directory(), reasoner.knowledge)
    return Tutor(reasoner, TicketReader(reasoner.knowledge, language))


def learn_at_random(scene: Scene, seed: int) -> Lesson:
    """Choose anything shown, then name any cause with any confidence."""
    random = random_numbers.Random(seed)
    lesson = start_lesson(scene, seed)
    for _ in range(CHOICES):
        lesson = run_choice(scene, lesson, random.choice(list_choices(scene, lesson)).id)
    cause = random.choice(sorted(scene.tutor.knowledge.causes))
    return run_close(scene, lesson, cause, random.random())


def learn_cheapest_first(scene: Scene, seed: int) -> Lesson:
    """Choose what costs least and is not done yet, shortcuts passed over; name what then ranks first."""
    lesson = start_lesson(scene, seed)
    for _ in range(CHOICES):
        done = {move.id for move in lesson.moves}
        shown = [c for c in list_choices(scene, lesson) if c.kind != "shortcut" and c.id not in done]
        lesson = run_choice(scene, lesson, min(shown, key=cost).id)
    return close_with_first(scene, lesson)


def learn_from_program(scene: Scene, seed: int) -> Lesson:
    """Do what the program does and close as it closes, repairs tried in vain put first in the order."""
    run = run_program(scene, seed)
    close = run.closing
    assert close is not None
    lesson = start_lesson(scene, seed)
    for move in run.moves:
        if move.kind in {"ask_circumstance", "inspect"}:
            lesson = run_choice(scene, lesson, move.id)
    tried = tuple(move.id for move in run.moves[: run.moves.index(close)] if move.kind == "repair")
    order = (*tried, *close.remedies)
    return run_close(scene, lesson, close.id, close.confidence or 0.0, order)


def learn_in_a_hurry(scene: Scene, seed: int) -> Lesson:
    """Take the shortest unsafe step that is shown, else the cheapest one."""
    lesson = start_lesson(scene, seed)
    for _ in range(CHOICES):
        shown = list_choices(scene, lesson)
        cuts = [choice for choice in shown if choice.kind == "shortcut"]
        lesson = run_choice(scene, lesson, min(cuts or shown, key=cost).id)
    return close_with_first(scene, lesson)


def close_with_first(scene: Scene, lesson: Lesson) -> Lesson:
    """Name the cause that ranks first on what was told, as confident as the ranking is."""
    ranking = scene.tutor.reasoner.rank(evidence_of(scene, lesson))
    first = ranking.causes[0]
    if ranking.posterior.unlisted > first.probability:
        return run_close(scene, lesson, UNLISTED, min(1.0, ranking.posterior.unlisted))
    return run_close(scene, lesson, first.cause, min(1.0, first.probability))


def cost(choice: Choice) -> tuple[float, str]:
    """Give what a choice costs; equal ones by id."""
    return (choice.minutes + choice.access_minutes, choice.id)


LEARNERS: dict[str, Learner] = {
    "random": learn_at_random,
    "cheapest": learn_cheapest_first,
    "program": learn_from_program,
    "in_a_hurry": learn_in_a_hurry,
}
