"""The unit record: loading it, and the circumstances that its nameplate supplies."""

import pytest

from diagnose.errors import InputFaulty
from diagnose.facts.model import CircumstanceFact, Origin, OriginKind
from diagnose.facts.unit_record import circumstances_of_unit, load_unit
from diagnose.knowledge.unit import UnitRecord


def write_unit(tmp_path, text):
    """Write a unit record."""
    path = tmp_path / "unit.yaml"
    path.write_text(text, "utf-8")
    return path


def test_a_record_is_read(tmp_path):
    """What is given is known, all else is unknown."""
    path = write_unit(tmp_path, "asset: V-12\nduty: on_off\nsupply_volts: 230\n")

    assert UnitRecord(asset="V-12", duty="on_off", supply_volts=230) == load_unit(path)


def test_nameplate_supplies_certain_circumstances(small_base):
    """A field that a circumstance names becomes a certain fact with the asset as its origin."""
    unit = UnitRecord(asset="V-12", duty="on_off", motor="dc")

    assert [CircumstanceFact("duty", "on_off", True, Origin(OriginKind.UNIT_RECORD, "V-12"))] == list(
        circumstances_of_unit(unit, small_base)
    )


def test_unknown_fields_supply_nothing(small_base):
    """A field left out is unknown, not a value."""
    assert [] == list(circumstances_of_unit(UnitRecord(asset="V-12"), small_base))


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("asset: V-12\nduti: on_off\nmotor: steam\n", [("unknown-key", 2), ("model", 3)]),
        ("duty: on_off\n", [("missing-key", 1)]),
        ("asset: V-12\nsupply_volts: -230\nstroke_time_s: .inf\n", [("model", 2), ("model", 3)]),
        ("- V-12\n", [("model", 1)]),
        ("asset: [\n", [("yaml", 2)]),
    ],
)
def test_faults_of_a_record_are_located(tmp_path, text, faults):
    """Every fault of the record comes at once, with its line."""
    with pytest.raises(InputFaulty) as caught:
        load_unit(write_unit(tmp_path, text))

    assert faults == [(fault.check, fault.line) for fault in caught.value.faults]
