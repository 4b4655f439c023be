"""The fields of a unit record in plain words, with their units.

Takes names and values of fields, gives words; imports nothing of ours.
"""

from __future__ import annotations

# What a field is, and the unit of its number.
_FIELDS = {
    "supply_volts": ("supply voltage", "V"),
    "supply_hertz": ("supply frequency", "Hz"),
    "supply_kind": ("kind of supply", ""),
    "motor": ("motor", ""),
    "running_current_a": ("running current", "A"),
    "stall_current_a": ("stall current", "A"),
    "run_capacitor_uf": ("run capacitor", "µF"),
    "rated_torque_nm": ("rated torque", "Nm"),
    "set_torque_nm": ("torque setting", "Nm"),
    "healthy_valve_torque_nm": ("torque of the healthy valve", "Nm"),
    "stroke_time_s": ("time of a full stroke", "s"),
    "duty": ("duty", ""),
    "rated_duty_percent": ("rated duty factor", "%"),
    "rated_starts_per_hour": ("rated starts", "per hour"),
    "input_kind": ("command signal", ""),
    "command_kind": ("kind of command", ""),
    "acting": ("acting", ""),
    "on_loss_of_signal": ("on loss of signal", ""),
    "on_loss_of_supply": ("on loss of supply", ""),
    "open_seating": ("open end stops by", ""),
    "closed_seating": ("closed end stops by", ""),
    "valve_kind": ("valve", ""),
    "normal_dp_bar": ("normal differential pressure", "bar"),
    "position_output": ("position output", ""),
    "lamp_feed": ("end lamps fed by", ""),
    "stop_pitch_mm": ("thread pitch of the stops", "mm"),
    "stop_arm_radius_mm": ("arm radius of the stops", "mm"),
    "gearbox": ("gearbox", ""),
    "mounting_attitude": ("mounted", ""),
    "stored_energy": ("stored energy", ""),
    "hazardous_area": ("area", ""),
    "medium": ("medium", ""),
    "pot_total_ohm": ("potentiometer, total", "ohm"),
    "pot_gear_ratio": ("potentiometer, turns per turn of the shaft", ""),
    "pot_electrical_deg": ("potentiometer, electrical angle", "degrees"),
    "pot_offset_deg": ("potentiometer, angle at closed", "degrees"),
    "input_resistance_ohm": ("input resistance", "ohm"),
    "stop_back_off_turns": ("back-off of the stops", "turns"),
    "trip_delay_s": ("delay from trip to drive off", "s"),
}
# Words of a record that do not read as they are written.
_VALUES = {
    "ac_single_phase": "AC, single-phase",
    "ac_three_phase": "AC, three-phase",
    "single_phase": "single-phase",
    "three_phase": "three-phase",
    "dc": "DC",
    "on_off": "on/off",
    "ma_4_20": "4-20 mA",
    "ma_0_20": "0-20 mA",
    "v_0_10": "0-10 V",
    "v_2_10": "2-10 V",
    "v_1_5": "1-5 V",
    "ohm_0_135": "0-135 ohm",
    "no_analogue": "none, contacts only",
    "three_point": "three-point",
    "self_powered": "self-powered",
    "loop_powered": "loop-powered",
    "separate_switch": "a switch of their own",
    "limit_switch": "the limit switch",
    "safe": "not hazardous",
    "unknown_area": "nobody knows, taken as hazardous",
    "battery_or_capacitor": "battery or capacitor",
    "dry_gas": "dry gas",
    "steam_or_hot": "steam or hot",
}


def say_field(name: str) -> str:
    """Say what a field of the unit record is."""
    return _FIELDS[name][0]


def say_value(name: str, value: float | str) -> str:
    """Say the value of a field with its unit."""
    if isinstance(value, str):
        return _VALUES.get(value, value)
    return f"{value:g} {_FIELDS[name][1]}".rstrip()
