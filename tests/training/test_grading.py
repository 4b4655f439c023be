"""Grades: their formulas by hand, who comes out on top, and that nothing unsafe passes."""

import pytest
from learners import learn_at_random, learn_from_program, learn_in_a_hurry

from diagnose.facts.case_file import Case, Confirmed
from diagnose.training.debriefing import build_debrief
from diagnose.training.grading import grade_lesson, list_lacking
from diagnose.training.lesson import run_choice, run_close, run_suspicion, start_lesson
from diagnose.training.program import run_program
from diagnose.training.scene import build_scene, evidence_of

CASE = "limits/open_cam_early-01"


@pytest.fixture(scope="module")
def scene(make_scene):
    """Set the stage of an early open cam."""
    return make_scene(CASE)


@pytest.fixture(scope="module")
def program(scene):
    """Let the program play it."""
    return run_program(scene, 1)


def test_the_program_finds_the_cause_and_repairs_it_last(program, scene):
    """The program's run closes with the cause, repairs it, and ends with the unit closed up."""
    kinds = [move.kind for move in program.moves]

    assert scene.confirmed.cause == program.closing.id
    assert ["close", "repair", "leave"] == kinds[-3:]


def test_the_formula_gives_the_total(scene, program):
    """Parts and total follow from the numbers that are shown, reckoned here by hand."""
    lesson = run_suspicion(scene, start_lesson(scene, 1), "open_stop_too_far_in", 0.3)
    lesson = run_choice(scene, lesson, "limit_and_stop_at_open_end!isolation")
    lesson = run_choice(scene, lesson, "hand_feel_at_open_end")
    known = scene.tutor.reasoner.rank(evidence_of(scene, lesson)).posterior.causes["open_cam_early"]
    lesson = run_close(scene, lesson, "open_cam_early", 0.8, ("open_stop_too_far_in", "open_cam_early"))
    grade = grade_lesson(scene, lesson, program).grade
    brier, shown = (0.3**2 + 0.2**2) / 2, known / 0.5
    minutes = min(1.0, program.minutes / lesson.minutes) * shown
    # the findings that both remedies wait for were never looked for
    cause = 0.4 + 0.3 * shown + 0.3 / 2 / 2

    assert 0 < shown < 1
    assert pytest.approx((0.5, cause, minutes, 1 - brier)) == (
        grade.safety.score,
        grade.cause.score,
        grade.minutes.score,
        grade.calibration.score,
    )
    assert pytest.approx(100 * (0.3 * 0.5 + 0.35 * cause + 0.2 * minutes + 0.15 * (1 - brier))) == grade.total
    assert not grade.passed


def test_a_lucky_guess_does_not_pass(scene, program):
    """Naming the right cause at once, with nothing that shows it, earns little and does not pass."""
    grade = grade_lesson(
        scene, run_close(scene, start_lesson(scene, 1), "open_cam_early", 1.0), program
    ).grade

    assert grade.minutes.score < 0.1
    assert not grade.passed


def test_the_same_choices_get_the_same_grade(scene, program):
    """Grading twice gives equal outcomes, and a learner who plays twice plays the same."""
    first, second = (grade_lesson(scene, learn_in_a_hurry(scene, 4), program) for _ in range(2))

    assert first == second


def test_following_the_program_passes_and_beats_chance(scene, program):
    """Whoever does what the program does passes with full minutes; chance does not come near."""
    good = grade_lesson(scene, learn_from_program(scene, 1), program).grade
    chance = grade_lesson(scene, learn_at_random(scene, 1), program).grade

    assert (True, 1.0, 1.0) == (good.passed, good.minutes.score, good.safety.score)
    assert chance.total < good.total - 30


@pytest.mark.parametrize(
    "case", ["limits/open_cam_early-01", "drive/lubricant_stiff_or_lost-01", "stops/close_stop_too_far_in-01"]
)
def test_the_shortest_unsafe_step_every_time_fails(make_scene, case):
    """A learner who always takes the shortest unsafe step shown fails, even with the cause named."""
    scene = make_scene(case)
    outcome = grade_lesson(scene, learn_in_a_hurry(scene, 1), run_program(scene, 1))

    assert outcome.lesson.unsafe > 0
    assert not outcome.grade.passed


def test_one_unsafe_choice_fails_the_best_lesson(scene, program):
    """A lesson that is right in everything else fails by a single unsafe choice."""
    lesson = run_choice(scene, start_lesson(scene, 1), "limit_and_stop_at_open_end!isolation")
    for move in program.moves:
        if move.kind in {"ask_circumstance", "inspect"}:
            lesson = run_choice(scene, lesson, move.id)
    grade = grade_lesson(scene, run_close(scene, lesson, "open_cam_early", 1.0), program).grade

    assert grade.total > 80
    assert not grade.passed


def test_a_wrong_cause_saves_no_minutes(scene, program):
    """Naming a wrong cause at once earns nothing for its speed and does not pass."""
    grade = grade_lesson(scene, run_close(scene, start_lesson(scene, 1), "card_failed", 0.9), program).grade

    assert (0.0, 0.0, False) == (grade.minutes.score, grade.cause.score, grade.passed)


def test_an_open_lesson_has_no_grade(scene, program):
    """A lesson that was never closed is refused."""
    with pytest.raises(ValueError, match="close it first"):
        grade_lesson(scene, start_lesson(scene, 1), program)


def test_a_remedy_named_before_its_findings_is_told(scene, program):
    """A cam moved without having seen it trip early lacks its findings; after the look it does not."""
    blind = run_close(scene, start_lesson(scene, 1), "open_cam_early", 0.9)
    seen = run_choice(scene, start_lesson(scene, 1), "limit_and_stop_at_open_end")

    assert ("open_cam_early",) == list_lacking(scene, blind)
    assert () == list_lacking(scene, run_close(scene, seen, "open_cam_early", 0.9))


def test_no_lesson_is_quicker_than_its_repair_alone(scene, program):
    """The minutes that no plan escapes are shown, and the program's run is not below them."""
    outcome = grade_lesson(scene, learn_from_program(scene, 1), program)
    numbers = {number.name: number.value for number in outcome.grade.minutes.numbers}

    # 24 to isolate, 20 of work, 6 until it shows, 12 to close up
    assert pytest.approx(62.0) == numbers["minutes of the repair alone"]
    assert numbers["minutes of the repair alone"] <= program.minutes


def test_handing_over_is_the_remedy_of_what_is_not_listed(tutor):
    """A case that no listed cause covers can be played, debriefed, and closed rightly by handing it over."""
    found = Confirmed(cause="unlisted", found="A wiring error inside the building's own cabinet.")
    case = Case(case="odd", title="Odd", call="It does odd things.", confirmed=found)
    scene = build_scene(tutor, case, 1)
    program = run_program(scene, 1)
    outcome = grade_lesson(scene, run_close(scene, start_lesson(scene, 1), "unlisted", 0.9), program)
    numbers = {number.name: number.value for number in outcome.grade.cause.numbers}

    assert (1.0, 1.0) == (numbers["cause named"], numbers["place of its remedy"])
    assert "no listed cause covers" in build_debrief(scene, outcome, program).confirmed_says
