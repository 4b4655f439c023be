"""What a look gives: the case word for word, and for the rest a repeatable draw that fits the cause."""

import numpy as np

from diagnose.facts.case_file import Confirmed, evidence_of_case, load_cases
from diagnose.facts.combine import combine_facts
from diagnose.facts.model import State
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.answering import (
    _draw_faults,
    _draw_observations,
    _show_chances,
    answer_look,
    build_world,
    is_hearsay,
)

CASE = "limits/open_cam_early-01"


def test_what_the_case_states_holds_in_its_world(tutor):
    """In every shipped case every plain fact that somebody saw is answered as the case states it."""
    knowledge = tutor.knowledge
    for case in load_cases(cases_directory(), knowledge).values():
        world = build_world(tutor.reasoner, case, case.confirmed, 3)
        beliefs = combine_facts(evidence_of_case(case, knowledge).facts)
        seen = [b for b in beliefs if b.state is not State.UNKNOWN and not is_hearsay(b)]
        stated = {b.observation: b.state for b in seen}

        assert stated == {name: world.states[name] for name in stated}, case.case


def test_every_observation_that_can_be_looked_at_has_an_answer(tutor, make_scene):
    """A look at anything gives present or absent, and a sentence."""
    scene = make_scene(CASE)
    shown = [
        one for look in tutor.knowledge.looks.values()
        for one in answer_look(tutor.knowledge, scene.world, look.reveals)
    ]  # fmt: skip

    assert all(one.says and one.state in {"present", "absent"} for one in shown)


def test_the_same_seed_gives_the_same_world_and_another_one_another(make_scene):
    """The draw is repeatable by its seed alone."""
    first, same, other = (make_scene(CASE, seed).world for seed in (1, 1, 2))

    assert first.states == same.states
    assert first.states != other.states


def test_members_of_a_group_exclude_each_other_in_every_world(tutor, make_scene):
    """At most one member of an exclusive group is present, whatever is drawn."""
    for seed in range(20):
        states = make_scene("motor/motor_winding_failed-01", seed).world.states
        for group in tutor.knowledge.groups.values():
            present = [m for m in group.members if states.get(m) is State.PRESENT]

            assert len(present) <= 1, (seed, present)


def test_draws_are_as_frequent_as_the_strengths_say(tutor):
    """Of 400 draws given a cause, an observation shows as often as the network says, within four sigma."""
    network = tutor.reasoner.prepared.network
    confirmed = Confirmed(cause="open_cam_early", found="x")
    random = np.random.default_rng(5)
    counts = dict.fromkeys(("open_limit_made_short_of_end", "hand_free_beyond_open_point", "motor_hot"), 0)
    for _ in range(400):
        faults, on = _draw_faults(network, confirmed, {}, random)
        states = _draw_observations(network, _show_chances(network, faults, on), {}, random)
        for name in counts:
            counts[name] += states[name] is State.PRESENT
    row = next(n for n, a in enumerate(network.alternatives) if a.members == ("open_cam_early",))
    for name, count in counts.items():
        # members before it in its group, if any, must not show first
        order = network.index[name]
        chance = network.tables.shown_alone[row, order]
        for group in network.groups:
            if order in group:
                for earlier in group[: group.index(order)]:
                    chance *= 1 - network.tables.shown_alone[row, earlier]
        sigma = (chance * (1 - chance) / 400) ** 0.5

        assert abs(count / 400 - chance) < 4 * sigma + 0.01, name


def test_a_mode_that_is_confirmed_is_the_mode_of_the_world(make_scene):
    """A confirmed mode holds; where the case leaves it open one of the cause's modes is drawn."""
    assert "shorted" == make_scene("motor/motor_capacitor_failed-02").world.mode


def test_a_reading_of_the_case_is_shown_as_it_was_read(tutor, make_scene):
    """The meter shows the number of the case, not what it means."""
    scene = make_scene(CASE)
    (shown,) = answer_look(tutor.knowledge, scene.world, ("command_top_short",))

    assert shown.says.endswith("20.02 mA")
    assert not shown.drawn


def test_a_silent_case_says_that_its_answer_was_drawn(tutor, make_scene):
    """An observation that the case does not mention is marked as drawn."""
    (shown,) = answer_look(tutor.knowledge, make_scene(CASE).world, ("motor_hot",))

    assert shown.drawn


def test_who_looks_may_find_the_contrary_of_hearsay(make_scene):
    """Fuses that somebody calls good measure open where the fuse is the cause, and that is a drawn answer."""
    scene = make_scene("card/card_fuse_blown-02")
    (shown,) = answer_look(scene.tutor.knowledge, scene.world, ("control_fuse_reads_open",))

    assert ("present", True) == (shown.state, shown.drawn)
    assert "night shift" not in shown.says


def test_what_no_meter_shows_is_answered_in_words(tutor, make_scene):
    """A figure that is only worked out stands on no meter: the look says what is seen."""
    scene = make_scene("card/card_input_type_wrong-02")
    (shown,) = answer_look(tutor.knowledge, scene.world, ("source_at_voltage_ceiling",))

    assert "loop_current_ceiling" not in scene.world.readings
    assert "reads about" not in shown.says
