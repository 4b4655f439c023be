"""Readings: the guard band, limits from the unit record, groups, impossible values."""

import pytest

from diagnose.facts.model import OriginKind, State
from diagnose.facts.quantity import parse_quantity
from diagnose.facts.readings import Measured, decide, ensure_in_range, trust_pair
from diagnose.knowledge.unit import UnitRecord

UNIT = UnitRecord(asset="V-12", supply_volts=230)


def states(base, reading, value, uncertainty, unit=UNIT):
    """Decide one reading and give the states by observation."""
    facts = decide(base, Measured(reading, value, uncertainty), unit)
    return {fact.observation: str(fact.state) for fact in facts}


@pytest.mark.parametrize(
    ("value", "state"),
    [
        (1.8, "absent"),
        (1.899, "absent"),
        (1.9, "unknown"),
        (2.0, "unknown"),
        (2.1, "unknown"),
        (2.101, "present"),
        (2.2, "present"),
    ],
)
def test_near_the_limit_nothing_is_decided(small_base, value, state):
    """At the limit plus or minus the uncertainty, ends included, the reading is unknown."""
    assert {"current_high": state} == states(small_base, "end_current", value, 0.1)


def test_too_near_to_call_says_so(small_base):
    """The unknown fact carries no weight and tells why."""
    (fact,) = decide(small_base, Measured("end_current", 2.05, 0.1, "2.05 A"), None)

    assert (1.0, 1.0) == fact.likelihood
    assert "2.05 A (too near to call within 0.1 A, measure again)" in fact.origin.words


def test_only_the_most_drastic_of_a_group_is_told(small_base):
    """0 V is "no supply"; that it is also below the low limit is no second fact."""
    assert {"supply_dead": "present"} == states(small_base, "supply_volts", 0, 2)


def test_less_drastic_member_is_told_with_the_denial_of_the_worse(small_base):
    """150 V of 230 V is low, and not dead."""
    assert {"supply_dead": "absent", "supply_low": "present"} == states(small_base, "supply_volts", 150, 2)


def test_milder_member_is_open_while_the_worse_one_is(small_base):
    """9 V plus or minus 2 V may be no supply at all: "low" would deny that, so both stay open."""
    assert {"supply_dead": "unknown", "supply_low": "unknown"} == states(small_base, "supply_volts", 9, 2)


def test_normal_value_denies_the_whole_group(small_base):
    """229 V denies both members."""
    assert {"supply_dead": "absent", "supply_low": "absent"} == states(small_base, "supply_volts", 229, 2)


@pytest.mark.parametrize("unit", [None, UnitRecord(asset="V-13")])
def test_limit_of_an_unknown_field_decides_nothing(small_base, unit):
    """Without the nominal value no word is said on the observation that needs it."""
    assert {"supply_dead": "absent"} == states(small_base, "supply_volts", 150, 2, unit)


@pytest.mark.parametrize("value", [-1, 1001, float("nan"), float("inf")])
def test_impossible_value_is_refused(small_base, value):
    """What cannot be is refused with the range."""
    with pytest.raises(ValueError, match="supply at the unit lies between 0 and 1000 V"):
        ensure_in_range(small_base.readings["supply_volts"], value)
    with pytest.raises(ValueError, match="cannot be"):
        decide(small_base, Measured("supply_volts", value, 2), UNIT)


@pytest.mark.parametrize(
    ("kind", "state", "pair"),
    [
        (OriginKind.METER, State.PRESENT, (1, 0)),
        (OriginKind.METER, State.ABSENT, (0, 1)),
        (OriginKind.TICKET, State.PRESENT, (0.95, 0.05)),
        (OriginKind.TICKET, State.ABSENT, (0.05, 0.95)),
        (OriginKind.HEARSAY, State.UNKNOWN, (1, 1)),
    ],
)
def test_trust_follows_origin_and_state(small_base, kind, state, pair):
    """The pair is (told if present, told if absent); unknown says nothing."""
    assert pair == trust_pair(small_base, kind, state)


def test_every_origin_has_a_trust(small_base):
    """The settings and the kinds of origin name the same words."""
    assert {kind.value for kind in OriginKind} == set(small_base.settings.trust)


def test_every_shipped_reading_has_a_unit_that_is_understood(knowledge):
    """Each shipped reading can be typed in its own unit."""
    for reading in knowledge.readings.values():
        assert reading.highest == parse_quantity(f"{reading.highest:.6f} {reading.unit}", reading.unit)
        assert parse_quantity(f"0 {reading.unit}", reading.unit) == 0
