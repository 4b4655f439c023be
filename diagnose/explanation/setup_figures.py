"""The figures of a commissioning sheet: everything that a unit record lets compute, with formula and source.

Takes a unit record, gives figures; may import trade and knowledge.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.explanation.setup_document import Figure
from diagnose.knowledge.unit import UnitRecord
from diagnose.trade.cams import ASSUMED_DELAY_S, coast_angle, trip_angles
from diagnose.trade.motor import (
    RUNNING_BAND,
    STALL_BAND,
    VOLTAGE_BAND,
    cycles_per_hour,
    tolerance_band,
)
from diagnose.trade.potentiometer import wiper_resistance
from diagnose.trade.signals import SPANS, InputKind, command_for_travel, signal_of_percent, volts_across
from diagnose.trade.stops import (
    USUAL_BACK_OFF_TURNS,
    USUAL_RANGE_DEG,
    WANTED_MARGIN_DEG,
    stop_angle,
    stop_margin,
    turns_for_angle,
)
from diagnose.trade.torque import USUAL_MARGIN, lowest_voltage_share, torque_in_pounds, torque_margin

TRAVELS = (0, 25, 50, 75, 100)
PRACTICE = "common practice, no source"


def analogue_kind(unit: UnitRecord) -> InputKind | None:
    """Give the kind of analogue command, where the unit is known to have one."""
    return unit.input_kind if unit.input_kind not in {None, "no_analogue"} else None  # type: ignore[return-value]


def delay_of(unit: UnitRecord) -> tuple[float, str]:
    """Give the delay from trip to standstill, and whether it is known or assumed."""
    if unit.trip_delay_s is not None:
        return unit.trip_delay_s, "delay from the unit record"
    return ASSUMED_DELAY_S, f"delay ASSUMED {ASSUMED_DELAY_S:g} s, measure it at the first stroke"


def write_supply(unit: UnitRecord) -> Iterator[Figure]:
    """Give the supply band and the currents of the motor."""
    yield _band("supply at the terminals", unit.supply_volts, "V", VOLTAGE_BAND, "+/-10 %, IEC 60038")
    yield _band("running current", unit.running_current_a, "A", RUNNING_BAND, f"of the plate, {PRACTICE}")
    yield _band("stall current", unit.stall_current_a, "A", STALL_BAND, f"of the plate, {PRACTICE}")


def _band(label: str, nominal: float | None, mark: str, band: tuple[float, float], source: str) -> Figure:
    basis = f"{band[0] * 100:.0f} to {band[1] * 100:.0f} %; {source}"
    if nominal is None:
        return Figure(label=label, value="", basis=basis)
    low, high = tolerance_band(nominal, band)
    return Figure(label=label, value=f"{nominal:g} {mark} ({low:.3g} to {high:.3g} {mark})", basis=basis)


def write_cams(unit: UnitRecord) -> Iterator[Figure]:
    """Give coast and trip angles; an end that seats on torque has no coast to allow for."""
    delay, told = delay_of(unit)
    basis = f"90 degrees / stroke time x delay; {told}"
    if unit.stroke_time_s is None:
        yield from (
            Figure(label=label, value="", basis=basis) for label in ("coast", "close trip", "open trip")
        )
        return
    close, opened = trip_angles(unit.stroke_time_s, delay)
    yield Figure(label="coast", value=f"{coast_angle(unit.stroke_time_s, delay):.2f} degree", basis=basis)
    ends = (
        ("close trip", close, "closed + coast; definition", unit.closed_seating),
        ("open trip", opened, "90 - coast; definition", unit.open_seating),
    )
    for label, angle, formula, seating in ends:
        if seating == "torque":
            yield Figure(
                label=label, value="just before the mark", basis=f"seats on torque, only signals; {PRACTICE}"
            )
        else:
            yield Figure(label=label, value=f"{angle:.2f} degree from closed", basis=formula)


def write_stops(unit: UnitRecord) -> Iterator[Figure]:
    """Give the back-off of the stop bolts in degrees, the margin behind the coast, and turns for five degrees."""
    turns = USUAL_BACK_OFF_TURNS if unit.stop_back_off_turns is None else unit.stop_back_off_turns
    told = f"default of practice, {PRACTICE}" if unit.stop_back_off_turns is None else "from the unit record"
    yield Figure(
        label="back off from contact",
        value=f"{turns:g} turns",
        basis=f"{told}; the unit's own instruction comes first",
    )
    labels = ("that is", "margin with the cam at the end itself", f"turns for {USUAL_RANGE_DEG:g} degrees")
    if unit.stop_pitch_mm is None or unit.stop_arm_radius_mm is None:
        yield from (
            Figure(label=label, value="", basis="atan(turns x pitch / arm radius)") for label in labels
        )
        return
    pitch, radius = unit.stop_pitch_mm, unit.stop_arm_radius_mm
    angle = stop_angle(turns, pitch, radius)
    basis = f"atan({turns:g} x {pitch:g} mm / {radius:g} mm); geometry"
    yield Figure(label=labels[0], value=f"{angle:.2f} degree behind the end", basis=basis)
    yield _margin(unit, labels[1], angle)
    needed = turns_for_angle(USUAL_RANGE_DEG, pitch, radius)
    yield Figure(
        label=labels[2],
        value=f"{needed:.2f} turns",
        basis=f"radius x tan / pitch; range of the stop, {PRACTICE}",
    )


def _margin(unit: UnitRecord, label: str, angle: float) -> Figure:
    basis = f"stop - coast, the worst case; want {WANTED_MARGIN_DEG:g} degree or more, {PRACTICE}"
    if unit.stroke_time_s is None:
        return Figure(label=label, value="", basis=basis)
    margin = stop_margin(0.0, coast_angle(unit.stroke_time_s, delay_of(unit)[0]), angle)
    word = "" if margin >= WANTED_MARGIN_DEG else " - TOO SMALL, back off further"
    return Figure(label=label, value=f"{margin:.2f} degree{word}", basis=basis)


def write_torque(unit: UnitRecord) -> Iterator[Figure]:
    """Give the limits of the torque setting, the margin over the valve and the lowest voltage."""
    needed, rated = unit.healthy_valve_torque_nm, unit.rated_torque_nm
    within = f"above the healthy valve, below actuator, stem and bracket; {PRACTICE}"
    yield Figure(label="lower limit of the setting", value=_torque(needed), basis=within)
    yield Figure(
        label="upper limit of the setting",
        value=_torque(rated),
        basis=f"{within}; stem and bracket may be less",
    )
    yield Figure(label="setting on record", value=_setting(unit), basis="unit record against the two limits")
    low, high = USUAL_MARGIN
    basis = f"rated / needed; {low:g} to {high:g} is usual, {PRACTICE}"
    if needed is None or rated is None:
        yield Figure(label="margin over the valve", value="", basis=basis)
        return
    yield Figure(label="margin over the valve", value=f"{torque_margin(rated, needed):.3g}", basis=basis)
    if unit.motor in {"single_phase", "three_phase"}:
        share = min(lowest_voltage_share(needed, rated), 9.99)
        basis = "sqrt(needed / rated); torque with the square of the voltage, NEMA MG 1-12.44"
        yield Figure(
            label="lowest voltage that moves it", value=f"{share * 100:.0f} % of nominal", basis=basis
        )


def _torque(newton_metres: float | None) -> str:
    if newton_metres is None:
        return ""
    return f"{newton_metres:g} N.m ({torque_in_pounds(newton_metres)[0]:.3g} lbf ft)"


def _setting(unit: UnitRecord) -> str:
    value, low, high = unit.set_torque_nm, unit.healthy_valve_torque_nm, unit.rated_torque_nm
    if value is None:
        return ""
    if high is not None and value > high:
        return f"{_torque(value)} - ABOVE the rating"
    if low is not None and value <= low:
        return f"{_torque(value)} - NOT ABOVE the healthy valve"
    return _torque(value)


def write_potentiometer(unit: UnitRecord) -> Iterator[Figure]:
    """Give the resistance from the low end to the wiper at closed, mid and open."""
    basis = "total x (offset + ratio x angle) / electrical angle; geometry"
    for label, angle in (("at closed", 0.0), ("at mid-travel", 45.0), ("at open", 90.0)):
        value = ohms_at(unit, angle)
        yield Figure(
            label=f"low end to wiper {label}", value="" if value is None else f"{value:.4g} ohm", basis=basis
        )


def ohms_at(unit: UnitRecord, angle: float) -> float | None:
    """Give the wiper's resistance at an angle; None where the record lacks one of its figures."""
    total, offset = unit.pot_total_ohm, unit.pot_offset_deg
    ratio, electrical = unit.pot_gear_ratio, unit.pot_electrical_deg
    if total is None or offset is None or ratio is None or electrical is None:
        return None
    return wiper_resistance(total, offset, ratio, electrical, angle)


def say_command(unit: UnitRecord, travel: float) -> str:
    """Give the command that asks for a travel in its unit; empty where kind or direction is not known."""
    kind = analogue_kind(unit)
    if kind is None or unit.acting is None:
        return ""
    value = signal_of_percent(kind, command_for_travel(unit.acting, travel))
    return f"{value:.4g} {SPANS[kind].unit}"


def say_output(unit: UnitRecord, travel: float) -> str:
    """Give the current of the position output at a travel; empty where there is none or nobody knows."""
    if unit.position_output in {None, "none"}:
        return ""
    return f"{signal_of_percent('ma_4_20', travel):g} mA"


def write_card(unit: UnitRecord) -> Iterator[Figure]:
    """Give command and position output for five points of travel."""
    for travel in TRAVELS:
        command, output = say_command(unit, travel), say_output(unit, travel)
        parts = [f"command {command}" if command else "", f"position output {output}" if output else ""]
        value = ", ".join(part for part in parts if part)
        basis = f"{unit.acting or 'acting direction not known'}; 4-20 mA: IEC 60381-1, volts: IEC 60381-2"
        yield Figure(label=f"travel {travel} %", value=value, basis=basis)
    if unit.input_resistance_ohm is not None and unit.input_kind in {"ma_4_20", "ma_0_20"}:
        volts = volts_across(20, unit.input_resistance_ohm)
        yield Figure(label="across the input at 20 mA", value=f"{volts:.3g} V", basis="I x R; Ohm's law")


def write_stroke(unit: UnitRecord) -> Iterator[Figure]:
    """Give the stroke time and how often it may stroke."""
    time = "" if unit.stroke_time_s is None else f"{unit.stroke_time_s:g} s, each way within 10 %"
    yield Figure(label="stroke time", value=time, basis=f"plate; 10 % {PRACTICE}")
    cycles = ""
    if unit.rated_duty_percent is not None and unit.stroke_time_s is not None:
        cycles = f"{cycles_per_hour(unit.rated_duty_percent, unit.stroke_time_s):.3g} an hour"
    yield Figure(
        label="full cycles allowed", value=cycles, basis="duty factor x 3600 / (2 x stroke time); IEC 60034-1"
    )
    starts = "" if unit.rated_starts_per_hour is None else f"{unit.rated_starts_per_hour:g} an hour"
    yield Figure(label="starts allowed", value=starts, basis="plate")
