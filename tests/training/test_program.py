"""The program's own run: it pays like the learner, breaks no safety rule, and puts nothing off without end."""

import pytest

from diagnose.training.choices import ASK_MINUTES
from diagnose.training.program import run_program
from diagnose.training.scene import evidence_of


@pytest.mark.parametrize("case", ["limits/open_cam_early-01", "motor/motor_capacitor_failed-02"])
def test_the_program_makes_no_unsafe_choice_and_asks_first_what_a_call_taker_asks(make_scene, case):
    """Its run starts with the questions asked first, a minute each, and nothing in it is stopped."""
    scene = make_scene(case)
    run = run_program(scene, 1)
    first = [name for name, record in scene.tutor.knowledge.circumstances.items() if record.asked_first]

    assert first == [move.id for move in run.moves[: len(first)]]
    assert {ASK_MINUTES} == {move.spent for move in run.moves[: len(first)]}
    assert 0 == run.unsafe


def test_two_runs_are_equal(make_scene):
    """The program plays the same case and seed the same way."""
    scene, again = (make_scene("limits/open_cam_early-01") for _ in range(2))

    assert run_program(scene, 1) == run_program(again, 1)


@pytest.mark.parametrize("case", ["motor/motor_thermal_cutout-02", "limits/lamp_switch_misset-01"])
def test_a_cause_as_good_as_certain_is_named_before_everything_else_is_looked_at(make_scene, case):
    """Where the remedy waits for access or for what cannot be seen, the run ends with the cause named."""
    scene = make_scene(case)
    run = run_program(scene, 1)

    assert scene.confirmed.cause == run.closing.id.partition(".")[0]
    assert len(run.moves) < 40


def test_what_a_certain_remedy_waits_for_is_looked_at_next(make_scene):
    """No more than the looks that its remedy waits for come after a cause is as good as certain."""
    scene = make_scene("limits/close_cam_early-01")
    run = run_program(scene, 1)
    remedy = scene.tutor.knowledge.named_remedy(scene.confirmed.cause)
    asked = {atom.name for condition in remedy.only_after for atom in condition.atoms()}
    for number, move in enumerate(run.moves):
        known = run.model_copy(update={"moves": run.moves[:number]})
        chance = scene.tutor.reasoner.rank(evidence_of(scene, known)).posterior.causes[scene.confirmed.cause]
        if move.kind == "inspect" and chance >= 0.95:
            assert asked & {one.observation for one in move.shown}
