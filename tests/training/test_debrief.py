"""The debrief: both paths judged by what was due before the answer, and nothing folded away."""

from math import log10

import pytest
from learners import learn_from_program

from diagnose.training.debrief import Debrief, StepDebrief
from diagnose.training.debrief_text import list_stopped, render_debrief, say_figures
from diagnose.training.debriefing import build_debrief
from diagnose.training.grading import grade_lesson
from diagnose.training.judging import find_likely
from diagnose.training.lesson import run_choice, run_close, run_hint, run_suspicion, start_lesson
from diagnose.training.program import run_program

CASE = "limits/open_cam_early-01"


@pytest.fixture(scope="module")
def scene(make_scene):
    """Set the stage of an early open cam."""
    return make_scene(CASE)


@pytest.fixture(scope="module")
def program(scene):
    """Let the program play it."""
    return run_program(scene, 1)


@pytest.fixture(scope="module")
def document(scene, program):
    """Debrief a learner who tried a shortcut, guessed wrong first and found the cause in the end."""
    lesson = start_lesson(scene, 1)
    for choice in ("duty", "limit_and_stop_at_open_end!isolation", "hand_feel_at_open_end", "motor_listen"):
        lesson = run_choice(scene, lesson, choice)
    lesson = run_hint(scene, run_suspicion(scene, lesson, "open_stop_too_far_in", 0.7), 2)
    lesson = run_choice(scene, lesson, "limit_and_stop_at_open_end")
    lesson = run_close(scene, lesson, "open_cam_early", 0.9)
    return build_debrief(scene, grade_lesson(scene, lesson, program), program)


def make_step(number: int, probability: float) -> StepDebrief:
    """Make a step after which the right cause has a probability."""
    return StepDebrief(
        number=number, kind="inspect", id="x", says="x", answers=(), minutes=1, told=0, expected=0,
        plan=None, best_plan=None, best="", worth="", probability=probability,
    )  # fmt: skip


def test_the_document_reads_back_from_json_and_renders_without_the_rules(document):
    """A debrief saved as JSON gives the same text when read back."""
    again = Debrief.model_validate_json(document.model_dump_json())

    assert render_debrief(document) == render_debrief(again)


def test_what_steps_told_adds_up_to_the_final_odds(document):
    """Decibans of the steps lead from the first odds of the right cause to the last."""
    steps = [step for step in document.learner.steps if step.told is not None]
    first, last = steps[0], document.learner.steps[-1]
    odds = [10 * log10(p / (1 - p)) for p in (first.probability, last.probability)]

    assert pytest.approx(odds[1] - odds[0], abs=1e-6) == sum(step.told or 0 for step in steps[1:])


def test_a_look_is_judged_before_its_answer_is_known(document):
    """Each look carries what it was due to tell, and the plan it is compared with."""
    looks = [step for step in document.learner.steps if step.kind == "inspect"]

    assert 3 == len(looks)
    assert all(step.expected is not None and step.best_plan is not None for step in looks)
    assert abs(looks[1].expected) < 1 < looks[0].expected


def test_the_program_takes_its_own_best_step_each_time(document):
    """Every look of the program's path was the best step at its moment."""
    worths = {step.worth for step in document.program.steps if step.kind == "inspect"}

    assert {"best"} == worths


def test_what_a_look_is_due_to_tell_is_never_against_the_cause_that_is_there(document):
    """On average evidence speaks for what is there (Gibbs' inequality)."""
    for path in (document.learner, document.program):
        assert all(step.expected >= -1e-9 for step in path.steps if step.expected is not None)


def test_the_moment_a_cause_became_likely_is_the_last_rise_above_one_half():
    """A cause that was likely and fell back counts from when it rose for good."""
    steps = tuple(make_step(n, p) for n, p in enumerate((0.1, 0.6, 0.4, 0.7, 0.8), start=1))

    assert 4 == find_likely(steps)
    assert find_likely(steps[:3]) is None


def test_a_confidence_against_the_facts_is_told_as_misread(document):
    """Suspecting a stop although the hand drive went free names that fact, its rule and its source."""
    suspected, closed = document.confidences

    assert (False, True) == (suspected.right, closed.right)
    assert "goes freely on" in suspected.misread
    assert "[open_stop_too_far_in does not show hand_free_beyond_open_point; " in suspected.misread
    assert "" == closed.misread


def test_every_lesson_point_has_its_rule_and_source(document):
    """No point stands without the rule behind it and where the rule comes from."""
    assert document.points
    assert all(point.rule and point.source for point in document.points)


def test_following_the_program_misses_nothing_that_it_saw(scene, program):
    """Whoever had the program's evidence has every point."""
    lesson = learn_from_program(scene, 1)
    document = build_debrief(scene, grade_lesson(scene, lesson, program), program)

    assert [] == [point for point in document.points if not point.seen]
    assert document.learner.minutes == document.program.minutes


def test_each_unsafe_choice_is_named_and_each_caution_stands_once(document):
    """What was chosen stands before why it was stopped; a caution of two stops is not repeated among them."""
    twice = document.model_copy(
        update={
            "stopped": document.stopped * 2,
            "learner": document.learner.model_copy(update={"steps": document.learner.steps * 2}),
        }
    )
    lines = list_stopped(twice)
    chosen = [step.says for step in document.learner.steps if step.kind == "unsafe"]

    assert chosen
    assert [True] * len(chosen) * 2 == [
        f"STOPPED: {line}".startswith(f"{says}: STOPPED, not done. ")
        for line, says in zip(lines, chosen * 2, strict=False)
    ]
    assert len(set(lines)) == len(lines) - len(chosen)


def test_what_told_nothing_bears_no_minus():
    """A step that told nothing, or less than can be shown, is +0.0 dB."""
    step = StepDebrief(
        number=1, kind="repair", id="x", says="x", answers=(), minutes=1, told=-0.04, expected=None,
        plan=None, best_plan=None, best="", worth="", probability=0.5,
    )  # fmt: skip

    assert "told +0.0 dB; right cause 50 %" == say_figures(step)


def test_no_caution_is_folded_away_in_the_text(document):
    """Cautions of stopped choices and of the remedy stand in the text whole, with the deferring sentence."""
    text = " ".join(render_debrief(document).split())
    lines = [*document.cautions, *(line for says in document.stopped for line in says), document.deferral]

    assert lines
    assert [] == [line for line in lines if " ".join(line.split()) not in text]


def test_the_text_says_which_answers_were_drawn(document):
    """Drawn answers are listed with the seed that draws them again."""
    text = " ".join(render_debrief(document).split())

    assert document.drawn
    assert "drawn from the strengths given the cause (seed 1)" in text
    assert all(" ".join(says.split()) in text for says in document.drawn)


def test_the_text_fits_eighty_columns(document):
    """No line is wider than a terminal."""
    assert max(map(len, render_debrief(document).splitlines())) <= 80
