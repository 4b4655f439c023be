"""Entries of the catalogue: cables, voltage drop and supply.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.cable import STRANDS, WARM
from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.conductors import (
    Strands,
    conductor_resistance,
    gauge_area,
    gauge_diameter,
)
from diagnose.trade.supply import (
    MotorKind,
    SupplyKind,
    cable_drop,
    longest_cable,
    stroke_time_at_frequency,
    supply_deviation,
    supply_verdict,
    torque_share,
    voltage_at_impedance,
)

_SUPPLY = Input(
    "supply", "kind of supply", example="single_phase", choices=("dc", "single_phase", "three_phase")
)
_VOLTAGE = Input("voltage", "nominal voltage, between lines for three phases", "V", 1, 750, "230 V")
_CURRENT = Input("current", "starting current for no start, running for slow", "A", 0.001, 100, "1.2 A")
_LENGTH = Input("length", "length of the cable, one way", "m", 0, 5000, "120 m")
_SIZE = Input("size", "cross-section of a core, or its gauge as 18 AWG", "mm2", 0.05, 400, "1.5 mm2")
_FACTOR = Input("power_factor", "power factor of the load, 1 for dc", "", 0.1, 1, "1", 1.0)
_REACTANCE = Input(
    "reactance", "reactance of a core; counts above 16 mm2, usual 0.08", "ohm/km", 0, 1, "0 ohm/km", 0.0
)
_CORE = Result("resistance", "one core", "ohm/km")
_TABLE = "IEC 60228 (listed sizes); IEC 60028 (1/58 ohm mm2/m, any other size)"
_DROP = "current * length / 1000 * (resistance * power_factor + reactance * sqrt(1 - power_factor ** 2))"
_LISTED = (
    "listed sizes are the highest allowed at 20 degC; other sizes are solid copper, stranded about 2 % more"
)


def _gauge(gauge: float, temperature: float) -> tuple[float, float, float]:
    number = round(gauge)
    area = gauge_area(number)
    return gauge_diameter(number), area, conductor_resistance(area, temperature=temperature)


def _tolerance(
    voltage: float, nominal: float, frequency: float, nominal_frequency: float
) -> tuple[float, float, str]:
    off, drift = supply_deviation(voltage, nominal), supply_deviation(frequency, nominal_frequency)
    return off, drift, supply_verdict(off, drift)


def _torque(
    motor: MotorKind, voltage: float, nominal: float, frequency: float, nominal_frequency: float
) -> float:
    return torque_share(motor, voltage / nominal, frequency / nominal_frequency) * 100


def _core(size: float, strands: Strands, temperature: float, length: float) -> tuple[float, float]:
    core = conductor_resistance(size, strands, temperature)
    return core, 2 * core * length / 1000


def _longest(
    *,
    supply: SupplyKind,
    voltage: float,
    current: float,
    size: float,
    allowed: float,
    strands: Strands,
    temperature: float,
    power_factor: float,
) -> tuple[float, float]:
    core = conductor_resistance(size, strands, temperature)
    length = longest_cable(
        supply=supply,
        voltage=voltage,
        current=current,
        resistance=core,
        allowed=allowed,
        power_factor=power_factor,
    )
    return core, length


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "wire-gauge",
        "Wire gauge in mm2",
        "What size and resistance has a solid wire of this gauge?",
        (
            Input("gauge", "wire gauge (AWG); 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3", "", -3, 40, "14"),
            WARM,
        ),
        _gauge,
        (
            "diameter = 0.127 * 92 ** ((36 - gauge) / 39)",
            "area = pi / 4 * diameter ** 2",
            "resistance = 1000 / 58 / area * (1 + 0.00393 * (temperature - 20))",
        ),
        (Result("diameter", "diameter", "mm"), Result("area", "cross-section", "mm2"), _CORE),
        "whole gauges; solid annealed copper, stranded reads about 2 % more",
        "ASTM B258; IEC 60028 (its coefficient 0.00393 from memory, unverified)",
        Standing.REPRODUCED,
    ),
    Calculation(
        "conductor-resistance",
        "Resistance of a copper core",
        "What does this core measure, and both cores in series?",
        (_SIZE, _LENGTH, STRANDS, WARM),
        _core,
        ("resistance by size from the table, else 1000 / 58 / size", "loop = 2 * resistance * length / 1000"),
        (_CORE, Result("loop", "out and back", "ohm")),
        _LISTED,
        f"{_TABLE}; temperature coefficient 0.00393 from memory, unverified",
        Standing.REPRODUCED,
    ),
    Calculation(
        "cable-drop",
        "Voltage lost in a cable",
        "What reaches the motor through this cable, and how much torque is left?",
        (_SUPPLY, _VOLTAGE, _CURRENT, _LENGTH, _SIZE, STRANDS, WARM, _FACTOR, _REACTANCE),
        cable_drop,
        (
            "dc: drop = 2 * current * length / 1000 * resistance",
            f"single_phase: drop = 2 * {_DROP}",
            f"three_phase: drop = sqrt(3) * {_DROP}",
            "share = drop / voltage * 100",
            "at_load = voltage - drop",
            "dc: torque = at_load / voltage * 100",
            "single_phase: torque = (at_load / voltage) ** 2 * 100",
            "three_phase: torque = (at_load / voltage) ** 2 * 100",
        ),
        (
            _CORE,
            Result("drop", "lost in the cable", "V"),
            Result("share", "lost, of nominal", "%"),
            Result("at_load", "at the motor", "V"),
            Result("torque", "torque left (dc: permanent magnets)", "%"),
        ),
        f"constant current, a little too many volts; {_LISTED}",
        f"circuit theory; {_TABLE}; torque NEMA MG 1-12.44",
        Standing.REPRODUCED,
    ),
    Calculation(
        "longest-cable",
        "Longest cable for a drop",
        "How long may this cable be?",
        (
            _SUPPLY,
            _VOLTAGE,
            _CURRENT,
            _SIZE,
            Input("allowed", "drop allowed, of nominal", "%", 0.1, 50, "5 %", 5.0),
            STRANDS,
            WARM,
            _FACTOR,
        ),
        _longest,
        (
            "dc: length = allowed / 100 * voltage / (2 * current * resistance / 1000)",
            "single_phase: length = allowed / 100 * voltage / (2 * current * resistance * power_factor / 1000)",
            "three_phase: length = allowed / 100 * voltage / (sqrt(3) * current * resistance * power_factor / 1000)",
        ),
        (_CORE, Result("length", "longest cable, one way", "m")),
        f"reactance left out; {_LISTED}",
        f"circuit theory; {_TABLE}; 5 % after IEC 60204-1 from memory, unverified",
        Standing.DERIVED,
    ),
    Calculation(
        "voltage-at-load",
        "Voltage at a load of constant resistance",
        "What voltage is left at a lamp, coil or heater behind this line?",
        (
            _VOLTAGE,
            Input("load", "resistance of the load", "ohm", 0.01, 1000000, "48 ohm"),
            Input("line", "resistance of the line, out and back", "ohm", 0, 100000, "2 ohm"),
        ),
        voltage_at_impedance,
        ("at_load = voltage * load / (load + line)",),
        (Result("at_load", "at the load", "V"),),
        "load and line in phase",
        "voltage divider",
        Standing.DERIVED,
    ),
    Calculation(
        "supply-tolerance",
        "Supply under load against its tolerance",
        "May the motor run at this supply?",
        (
            Input("voltage", "lowest voltage at the terminals under load", "V", 0, 750, "200 V"),
            Input("nominal", "voltage of the plate", "V", 1, 750, "230 V"),
            Input("frequency", "frequency as measured", "Hz", 1, 400, "50 Hz", 50.0),
            Input("nominal_frequency", "frequency of the plate", "Hz", 1, 400, "50 Hz", 50.0),
        ),
        _tolerance,
        (
            "off = (voltage - nominal) / nominal * 100",
            "drift = (frequency - nominal_frequency) / nominal_frequency * 100",
            "limits 10 % of voltage, 5 % of frequency, 10 % together",
        ),
        (
            Result("off", "voltage off", "%"),
            Result("drift", "frequency off", "%"),
            Result("verdict", "verdict"),
        ),
        "measured at the terminals while it starts or runs, not at rest",
        "NEMA MG 1-12.44.1; the voltage alone also IEC 60038",
        Standing.REPRODUCED,
    ),
    Calculation(
        "torque-left",
        "Torque at another voltage and frequency",
        "How much torque is left at this supply?",
        (
            Input(
                "motor",
                "kind of motor",
                example="induction",
                default="induction",
                choices=("induction", "permanent_magnet_dc"),
            ),
            Input("voltage", "voltage at the motor under load", "V", 0, 750, "207 V"),
            Input("nominal", "voltage of the plate", "V", 1, 750, "230 V"),
            Input("frequency", "frequency as measured", "Hz", 1, 400, "50 Hz", 50.0),
            Input("nominal_frequency", "frequency of the plate", "Hz", 1, 400, "50 Hz", 50.0),
        ),
        _torque,
        (
            "induction: torque = (voltage / nominal / (frequency / nominal_frequency)) ** 2 * 100",
            "permanent_magnet_dc: torque = voltage / nominal * 100",
        ),
        (Result("torque", "torque left, of that at nominal supply", "%"),),
        "at the same speed; dc at stall",
        "NEMA MG 1-12.44; dc derived",
        Standing.REPRODUCED,
    ),
    Calculation(
        "stroke-time-at-frequency",
        "Stroke time at another frequency",
        "How long does a stroke take at this frequency?",
        (
            Input("stroke_time", "stroke time at nominal frequency", "s", 1, 600, "15 s"),
            Input("nominal", "frequency of the plate", "Hz", 1, 400, "60 Hz"),
            Input("frequency", "frequency as measured", "Hz", 1, 400, "50 Hz"),
        ),
        stroke_time_at_frequency,
        ("time = stroke_time * nominal / frequency",),
        (Result("time", "stroke time", "s"),),
        "induction motor, slip left out",
        "definition of synchronous speed",
        Standing.DERIVED,
    ),
)
