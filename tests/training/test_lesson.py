"""The lesson: what a choice costs and gives, what is stopped, and how it is closed."""

import pytest

from diagnose.facts.case_file import load_cases
from diagnose.knowledge.shipped import cases_directory
from diagnose.next_step.options import is_live
from diagnose.training.choices import find_by_words, find_choice, is_needlessly_live, list_choices
from diagnose.training.lesson import run_choice, run_close, run_hint, run_suspicion, start_lesson
from diagnose.training.records import Lesson
from diagnose.training.scene import build_scene

CASE = "limits/open_cam_early-01"


@pytest.fixture
def scene(make_scene):
    """Set the stage of an early open cam."""
    return make_scene(CASE)


@pytest.fixture
def lesson(scene):
    """Begin a lesson on it."""
    return start_lesson(scene, 1)


def test_a_circumstance_costs_a_minute_and_says_what_the_case_tells(scene, lesson):
    """What the case tells beforehand is answered for a minute."""
    move = run_choice(scene, lesson, "duty").moves[-1]

    assert (1.0, ("modulating",)) == (move.spent, move.values)


def test_what_nobody_told_is_not_invented(scene, lesson):
    """A circumstance that the case leaves out is known to nobody."""
    move = run_choice(scene, lesson, "open_seating").moves[-1]

    assert () == move.values
    assert "Nobody on the site can tell" in move.says[0]


def test_a_look_pays_the_way_there_once(scene, lesson):
    """Beside the unit already, the next look there costs its own minutes only."""
    first = run_choice(scene, lesson, "hand_feel_at_open_end")
    second = run_choice(scene, first, "stroke_ends_watched")

    assert [10.0, 0.0] == [move.access_minutes for move in second.moves]


def test_a_look_inside_shows_its_cautions_and_the_deferring_sentence(scene, lesson):
    """Work behind the cover never comes without its safety lines."""
    says = run_choice(scene, lesson, "limit_and_stop_at_open_end").moves[-1].says

    assert any(line.startswith("CAUTION") for line in says)
    assert scene.tutor.knowledge.cautions.deferral in says


def test_leaving_the_supply_on_is_stopped_and_counted(scene, lesson):
    """A shortcut is not performed: nothing is shown, nothing paid, one unsafe choice counted."""
    after = run_choice(scene, lesson, "limit_and_stop_at_open_end!isolation")
    move = after.moves[-1]

    assert ("unsafe", (), 0.0, 1) == (move.kind, move.shown, move.spent, after.unsafe)
    assert any(line.startswith("CAUTION") for line in move.says)


def test_taking_the_actuator_off_under_pressure_is_stopped(scene, lesson):
    """Work on the line without relieving it is stopped with the caution on pressure."""
    move = run_choice(scene, lesson, "valve_uncouple!pressure_relief").moves[-1]

    assert "unsafe" == move.kind
    assert any("pressure" in line for line in move.says)


def test_live_work_waits_for_the_question_about_the_area(scene, lesson):
    """Energised work with the cover off is unsafe until the area is known to be safe, then it is done."""
    look = "drive_voltage_watched_to_stop"
    asked = run_choice(scene, lesson, "hazardous_area")

    assert "unsafe" == run_choice(scene, lesson, look).moves[-1].kind
    assert "inspect" == run_choice(scene, asked, look).moves[-1].kind


def test_live_work_is_needless_where_a_dead_look_tells_all_that_is_new(tutor, scene):
    """A live look is needless once all it would newly tell can be seen dead, and not while it tells more."""
    looks = tutor.knowledge.looks
    dead = {o for i in looks.values() if not is_live(tutor.knowledge, i) for o in i.reveals}
    live = {n: i.reveals for n, i in looks.items() if is_live(tutor.knowledge, i)}
    partly = {n: told for n, told in live.items() if set(told) & dead and set(told) - dead}

    assert partly
    for name, told in partly.items():
        seen_dead = tuple(o for o in told if o in dead)[:1]

        assert is_needlessly_live(scene, name, seen_dead)
        assert not is_needlessly_live(scene, name, told)


def test_what_cannot_be_reached_today_costs_a_question(make_scene):
    """Where the cover stays on today, a look inside is refused for a minute."""
    scene = make_scene("motor/motor_capacitor_failed-02")
    move = run_choice(scene, start_lesson(scene, 1), "valve_uncouple").moves[-1]

    assert ("out_of_reach", 1.0) == (move.kind, move.spent)


def test_what_the_learner_knows_to_be_out_of_reach_is_not_offered(make_scene):
    """Before the question what can be reached today everything is offered, after it only that."""
    scene = make_scene("motor/motor_thermal_cutout-02")
    looks = scene.tutor.knowledge.looks
    before = start_lesson(scene, 1)
    after = run_choice(scene, before, "reach")
    inside = {"cover_off", "isolated", "line_depressurised", "actuator_off_valve"}
    at = [
        {looks[choice.id.partition("!")[0]].access for choice in list_choices(scene, lesson)
         if choice.kind != "ask_circumstance"}
        for lesson in (before, after)
    ]  # fmt: skip

    assert ("at_unit",) == after.moves[-1].values
    assert at[0] & inside
    assert not at[1] & inside


def test_hints_cost_more_by_grade_and_an_exam_gives_none(scene, lesson):
    """Three grades of hints cost 2, 4 and 8 minutes; an exam refuses them."""
    costs = [run_hint(scene, lesson, grade).minutes for grade in (1, 2, 3)]

    assert [2.0, 4.0, 8.0] == costs
    with pytest.raises(ValueError, match="exam"):
        run_hint(scene, start_lesson(scene, 1, exam=True), 1)


def test_the_third_hint_names_the_step_that_the_program_takes(scene, lesson):
    """The last hint is the program's own next step with its id."""
    step = scene.tutor.choose(scene.call, "as_found")

    assert f"[{step.id}]" in run_hint(scene, lesson, 3).moves[-1].says[0]


def test_closing_carries_remedies_out_until_one_works_and_closes_up(scene, lesson):
    """A wrong remedy before the right one is paid too, and the unit is closed up at the end."""
    order = ("open_stop_too_far_in", "open_cam_early", "close_cam_early")
    closed = run_close(scene, lesson, "open_cam_early", 0.8, order)

    assert ["close", "repair", "repair", "leave"] == [move.kind for move in closed.moves]
    assert closed.closing is not None


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda s, x: run_choice(s, x, "dutty"), "did you mean 'duty'"),
        (lambda s, x: run_suspicion(s, x, "open_cam_erly", 0.5), "did you mean 'open_cam_early'"),
        (lambda s, x: run_suspicion(s, x, "open_cam_early", 60), "0 to 100 per cent"),
        (lambda s, x: run_suspicion(s, x, "motor_capacitor_failed.none", 0.5), "has no mode"),
        (lambda s, x: run_close(s, x, "open_cam_early", 0.5, ("nothing",)), "no remedy"),
        (lambda s, x: run_hint(s, x, 4), "hint 1, 2 or 3"),
    ],
)
def test_what_is_not_understood_says_what_to_do(scene, lesson, act, message):
    """A wrong name, confidence or grade is refused with the nearest choice or what to type."""
    with pytest.raises(ValueError, match=message):
        act(scene, lesson)


def test_a_closed_lesson_takes_no_more_moves(scene, lesson):
    """After closing nothing can be chosen any more."""
    closed = run_close(scene, lesson, "open_cam_early", 0.8)

    with pytest.raises(ValueError, match="closed"):
        run_choice(scene, closed, "duty")


def test_a_lesson_read_back_goes_on_as_if_never_stopped(scene, lesson):
    """A lesson saved as JSON in the middle gives the same answers and choices afterwards."""
    half = run_choice(scene, run_choice(scene, lesson, "duty"), "hand_feel_at_open_end")
    again = Lesson.model_validate_json(half.model_dump_json())

    assert list_choices(scene, half) == list_choices(scene, again)
    assert run_choice(scene, half, "stroke_ends_watched") == run_choice(scene, again, "stroke_ends_watched")


def test_unsafe_choices_stand_among_the_plausible_ones_in_a_third_of_the_cases(tutor):
    """At the start of at least a third of every sixth shipped case a shortcut is shown, and looks beside it."""
    cases = list(load_cases(cases_directory(), tutor.knowledge).values())[::6]
    tempting = 0
    for case in cases:
        scene = build_scene(tutor, case, 1)
        kinds = [choice.kind for choice in list_choices(scene, start_lesson(scene, 1))]
        tempting += "shortcut" in kinds

        assert kinds.count("inspect") >= 3, case.case

    assert tempting >= len(cases) / 3


def test_no_word_marks_the_unsafe_choice(scene, lesson):
    """A shortcut reads like any other look: nothing in it warns."""
    cuts = [choice for choice in list_choices(scene, lesson) if choice.kind == "shortcut"]

    assert cuts
    for choice in cuts:
        assert not any(word in choice.says.lower() for word in ("unsafe", "danger", "caution", "risk"))


def test_typed_words_find_the_nearest_choices(scene, lesson):
    """Words find looks and circumstances that share them; words that mean nothing find nothing."""
    found = find_by_words(scene, lesson, "limit or stop first at the open end")

    assert "limit_and_stop_at_open_end" in [choice.id for choice in found]
    assert () == find_by_words(scene, lesson, "qqq zzz")


def test_every_choice_shown_can_be_found_by_its_id(scene, lesson):
    """The id of a choice leads back to the same choice."""
    for choice in list_choices(scene, lesson):
        assert choice == find_choice(scene, lesson, choice.id)
