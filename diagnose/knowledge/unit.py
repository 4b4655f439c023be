"""The unit record: what is known of one asset. Everything may be unknown.

Takes nothing, gives the model; may import words.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.knowledge.words import Model, Text

Positive = Annotated[float, Field(gt=0, lt=1e7)]


class UnitRecord(Model):
    """One asset, as its nameplate, its settings sheet and its drawings tell it.

    Numbers are in the unit their name ends with; a field left out is unknown.
    """

    asset: Text
    supply_volts: Positive | None = None
    supply_hertz: Positive | None = None
    supply_kind: Literal["ac_single_phase", "ac_three_phase", "dc"] | None = None
    motor: Literal["single_phase", "three_phase", "dc"] | None = None
    running_current_a: Positive | None = None
    stall_current_a: Positive | None = None
    run_capacitor_uf: Positive | None = None
    rated_torque_nm: Positive | None = None
    set_torque_nm: Positive | None = None
    healthy_valve_torque_nm: Positive | None = None
    stroke_time_s: Positive | None = None
    duty: Literal["on_off", "modulating"] | None = None
    rated_duty_percent: Positive | None = None
    rated_starts_per_hour: Positive | None = None
    input_kind: (
        Literal["ma_4_20", "ma_0_20", "v_0_10", "v_2_10", "v_1_5", "ohm_0_135", "no_analogue"] | None
    ) = None
    command_kind: Literal["maintained", "pulse", "three_point", "analogue", "bus"] | None = None
    acting: Literal["direct", "reverse"] | None = None
    on_loss_of_signal: Literal["opens", "closes", "stays"] | None = None
    on_loss_of_supply: Literal["opens", "closes", "stays"] | None = None
    open_seating: Literal["limit", "torque"] | None = None
    closed_seating: Literal["limit", "torque"] | None = None
    valve_kind: Text | None = None
    normal_dp_bar: Annotated[float, Field(ge=0, le=420)] | None = None
    position_output: Literal["none", "self_powered", "loop_powered"] | None = None
    lamp_feed: Literal["limit_switch", "separate_switch"] | None = None
    stop_pitch_mm: Positive | None = None
    stop_arm_radius_mm: Positive | None = None
    gearbox: Literal["fitted", "none"] | None = None
    mounting_attitude: Text | None = None
    stored_energy: Literal["none", "spring", "battery_or_capacitor"] | None = None
    hazardous_area: Literal["hazardous", "safe", "unknown_area"] | None = None
    medium: Literal["clean", "solids", "scaling", "dry_gas", "steam_or_hot"] | None = None
    pot_total_ohm: Positive | None = None
    pot_gear_ratio: Positive | None = None
    pot_electrical_deg: Positive | None = None
    pot_offset_deg: Annotated[float, Field(ge=0, lt=3600)] | None = None
    input_resistance_ohm: Positive | None = None
    stop_back_off_turns: Annotated[float, Field(ge=0, le=10)] | None = None
    trip_delay_s: Annotated[float, Field(gt=0, le=2)] | None = None
