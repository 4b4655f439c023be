"""The next step on a small rule base and on the shipped one."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from diagnose.facts.model import Evidence
from diagnose.knowledge.acting import Inspection
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.words import Condition
from diagnose.next_step.access import add_unknowns, is_excluded
from diagnose.next_step.cautions import collect_cautions
from diagnose.next_step.choose import NOTHING_DONE, NextStep, Progress, build_situation
from diagnose.next_step.options import is_allowed, is_live, list_inspections, price_condition
from diagnose.next_step.problem import StepKind
from diagnose.ranking.rank import Prepared, prepare_ranking, rank_evidence
from diagnose.ranking.sight import holds

Choose = Callable[..., NextStep]


def with_inspections(prepared: Prepared, **changes: Inspection) -> Prepared:
    """Give the rule base with some inspections added or changed."""
    inspections = {**prepared.knowledge.inspections, **changes}
    return replace(prepared, knowledge=replace(prepared.knowledge, inspections=inspections))


def open_looks(prepared: Prepared, evidence: Evidence, progress: Progress = NOTHING_DONE) -> set[str]:
    """List the inspections that may be proposed."""
    ranking = rank_evidence(prepared, evidence)
    situation = build_situation(prepared.knowledge, ranking.chained, ranking.beliefs, progress)
    return set(list_inspections(prepared.knowledge, situation)) & set(prepared.knowledge.inspections)


def test_too_little_known_asks_for_a_look(prepared_base: Prepared, choose: Choose, evidence_of):
    """Without any fact an inspection comes first, its outcomes' probabilities adding up to 1."""
    step = choose(prepared_base, evidence_of())

    assert StepKind.INSPECTION is step.kind
    assert 1.0 == pytest.approx(sum(outcome.probability for outcome in step.outcomes))
    assert step.expected == pytest.approx(step.why.best_inspection)
    assert step.expected < step.why.best_repair


def test_cause_nearly_certain_is_repaired(prepared_base: Prepared, choose: Choose, evidence_of):
    """With the pattern of an early cam complete its repair is named, with way, minutes and cautions."""
    step = choose(prepared_base, evidence_of(stops_short=True, wheel_turns_on=True, switch_made=True))

    assert (StepKind.REPAIR, "cam_early") == (step.kind, step.id)
    assert ("as_found", "isolated") == step.access
    assert (20.0, 14.0) == (step.minutes, step.access_minutes)
    assert ("lock_out",) == step.cautions
    assert ("cam_early",) == step.elements
    assert step.why.probability > 0.9


def test_known_outcome_is_never_proposed(prepared_base: Prepared, evidence_of):
    """An inspection whose observations are all known is not offered."""
    assert "turn_wheel" in open_looks(prepared_base, evidence_of())
    assert "turn_wheel" not in open_looks(prepared_base, evidence_of(wheel_turns_on=False))


def test_group_member_present_makes_the_others_known(prepared_base: Prepared, evidence_of):
    """With one end told the look at the ends reveals only what its group does not imply."""
    ranking = rank_evidence(prepared_base, evidence_of(stops_short=True))
    situation = build_situation(prepared_base.knowledge, ranking.chained, ranking.beliefs, Progress())

    assert ("motor_hums",) == list_inspections(prepared_base.knowledge, situation)["look_at_end"][1]


def test_skipped_steps_are_not_proposed_again(prepared_base: Prepared, choose: Choose, evidence_of):
    """What could not be done gives way to something else, looks and repairs alike."""
    evidence = evidence_of(stops_short=True)
    seen: set[str] = set()
    for _ in range(30):
        step = choose(prepared_base, evidence, Progress(skipped=frozenset(seen)))
        if step.kind is StepKind.HAND_OVER:
            break

        assert step.id not in seen
        seen.add(step.id)

    assert {"cam_early", "stop_in", "turn_wheel"} <= seen
    assert StepKind.HAND_OVER is step.kind


def test_tried_repair_is_not_proposed_again(prepared_base: Prepared, choose: Choose, evidence_of):
    """After the early cam was set in vain the plan goes on with something else."""
    evidence = evidence_of(stops_short=True, wheel_turns_on=True, switch_made=True)
    step = choose(prepared_base, evidence, Progress(at="isolated", tried=frozenset({"cam_early"})))
    names = {candidate.id for candidate in step.runners_up}

    assert "cam_early" not in names | {step.id}


def test_live_look_is_dropped_when_a_dead_one_tells_the_same(prepared_base: Prepared, evidence_of):
    """The live look at the switch is gone once a dead one reveals the same; alone it stays."""
    live = prepared_base.knowledge.inspections["look_at_switch"]
    dead = live.model_copy(update={"access": "isolated", "minutes": 60.0})

    assert is_live(prepared_base.knowledge, live)
    assert "look_at_switch" in open_looks(prepared_base, evidence_of())
    assert {"look_dead"} == open_looks(with_inspections(prepared_base, look_dead=dead), evidence_of()) - {
        "look_at_end", "turn_wheel",
    }  # fmt: skip


def test_live_look_stays_when_the_dead_one_tells_less(prepared_base: Prepared, evidence_of):
    """A dead look that reveals only part of it does not displace a live one."""
    live = prepared_base.knowledge.inspections["look_at_switch"]
    more = live.model_copy(update={"reveals": ("switch_made", "cut_out_open")})
    dead = live.model_copy(update={"access": "isolated"})
    looks = open_looks(with_inspections(prepared_base, look_at_switch=more, look_dead=dead), evidence_of())

    assert {"look_at_switch", "look_dead"} <= looks


def test_excluded_look_is_not_proposed(prepared_base: Prepared, evidence_of):
    """A look excluded by what is known is not offered."""
    assert "look_at_switch" not in open_looks(prepared_base, evidence_of(supply_dead=True))


def test_absence_that_could_not_be_seen_is_not_looked_for(
    prepared_base: Prepared, choose: Choose, evidence_of
):
    """On a dead unit nobody looks where the stroke ends: its absence would say nothing."""
    ranking = rank_evidence(prepared_base, evidence_of(supply_dead=True))
    situation = build_situation(prepared_base.knowledge, ranking.chained, ranking.beliefs, Progress())
    _, new = list_inspections(prepared_base.knowledge, situation)["look_at_end"]

    assert "stops_short" not in new
    assert "motor_hums" in new


def test_remedy_before_its_condition_is_not_named(prepared_base: Prepared, choose: Choose, evidence_of):
    """The overheated motor is left to cool only once the open cut-out was found."""
    step = choose(prepared_base, evidence_of(motor_hums=True))
    named = {candidate.id for candidate in step.runners_up} | {step.id}

    assert "overheated" not in named


def test_condition_is_priced(prepared_base: Prepared, evidence_of):
    """Free when it holds, a look with the way there and back when unknown, out of the question otherwise."""
    knowledge = prepared_base.knowledge
    condition = Condition.model_validate({"cut_out_open": "present"})
    prices = []
    for evidence in (evidence_of(cut_out_open=True), evidence_of(), evidence_of(cut_out_open=False)):
        ranking = rank_evidence(prepared_base, evidence)
        situation = build_situation(knowledge, ranking.chained, ranking.beliefs, Progress())
        prices.append(price_condition(knowledge, condition, situation))

    assert [0.0, 1.0 + 14.0 + 12.0, np.inf] == prices


def test_a_look_is_never_put_off_for_less_than_it_takes(shipped: Prepared, evidence_of):
    """Wherever the unit stands, finding out costs what the quickest look for it alone takes, there and back."""
    knowledge = shipped.knowledge
    ranking = rank_evidence(shipped, evidence_of())
    for at in knowledge.access.states:
        situation = build_situation(knowledge, ranking.chained, ranking.beliefs, Progress(at=at))
        ways = situation.possible
        for look in knowledge.looks.values():
            if len(look.reveals) > 1:
                continue
            there, here = ways.index(look.access), ways.index(at)
            condition = Condition.model_validate({look.reveals[0]: "present"})

            assert look.minutes + ways.minutes[here, there] + ways.minutes[there, here] == price_condition(
                knowledge, condition, situation
            ), (at, look.says)


def test_a_lamp_seen_to_light_needs_no_lamp_test(shipped: Prepared):
    """The lamp switch may be set once the lamp is known to light: in the test, or because it comes on."""
    remedy = shipped.knowledge.remedy("lamp_switch_misset")
    lit = ("lamp_dark_in_lamp_test=absent", "end_lamp_missing=absent", "end_lamp_early=present")

    assert all(is_allowed(remedy, {atom}) for atom in lit)
    assert not is_allowed(remedy, {"end_lamp_missing=present", "lamp_dark_in_lamp_test=present"})


def test_cautions_are_the_union(prepared_base: Prepared):
    """Acts of the work, acts of every state passed, own lines and those of rules, each once."""
    knowledge = prepared_base.knowledge
    wheel = knowledge.inspections["turn_wheel"]

    assert () == collect_cautions(knowledge, wheel, ("as_found",))
    assert ("lock_out",) == collect_cautions(knowledge, wheel, ("as_found", "isolated"))
    assert ("lock_out",) == collect_cautions(knowledge, wheel, ("as_found",), ("lock_out",))


@pytest.fixture(scope="module")
def shipped(knowledge: Knowledge) -> Prepared:
    """Compile the shipped rule base."""
    return prepare_ranking(knowledge)


def draw_evidence(knowledge: Knowledge, seed: int, evidence_of) -> Evidence:
    """Draw a few observations and circumstances at random."""
    rng = np.random.default_rng(seed)
    names = [o for o, record in knowledge.observations.items() if not record.derived]
    picked = rng.choice(names, int(rng.integers(1, 7)), replace=False)
    circumstances = {
        name: str(rng.choice(list(record.values)))
        for name, record in knowledge.circumstances.items()
        if rng.random() < 0.4
    }
    return evidence_of(circumstances, **{str(o): bool(rng.random() < 0.6) for o in picked})


@pytest.mark.parametrize("seed", range(40))
def test_nothing_forbidden_is_ever_proposed(shipped: Prepared, choose: Choose, evidence_of, seed: int):
    """On random cases no step, chosen or runner-up, breaks a condition, an exclusion or the reach."""
    knowledge = shipped.knowledge
    evidence = draw_evidence(knowledge, seed, evidence_of)
    ranking = rank_evidence(shipped, evidence)
    atoms = ranking.chained.atoms
    excluding = add_unknowns(knowledge, atoms)
    step = choose(shipped, evidence)
    reach = [set(s) for value, s in knowledge.access.reach.items() if f"reach={value}" in atoms]

    for kind, name in [(step.kind, step.id), *((c.kind, c.id) for c in step.runners_up)]:
        if kind not in {StepKind.REPAIR, StepKind.INSPECTION}:
            continue
        work = knowledge.looks[name] if kind is StepKind.INSPECTION else knowledge.named_remedy(name)

        assert not is_excluded(work.excluded_when, excluding)
        assert not is_excluded(knowledge.access.states[work.access].excluded_when, excluding)
        assert all(work.access in states for states in reach)
        if kind is StepKind.REPAIR:
            assert all(holds(condition, atoms) for condition in work.only_after)


@pytest.mark.parametrize("seed", range(12))
def test_work_in_a_state_carries_the_cautions_of_its_acts(
    shipped: Prepared, choose: Choose, evidence_of, seed: int
):
    """Every act of the work and of each state on the way brings all its lines."""
    knowledge = shipped.knowledge
    step = choose(shipped, draw_evidence(knowledge, seed, evidence_of))
    acts = {act for state in step.access for act in knowledge.access.states[state].acts}

    assert {line for act in acts for line in knowledge.cautions.acts[act]} <= set(step.cautions)


def test_control_room_only_never_leaves_the_control_room(shipped: Prepared, choose: Choose, evidence_of):
    """With the control room alone in reach looks are proposed there until nothing is left that helps."""
    circumstances = {"reach": "control_room", "hazardous_area": "safe"}
    skipped: set[str] = set()
    while True:
        step = choose(
            shipped, evidence_of(circumstances, no_movement=True), Progress(skipped=frozenset(skipped))
        )
        if step.kind is not StepKind.INSPECTION:
            break

        assert ("as_found",) == step.access
        skipped.add(step.id)

    assert StepKind.NOTHING_TO_REACH is step.kind
    assert "at_unit" in step.withheld
    assert skipped
