"""The shipped rules print the safety lines that each piece of work calls for, and call for no forbidden work."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import get_args

import pytest

from diagnose.knowledge.acting import Act, Remedy, Work
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.cautions import collect_cautions

# Acts that the contract of the safety lines names, and the lines it counts on for each.
PROMISED = {
    "open_cover": {"lock_out", "prove_dead", "hazardous_area"},
    "measure_dead": {"prove_dead"},
    "measure_insulation": {"prove_dead", "insulation_test_limits"},
    "measure_live": {"right_meter", "hazardous_area"},
    "touch_terminals": {"prove_dead"},
    "remove_actuator": {"pressure_on_valve"},
    "loosen_mounting": {"pressure_on_valve"},
    "stroke_valve": {"ask_operations", "hands_clear"},
    "signal_work": {"loop_in_series"},
    "torque_setting": {"no_defeating"},
    "gland_work": {"gland_pressure"},
    "declutch": {"wheel_supply_off"},
    "energise_after_rewiring": {"first_run_jog"},
    "stored_energy": {"stored_mechanical_energy"},
    "confined_space": {"confined_space"},
    "capacitor_work": {"discharge_stored_charge"},
}
# a low-resistance meter reads volts
RESISTANCE = r"\b(meg|kilo)?ohms?\b|(?<!low-)(?<!high-)\bresistance|\bcontinuity"
# Words of the instructions that give an act away, whatever the record says of itself.
GIVEN_AWAY = {
    "declutch": r"\bhand[- ]drive\b(?! lever)|\bhand[- ]?wheel\b|\bwind (it|on|from|the valve|by hand)\b",
    "gland_work": r"\bback each (gland )?nut|\brepack|\bslacken\b",
    "remove_actuator": r"\btake (it|the unit|the actuator) off\b(?! local)|\buncouple",
    "signal_work": r"\bin series\b|\binject\b|\blift the loop\b|\bpart the loop\b",
    "measure_insulation": r"\binsulation (test|resistance)|\binsulation tester\b",
    "energise_after_rewiring": r"\bone jog\b",
}
UNDER_PRESSURE_NEVER = {"gland_work", "remove_actuator", "loosen_mounting"}


@dataclass(frozen=True)
class Piece:
    """One piece of work of the rule base, where it is written, and its instructions as one text."""

    name: str
    work: Work
    text: str


def _read_remedy(name: str, remedy: Remedy | None) -> Iterator[Piece]:
    if remedy is not None:
        words = [t for s in remedy.steps for t in (s.do, s.tool, s.reach, s.known_by, s.if_not) if t]
        yield Piece(f"remedy of {name}", remedy, " ".join((remedy.says, *words)))


def _list_pieces(knowledge: Knowledge) -> Iterator[Piece]:
    for name, look in knowledge.looks.items():
        yield Piece(name, look, " ".join((*look.how, *look.tools)))
    for name, cause in knowledge.causes.items():
        yield from _read_remedy(name, cause.remedy)
        for mode, record in cause.modes.items():
            yield from _read_remedy(f"{name} {mode}", record.remedy)
    for name, consequence in knowledge.consequences.items():
        yield from _read_remedy(name, consequence.remedy)


@pytest.fixture(scope="module")
def pieces(knowledge: Knowledge) -> tuple[Piece, ...]:
    """List every look and every remedy of the shipped rules."""
    return tuple(_list_pieces(knowledge))


def _collect_lines(knowledge: Knowledge, work: Work) -> set[str]:
    return set(collect_cautions(knowledge, work, (knowledge.access.start, work.access)))


def _find_acts(knowledge: Knowledge, work: Work) -> set[str]:
    return {*work.acts, *knowledge.access.states[work.access].acts}


def test_all_kinds_of_work_are_looked_at(knowledge: Knowledge, pieces: tuple[Piece, ...]) -> None:
    """Every observation that is looked for, every inspection and every remedy is among the pieces."""
    seen = {name for piece in pieces for name in getattr(piece.work, "reveals", ())}
    looked_for = {name for name, record in knowledge.observations.items() if not record.derived}
    assert (looked_for, set()) == (seen & looked_for, set(knowledge.inspections) - {p.name for p in pieces})
    assert len(knowledge.causes) <= sum(isinstance(piece.work, Remedy) for piece in pieces)


@pytest.mark.parametrize("act", get_args(Act))
def test_each_act_prints_a_line(knowledge: Knowledge, pieces: tuple[Piece, ...], act: Act) -> None:
    """Whatever takes an act prints each line the contract counts on for it, or every line of its own."""
    promised = PROMISED.get(act, set(knowledge.cautions.acts[act]))
    # an act that no work takes yet must have its lines ready all the same
    assert promised <= set(knowledge.cautions.acts[act])
    silent = [
        piece.name
        for piece in pieces
        if act in _find_acts(knowledge, piece.work) and not promised <= _collect_lines(knowledge, piece.work)
    ]
    assert [] == silent


def test_resistance_is_measured_dead(knowledge: Knowledge, pieces: tuple[Piece, ...]) -> None:
    """Whatever measures resistance or insulation, by its acts or its words, prints "Supply off, proved dead"."""
    assert knowledge.cautions.lines["prove_dead"].says.startswith("Supply off, proved dead")
    dead = {"measure_dead", "measure_insulation"}
    by_words = [p for p in pieces if re.search(RESISTANCE, p.text, re.IGNORECASE)]
    by_acts = [p for p in pieces if dead & set(p.work.acts)]
    assert by_words
    assert by_acts
    assert [] == [p.name for p in by_words if not dead & set(p.work.acts)]
    assert [] == [p.name for p in by_acts if "prove_dead" not in _collect_lines(knowledge, p.work)]


def test_no_resistance_at_a_live_unit(knowledge: Knowledge, pieces: tuple[Piece, ...]) -> None:
    """With the cover off and the supply on, a dead measurement says in its own words that it is made dead."""
    at_live = [p for p in pieces if knowledge.access.states[p.work.access].live]
    suspicious = [
        p.name
        for p in at_live
        if re.search(RESISTANCE, p.text, re.IGNORECASE) and "measure_live" not in p.work.acts
    ]
    unsaid = [
        p.name
        for p in at_live
        if "measure_dead" in p.work.acts and not re.search(r"\bdead\b|\bsupply off\b", p.text, re.IGNORECASE)
    ]
    assert at_live
    assert ([], []) == (suspicious, unsaid)


def test_nothing_is_energised_at_an_isolated_unit(knowledge: Knowledge, pieces: tuple[Piece, ...]) -> None:
    """Looks measure live only in a live state; a remedy says where else, or that the area must allow it."""
    measured = [
        p for p in pieces if "measure_live" in p.work.acts and not knowledge.access.states[p.work.access].live
    ]
    elsewhere = r"\bwhere the area allows\b|\bat the board\b"
    assert [] == [p.name for p in measured if not isinstance(p.work, Remedy)]
    assert [] == [p.name for p in measured if not re.search(elsewhere, p.text)]
    assert [] == [p.name for p in measured if "hazardous_area" not in _collect_lines(knowledge, p.work)]


def test_a_stroke_after_isolation_is_by_hand_or_a_first_run(pieces: tuple[Piece, ...]) -> None:
    """Work on an isolated unit strokes it by hand, or powers it again with the lines of a first run."""
    stroked = [p for p in pieces if p.work.access == "isolated" and "stroke_valve" in p.work.acts]
    assert stroked
    assert [] == [p.name for p in stroked if not {"declutch", "energise_after_rewiring"} & set(p.work.acts)]


def test_live_states_are_excluded_in_hazardous_areas(knowledge: Knowledge) -> None:
    """A state with cover off and supply on cannot be chosen where the area is hazardous or unknown."""
    live = [state for state in knowledge.access.states.values() if state.live]
    barred = {"hazardous_area=hazardous", "hazardous_area=unknown_area"}
    assert live
    for state in live:
        assert barred <= {str(atom) for condition in state.excluded_when for atom in condition.atoms()}


def test_nothing_is_loosened_under_pressure(pieces: tuple[Piece, ...]) -> None:
    """Gland, mounting and coupling are loosened only with the line isolated, without pressure and drained."""
    loosened = [p for p in pieces if UNDER_PRESSURE_NEVER & set(p.work.acts)]
    safe = {"line_depressurised", "actuator_off_valve"}
    assert loosened
    assert [] == [p.name for p in loosened if p.work.access not in safe]


@pytest.mark.parametrize("act", GIVEN_AWAY)
def test_words_of_an_act_come_with_the_act(pieces: tuple[Piece, ...], act: str) -> None:
    """Instructions that tell to do something name the act, so that its safety lines follow."""
    told = [p for p in pieces if re.search(GIVEN_AWAY[act], p.text, re.IGNORECASE)]
    assert told
    assert [] == [p.name for p in told if act not in p.work.acts]


def test_every_line_is_followed_by_the_deferring_sentence(knowledge: Knowledge) -> None:
    """The deferring sentence is the one of the contract."""
    contract = (
        "Local codes, site rules and licensed or authorised persons come first; "
        "this program does not replace them."
    )
    assert contract == knowledge.cautions.deferral
