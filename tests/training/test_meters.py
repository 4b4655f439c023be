"""Numbers that a meter shows where the case gives none: they decide exactly what is so."""

import pytest

from diagnose.facts.model import State
from diagnose.facts.quantity import parse_quantity
from diagnose.facts.readings import Measured, decide
from diagnose.knowledge.unit import UnitRecord
from diagnose.training.meters import Meter, choose_number

UNIT = UnitRecord(asset="V-12", supply_volts=230)


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_a_drawn_number_decides_what_is_so(knowledge, share):
    """Whatever single observation of a reading is present, the number drawn for it says so and no more."""
    drawn = 0
    for name, record in knowledge.readings.items():
        names = [decision.observation for decision in record.decides]
        for present in [*names, None]:
            states = {n: State.PRESENT if n == present else State.ABSENT for n in names}
            number = choose_number(Meter(knowledge, name, UNIT), states, share)
            if number is None:
                continue
            drawn += 1
            value = parse_quantity(number, record.unit)
            facts = decide(knowledge, Measured(name, value, record.uncertainty), UNIT)

            assert {f.observation: states[f.observation] for f in facts} == {
                f.observation: f.state for f in facts
            }

    assert drawn > len(knowledge.readings)


def test_without_the_nominal_value_no_number_is_invented(knowledge):
    """A reading that is judged against the nameplate gives no number where the plate is not known."""
    states = {d.observation: State.ABSENT for d in knowledge.readings["supply_volts_at_rest"].decides}

    assert choose_number(Meter(knowledge, "supply_volts_at_rest", None), states, 0.5) is None


def test_a_state_that_no_number_shows_gives_none(knowledge):
    """Two observations that one number cannot show together give no number."""
    names = [d.observation for d in knowledge.readings["command_current_at_full"].decides]
    states = dict.fromkeys(names, State.ABSENT) | {names[0]: State.PRESENT}
    states[names[1]] = State.ABSENT

    number = choose_number(Meter(knowledge, "command_current_at_full", None), states, 0.5)

    assert number is None or number.endswith("mA")
