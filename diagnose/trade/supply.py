"""The supply: voltage lost in the cable, what reaches the motor, and what that does to torque and speed.

Takes numbers, gives numbers; may import conductors and guards. Cable lengths are ONE WAY.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from diagnose.trade.conductors import Strands, conductor_resistance
from diagnose.trade.guards import ensure_positive, ensure_within

SupplyKind = Literal["dc", "single_phase", "three_phase"]
MotorKind = Literal["induction", "permanent_magnet_dc"]

# Reactance of a core where it is not known; it counts above 16 mm2 only. IEC 60364-5-52 annex, from memory, unverified.
USUAL_REACTANCE = 0.08
VOLTAGE_TOLERANCE = 10.0  # per cent: IEC 60038; NEMA MG 1-12.44.1
FREQUENCY_TOLERANCE = 5.0  # per cent: NEMA MG 1-12.44.1


class CableDrop(NamedTuple):
    """What a cable does to a load: ohm/km, V, per cent of nominal, V, per cent of rated torque."""

    resistance: float
    drop: float
    drop_share: float
    at_load: float
    torque_left: float


def voltage_drop(
    kind: SupplyKind,
    current: float,
    length: float,
    resistance: float,
    *,
    power_factor: float = 1.0,
    reactance: float = 0.0,
) -> float:
    """Give the voltage lost in a cable: k * I * L / 1000 * (R * cos + X * sin), k = 2, or sqrt(3) for three phases.

    Args:
        kind: "dc", "single_phase" or "three_phase" (then line to line).
        current: A, 0 or more; the starting current for "does not start", the running current for "slow".
        length: One way, in m, 0 or more.
        resistance: Of one core, ohm per km.
        power_factor: 0 to 1; 1 for dc.
        reactance: Of one core, ohm per km; 0 for dc.

    Returns:
        Volts; a little too many, since the current is held constant.

    Raises:
        ValueError: A number below 0, a power factor above 1, or dc with one below 1.

    References:
        Circuit theory.

    >>> round(voltage_drop("single_phase", 1.2, 150, 12.1), 3)
    4.356
    """
    ensure_within("current", current, "A", 0)
    ensure_within("length", length, "m", 0)
    ensure_within("resistance", resistance, "ohm/km", 0)
    ensure_within("power factor", power_factor, "", 0, 1)
    if kind == "dc" and power_factor != 1:
        raise ValueError("direct current has no power factor; leave it at 1")
    ways = math.sqrt(3) if kind == "three_phase" else 2.0
    sine = math.sqrt(1 - power_factor**2)
    return ways * current * length / 1000 * (resistance * power_factor + reactance * sine)


def torque_share(motor: MotorKind, voltage_ratio: float, frequency_ratio: float = 1.0) -> float:
    """Give the torque left at another supply: (V ratio / f ratio)^2; for a permanent-magnet dc motor V ratio.

    Args:
        motor: "induction" or "permanent_magnet_dc".
        voltage_ratio: Voltage over nominal voltage, 0 or more.
        frequency_ratio: Frequency over nominal frequency, above 0; no matter for dc.

    Returns:
        Share of the torque at nominal supply.

    Raises:
        ValueError: The frequency ratio is not above 0, or the voltage ratio is below 0.

    References:
        NEMA MG 1-12.44 (seen in a reproduction); dc: stall torque goes with current, derived.

    >>> round(torque_share("induction", 0.9), 4)
    0.81
    """
    ensure_within("ratio of voltages", voltage_ratio, "", 0)
    ensure_positive("ratio of frequencies", frequency_ratio, "")
    if motor == "permanent_magnet_dc":
        return voltage_ratio
    return (voltage_ratio / frequency_ratio) ** 2


def cable_drop(
    *,
    supply: SupplyKind,
    voltage: float,
    current: float,
    length: float,
    size: float,
    strands: Strands = "fixed",
    temperature: float = 20.0,
    power_factor: float = 1.0,
    reactance: float = 0.0,
) -> CableDrop:
    """Give what a cable leaves of the supply, and of the motor's torque.

    Args:
        supply: "dc" (a permanent-magnet motor is taken), "single_phase" or "three_phase".
        voltage: Nominal, at the supply end, in V, above 0.
        current: A.
        length: One way, in m.
        size: Cross-section of a core in mm2.
        strands: "fixed" or "flexible".
        temperature: Of the core, degC.
        power_factor: 0 to 1.
        reactance: Of one core, ohm per km.

    Returns:
        Resistance of a core, drop, drop in per cent, voltage at the load, torque left in per cent.

    Raises:
        ValueError: The drop is larger than the voltage, or an input as for `voltage_drop`.

    References:
        IEC 60228 for the core; circuit theory; NEMA MG 1-12.44 for the torque.

    >>> [round(part, 3) for part in cable_drop(
    ...     supply="dc", voltage=24, current=5, length=40, size=1.5
    ... )]
    [12.1, 4.84, 20.167, 19.16, 79.833]
    """
    ensure_positive("voltage", voltage, "V")
    resistance = conductor_resistance(size, strands, temperature)
    drop = voltage_drop(supply, current, length, resistance, power_factor=power_factor, reactance=reactance)
    if drop >= voltage:
        raise ValueError(f"the drop of {drop:.5g} V uses up the {voltage:g} V: no such current can flow here")
    at_load = voltage - drop
    motor: MotorKind = "permanent_magnet_dc" if supply == "dc" else "induction"
    left = torque_share(motor, at_load / voltage) * 100
    return CableDrop(resistance, drop, drop / voltage * 100, at_load, left)


def voltage_at_impedance(voltage: float, load: float, line: float) -> float:
    """Give the voltage at a load of constant impedance: V * load / (load + line).

    Args:
        voltage: At the supply end, V.
        load: Impedance of the load in ohm, above 0.
        line: Resistance of the line both ways in ohm, 0 or more.

    Returns:
        Volts.

    Raises:
        ValueError: The load is not above 0, or the line below 0.

    References:
        Voltage divider; line and load are added as if in phase.

    >>> voltage_at_impedance(24, 4.8, 1.2)
    19.2
    """
    ensure_within("voltage", voltage, "V", 0)
    ensure_positive("load", load, "ohm")
    ensure_within("line", line, "ohm", 0)
    return voltage * load / (load + line)


def longest_cable(
    *,
    supply: SupplyKind,
    voltage: float,
    current: float,
    resistance: float,
    allowed: float = 5.0,
    power_factor: float = 1.0,
) -> float:
    """Give the longest cable within an allowed drop: allowed / 100 * V / drop of one metre.

    Args:
        supply: "dc", "single_phase" or "three_phase".
        voltage: Nominal, V.
        current: A, above 0.
        resistance: Of one core, ohm per km.
        allowed: Allowed drop in per cent of nominal.
        power_factor: Above 0 to 1.

    Returns:
        Metres, one way.

    Raises:
        ValueError: Current, resistance or power factor is 0, or an input as for `voltage_drop`.

    References:
        The drop turned round; 5 % as a limit is from memory, unverified (IEC 60204-1).

    >>> round(longest_cable(supply="dc", voltage=24, current=5, resistance=12.1, allowed=10), 2)
    19.83
    """
    ensure_positive("allowed drop", allowed, "%")
    per_metre = voltage_drop(supply, current, 1.0, resistance, power_factor=power_factor)
    ensure_positive("drop of one metre", per_metre, "V")
    return allowed / 100 * voltage / per_metre


def supply_deviation(measured: float, nominal: float) -> float:
    """Give how far a supply is off: (measured - nominal) / nominal * 100.

    Args:
        measured: V or Hz, under load.
        nominal: The same unit, above 0.

    Returns:
        Per cent of nominal, below 0 when low.

    Raises:
        ValueError: The nominal value is not above 0.

    References:
        Definition.

    >>> round(supply_deviation(200, 230), 2)
    -13.04
    """
    ensure_positive("nominal value", nominal, "")
    return (measured - nominal) / nominal * 100


def supply_verdict(voltage_deviation: float, frequency_deviation: float = 0.0) -> str:
    """Say whether a motor may run at a supply: 10 % of voltage, 5 % of frequency, 10 % both together.

    Args:
        voltage_deviation: Per cent of nominal.
        frequency_deviation: Per cent of nominal.

    Returns:
        "within tolerance", "voltage below tolerance", "voltage above tolerance",
        "frequency outside tolerance" or "together outside tolerance".

    References:
        NEMA MG 1-12.44.1 (seen in a reproduction).

    >>> supply_verdict(-13.04), supply_verdict(-6, 4.5)
    ('voltage below tolerance', 'together outside tolerance')
    """
    if abs(voltage_deviation) > VOLTAGE_TOLERANCE:
        return f"voltage {'below' if voltage_deviation < 0 else 'above'} tolerance"
    if abs(frequency_deviation) > FREQUENCY_TOLERANCE:
        return "frequency outside tolerance"
    if abs(voltage_deviation) + abs(frequency_deviation) > VOLTAGE_TOLERANCE:
        return "together outside tolerance"
    return "within tolerance"


def stroke_time_at_frequency(stroke_time: float, nominal: float, frequency: float) -> float:
    """Give the stroke time at another frequency: time * nominal / frequency.

    Args:
        stroke_time: At nominal frequency, s.
        nominal: Hz.
        frequency: Hz, above 0.

    Returns:
        Seconds.

    Raises:
        ValueError: The frequency is not above 0.

    References:
        The speed of an induction motor follows the frequency (derived; slip left out).

    >>> stroke_time_at_frequency(15, 60, 50)
    18.0
    """
    ensure_positive("frequency", frequency, "Hz")
    return stroke_time * nominal / frequency
