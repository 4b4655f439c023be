"""A reading worked out at the terminal: inputs with units, formula and result, the result as the reading."""

import pytest
from session_steps import ask_next, at_complaint, say

from diagnose.facts.case_file import Case, Repair, evidence_of_case, load_case, write_case
from diagnose.facts.case_readings import CaseReading
from diagnose.facts.model import OriginKind
from diagnose.interfaces.prompts import find_computed, reading_of
from diagnose.interfaces.session import Session
from diagnose.knowledge.unit import UnitRecord
from diagnose.trade.catalogue.every import BY_ID

ZERO = "travel_off_at_zero"


def at(reasoner, observation: str, **changes: object) -> Session:
    """Stand at the question for an observation, all in reach."""
    session = at_complaint(reasoner, None)
    session.moment = session.moment.__class__(session.case.model_copy(update=changes), resumed=True)
    ask_next(session, observation)
    assert observation == session.prompt().id
    return session


def told(reasoner, case: Case) -> dict[str, str]:
    """Give the states that the readings of a case decide."""
    facts = evidence_of_case(case, reasoner.knowledge).facts
    return {f.observation: f.state.value for f in facts if f.origin.kind is OriginKind.METER}


def test_the_calculation_is_offered_where_one_gives_the_reading(reasoner, knowledge):
    """Each observation that a worked-out reading decides offers it in its hint; others do not."""
    for record in knowledge.computed.values():
        for decision in knowledge.readings[record.gives].decides:
            assert find_computed(knowledge, decision.observation) is not None
    assert at(reasoner, ZERO).prompt().hint.endswith("a reading in % or work it out")
    assert "work it out" not in at(reasoner, "torque_trip").prompt().hint


def test_what_no_meter_shows_is_worked_out_all_the_same(reasoner, knowledge):
    """A reading that cannot be read off is offered by calculation alone."""
    assert reading_of(knowledge, "source_at_voltage_ceiling") is None
    assert at(reasoner, "source_at_voltage_ceiling").prompt().hint == "yes, no, ? or work it out"


def test_inputs_formula_and_result(reasoner):
    """24 V over 2000 ohm are 12 mA by Ohm's law, which is below the 20 mA of a full command."""
    session = at(reasoner, "source_at_voltage_ceiling")
    say(session, "work it out")
    first = session.prompt()
    say(session, "24 V")
    second = session.prompt()
    reply = say(session, "2 kohm")

    assert ("input", "input") == (first.kind, second.kind)
    assert ("a reading in V", "a reading in ohm") == (
        first.hint.partition(";")[0],
        second.hint.partition(";")[0],
    )
    assert "ceiling = compliance / resistance x 1000; 24 V / 2000 ohm x 1000 = 12 mA" in reply.lines
    assert any(line.startswith("Taken as the reading:") and "12 ± " in line for line in reply.lines)
    assert any(line.startswith("Source: Ohm's law") for line in reply.lines)
    assert {"source_at_voltage_ceiling": "present"} == told(reasoner, session.case)
    assert "source_at_voltage_ceiling" != session.prompt().id


def test_the_result_is_in_the_saved_case(reasoner, tmp_path):
    """The inputs are kept as readings, and reading the case again works the same result out."""
    session = at(reasoner, "windings_unequal")
    say(session, "work it out", "10 ohm", "10 ohm", "13 ohm")
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    back = load_case(path, reasoner.knowledge)

    assert session.case == back
    assert {"windings_unequal": "present"} == told(reasoner, back)


def test_what_stands_on_the_nameplate_goes_to_the_unit_record(reasoner):
    """An input of the unit record is asked for once, begun where there is none, and not asked again."""
    session = at(reasoner, ZERO)
    say(session, "work it out", "2.8 %")
    assert "direct or reverse" == session.prompt().hint.partition(";")[0]
    say(session, "reverse")

    assert ("this unit", "reverse") == (session.case.unit.asset, session.case.unit.acting)
    assert 1 == len(session.case.readings)


def test_a_known_unit_record_is_used_and_kept(reasoner):
    """Fields of the record at hand are not asked for."""
    unit = UnitRecord(asset="V-12", acting="direct")
    session = at(reasoner, ZERO, unit=unit)
    reply = say(session, "work it out", "2.8 %")

    assert unit == session.case.unit
    assert any("2.8 ± 0.3 %" in line for line in reply.lines)


def test_readings_at_hand_are_not_asked_again(reasoner):
    """What was measured before is taken; with all there the result comes at once."""
    readings = (
        CaseReading(reading="source_highest_voltage", value="24 V"),
        CaseReading(reading="loop_resistance", value="600 ohm"),
    )
    session = at(reasoner, "travel_off_at_half", readings=readings[:1])
    ask_next(session, "source_at_voltage_ceiling")
    say(session, "work it out")

    assert "end to end" in session.prompt().text
    assert say(session, "600 ohm").accepted
    assert readings == session.case.readings


def test_inputs_are_those_of_the_same_moment(reasoner):
    """What was measured before a repair is measured anew after it."""
    readings = (CaseReading(reading="source_highest_voltage", value="24 V"),)
    session = at(
        reasoner, "source_at_voltage_ceiling", readings=readings, repairs=(Repair(cause="card_failed"),)
    )
    say(session, "work it out")
    assert "greatest voltage" in session.prompt().text
    say(session, "30 V")

    assert ("30 V", "card_failed") == (session.case.readings[-1].value, session.case.readings[-1].after)


@pytest.mark.parametrize(
    "line, words",
    [
        ("24", "has no unit"),
        ("24 mA", "measures something else"),
        ("0 V", "lies between 1 and 60 V"),
        ("nan V", "is not a number"),
        ("many", "is not a number"),
        ("yes", "is not a number"),
    ],
)
def test_a_bad_input_is_refused_with_the_reason(reasoner, line, words):
    """What is no value of the input changes nothing and says what is wanted."""
    session = at(reasoner, "source_at_voltage_ceiling")
    say(session, "work it out")
    before = session.moment
    reply = say(session, line)

    assert (False, before) == (reply.accepted, session.moment)
    assert words in reply.lines[0]


def test_values_that_do_not_go_together_are_refused(reasoner):
    """A result that cannot be leaves the last input open."""
    unit = UnitRecord(asset="V-12", run_capacitor_uf=8, supply_hertz=50)
    session = at(reasoner, "capacitance_low", unit=unit)
    say(session, "work it out", "100 A")
    reply = say(session, "1 V")

    assert not reply.accepted
    assert "input" == session.prompt().kind


def test_enter_leaves_the_calculation(reasoner):
    """Left half-way, the question comes again, and what was measured is kept."""
    session = at(reasoner, "source_at_voltage_ceiling")
    asked = session.prompt()
    say(session, "work it out", "24 V", "")

    assert asked == session.prompt()
    assert ["24 V"] == [reading.value for reading in session.case.readings]


def test_back_takes_the_last_input_back(reasoner):
    """`back` asks for the input again, then for the observation."""
    session = at(reasoner, "source_at_voltage_ceiling")
    say(session, "work it out", "24 V")
    session.back()
    assert ("input", ()) == (session.prompt().kind, session.case.readings)
    session.back()

    assert "observation" == session.prompt().kind


def test_why_gives_the_formula(reasoner):
    """`why` at an input names the calculation with its formula and source."""
    session = at(reasoner, "source_at_voltage_ceiling")
    say(session, "work it out")
    (line,) = session.why(session.prompt())

    assert "ceiling = compliance / resistance" in line
    assert "Ohm's law" in line


def test_no_calculation_no_offer(reasoner):
    """`work it out` where nothing can be worked out says so."""
    session = at(reasoner, "torque_trip")

    assert not say(session, "work it out").accepted


def test_without_the_nominal_value_the_result_decides_nothing(reasoner):
    """Starts per hour without a rated number are worked out, and the question stays."""
    session = at(reasoner, "starts_above_rating")
    reply = say(session, "work it out", "3 s", "2 s")

    assert "say yes or no" in reply.lines[-1]
    assert any("720 ± " in line for line in reply.lines)
    assert "starts_above_rating" == session.prompt().id


def test_an_input_carries_the_cautions_of_its_access(reasoner, knowledge):
    """A value measured in another state of the unit brings the lines of that state, at no less than the look's own."""
    session = at(reasoner, "source_at_voltage_ceiling")
    of_look = session.prompt().cautions
    say(session, "work it out", "24 V")
    prompt = session.prompt()
    isolated = {
        line for act in knowledge.access.states["isolated"].acts for line in knowledge.cautions.acts[act]
    }

    assert "isolated" == knowledge.readings["loop_resistance"].access
    assert set(of_look) <= set(prompt.cautions)
    assert {knowledge.cautions.lines[n].says for n in isolated - {"hazardous_area"}} <= set(prompt.cautions)


@pytest.mark.parametrize(
    "name", ["ceiling_of_loop", "unbalance_of_windings", "output_error_at_ends", "open_to_close_share"]
)
def test_every_calculation_can_be_gone_through(reasoner, knowledge, name):
    """With a plain value for each input a reading comes out that lies within its range."""
    record = knowledge.computed[name]
    examples = {i.name: i.example for i in BY_ID[record.calculation].inputs}
    decides = knowledge.readings[record.gives].decides[0].observation
    session = at(reasoner, decides)
    say(session, "work it out")
    for _ in record.takes:
        if session.prompt().kind == "input":
            reply = say(session, examples[session.prompt().id])
            assert reply.accepted, reply.lines

    assert any(line.startswith("Taken as the reading:") for line in reply.lines)
