"""Build the commissioning sheet of a unit.

Takes the knowledge base and a unit record, gives a Sheet; may import next_step and above.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.chaining.atoms import list_atoms
from diagnose.explanation.setup_document import Known, Missing, Sheet, Stage
from diagnose.explanation.setup_stages import CARD_SPAN, PLANS, POTENTIOMETER, Plan, write_blanks, write_notes
from diagnose.explanation.setup_terminals import list_notes, list_terminals
from diagnose.explanation.setup_words import say_field, say_value
from diagnose.facts.unit_record import circumstances_of_unit
from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.unit import UnitRecord
from diagnose.next_step.access import add_unknowns
from diagnose.next_step.cautions import collect_cautions
from diagnose.ranking.sight import holds

# What stays blank for each field that is not known; fields without an entry blank nothing on the sheet.
_BLANK_WITHOUT = {
    "supply_volts": "supply band, volts of the terminal table",
    "motor": "what the motor leads read",
    "running_current_a": "running current",
    "stall_current_a": "stall current",
    "rated_torque_nm": "upper limit of the torque setting, margin",
    "set_torque_nm": "torque setting on record",
    "healthy_valve_torque_nm": "lower limit of the torque setting, margin",
    "stroke_time_s": "coast, trip angles, margin of the stops, stroke time",
    "duty": "whether a card is to be set",
    "rated_duty_percent": "full cycles allowed",
    "rated_starts_per_hour": "starts allowed",
    "input_kind": "command figures",
    "acting": "command figures",
    "on_loss_of_signal": "what to expect on loss of signal",
    "on_loss_of_supply": "what to expect on loss of supply",
    "open_seating": "what ends the opening stroke",
    "closed_seating": "what ends the closing stroke",
    "position_output": "position output figures",
    "lamp_feed": "when the lamps come",
    "stop_pitch_mm": "stops in degrees",
    "stop_arm_radius_mm": "stops in degrees",
    "stored_energy": "whether it moves by itself on loss of supply",
    "hazardous_area": "whether the cover may be opened live; taken as hazardous",
    "medium": "whether a joint may be touched",
    "pot_total_ohm": "ohms of the potentiometer",
    "pot_gear_ratio": "ohms of the potentiometer",
    "pot_electrical_deg": "ohms of the potentiometer",
    "pot_offset_deg": "ohms of the potentiometer",
    "trip_delay_s": "an assumed delay is used for the coast",
    "stop_back_off_turns": "the back-off of practice is used",
}
_OF_ANALOGUE = {"input_kind", "acting", "on_loss_of_signal"}
_OF_POTENTIOMETER = {name for name in _BLANK_WITHOUT if name.startswith("pot_")}


def build_sheet(knowledge: Knowledge, unit: UnitRecord) -> Sheet:
    """Build the sheet.

    Args:
        knowledge: Safety lines and the rules that call for them.
        unit: What is known of the unit; what is not stays blank and is named.

    Returns:
        The document, complete enough to render without rules or record.
    """
    general = tuple(_cautions_of_unit(knowledge, unit))
    stages = tuple(_stage(knowledge, plan, unit) for plan in PLANS)
    called = {*general, *(name for stage in stages for name in stage.cautions)}
    return Sheet(
        asset=unit.asset,
        record=tuple(
            Known(field=name, says=say_field(name), value=say_value(name, value))
            for name, value in unit
            if value is not None and name != "asset"
        ),
        unknown=tuple(_list_unknown(unit)),
        tools=tuple(
            dict.fromkeys(tool for plan in PLANS if not _left_out(plan, unit) for tool in plan.tools)
        ),
        permits=tuple(_list_permits(unit)),
        persons="two: one at the unit, one at the control that takes the command away (common practice, no source)",
        cautions=tuple(
            (name, line.says) for name, line in knowledge.cautions.lines.items() if name in called
        ),
        deferral=knowledge.cautions.deferral,
        stages=stages,
        terminals=list_terminals(unit),
        terminal_notes=list_notes(unit),
        rules_version=knowledge.version,
    )


def _stage(knowledge: Knowledge, plan: Plan, unit: UnitRecord) -> Stage:
    work = Work(says=plan.title, access=knowledge.access.start, minutes=0, acts=plan.acts)
    atoms = list_atoms((), tuple(circumstances_of_unit(unit, knowledge)))
    left_out = _left_out(plan, unit)
    return Stage(
        title=plan.title,
        cautions=() if left_out else collect_cautions(knowledge, work, (), atoms=atoms),
        notes=tuple(write_notes(plan, unit)),
        steps=() if left_out else plan.steps,
        figures=() if left_out or plan.write is None else tuple(plan.write(unit)),
        blanks=() if left_out else tuple(write_blanks(plan, unit)),
    )


def _left_out(plan: Plan, unit: UnitRecord) -> bool:
    return plan.needs is not None and bool(plan.needs(unit))


def _cautions_of_unit(knowledge: Knowledge, unit: UnitRecord) -> Iterator[str]:
    """Name the safety lines that rules draw from the unit's structure; what nobody knows counts as unknown."""
    atoms = add_unknowns(knowledge, list_atoms((), tuple(circumstances_of_unit(unit, knowledge))))
    for rule in knowledge.rules.values():
        if rule.concludes.caution is not None and holds(rule.when, atoms):
            yield rule.concludes.caution


def _list_unknown(unit: UnitRecord) -> Iterator[Missing]:
    not_needed: set[str] = set()
    for plan, fields in ((CARD_SPAN, _OF_ANALOGUE), (POTENTIOMETER, _OF_POTENTIOMETER)):
        not_needed |= fields if _left_out(plan, unit) else set()
    for name, blank in _BLANK_WITHOUT.items():
        if getattr(unit, name) is None and name not in not_needed:
            yield Missing(field=name, says=say_field(name), blank=blank)


def _list_permits(unit: UnitRecord) -> Iterator[str]:
    yield "permit to work on the unit and its electrical supply, with lock-out"
    yield "release by operations for each stroke and each lifted signal"
    if unit.hazardous_area != "safe":
        known = (
            "hazardous area" if unit.hazardous_area == "hazardous" else "area not known, taken as hazardous"
        )
        yield f"hot-work or gas-free permit before a cover is opened live ({known})"
    if unit.stored_energy not in {None, "none"}:
        yield "release for work at stored energy"
    yield "confined-space or height permit where the unit stands in a pit or aloft"
