"""Entries of the catalogue: torque, its margin, its setting and the flange.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.supply import MotorKind, torque_share
from diagnose.trade.torque import (
    choose_flange,
    judge_margin,
    lowest_voltage_share,
    setting_limits,
    torque_in_pounds,
    torque_margin,
)

_HIGHEST = 250_000
_NEEDED = Input(
    "needed", "greatest torque of the healthy valve at its real pressure", "Nm", 1, _HIGHEST, "80 Nm"
)
_RATED = Input("rated", "torque of the actuator at nominal voltage", "Nm", 1, _HIGHEST, "100 Nm")
_NOMINAL = Input("nominal", "nominal voltage of the motor", "V", 1, 1000, "230 V")
_MOTOR = Input(
    "motor",
    "induction for an a.c. motor, permanent magnet dc for a d.c. one",
    example="induction",
    default="induction",
    choices=("induction", "permanent_magnet_dc"),
)
_MARGIN = (Result("margin", "actuator over valve"), Result("verdict", "verdict"))
_VERDICT = "below 1 it cannot work, below 1.25 it is doubtful, to 1.5 usual"
_BOUNDS = "the bounds 1.25 and 1.5 common practice, no source"
_TORQUE_LAW = "NEMA MG 1-12.44 (induction); circuit theory (permanent magnets, at standstill)"


def _margin(available: float, needed: float) -> tuple[float, str]:
    margin = torque_margin(available, needed)
    return margin, judge_margin(margin)


def _at_voltage(
    rated: float, needed: float, voltage: float, nominal: float, motor: MotorKind
) -> tuple[float, float, str]:
    left = rated * torque_share(motor, voltage / nominal)
    return left, *_margin(left, needed)


def _lowest_voltage(needed: float, rated: float, nominal: float, motor: MotorKind) -> tuple[float, float]:
    share = lowest_voltage_share(needed, rated, motor)
    return share * 100, share * nominal


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "torque-margin",
        "Margin of the actuator over the valve",
        "Is the actuator strong enough for this valve?",
        (Input("available", "torque of the actuator", "Nm", 1, _HIGHEST, "100 Nm"), _NEEDED),
        _margin,
        ("margin = available / needed", _VERDICT),
        _MARGIN,
        "torque of the valve at its real pressure drop, not of the valve on a bench",
        f"definition; {_BOUNDS}",
        Standing.DERIVED,
    ),
    Calculation(
        "margin-at-voltage",
        "Margin left at a voltage",
        "Does the valve still move at the voltage read under load?",
        (
            _RATED,
            _NEEDED,
            Input("voltage", "voltage at the motor under load", "V", 1, 1000, "207 V"),
            _NOMINAL,
            _MOTOR,
        ),
        _at_voltage,
        (
            "induction: left = rated * (voltage / nominal) ** 2",
            "permanent_magnet_dc: left = rated * voltage / nominal",
            "margin = left / needed",
            _VERDICT,
        ),
        (Result("left", "torque left", "Nm"), *_MARGIN),
        "nominal frequency; voltage read while the motor pulls, not at rest",
        f"{_TORQUE_LAW}; {_BOUNDS}",
        Standing.REPRODUCED,
    ),
    Calculation(
        "lowest-voltage",
        "Lowest voltage that moves the valve",
        "Below which voltage under load does the valve stop?",
        (_NEEDED, _RATED, _NOMINAL, _MOTOR),
        _lowest_voltage,
        (
            "induction: share = sqrt(needed / rated) * 100",
            "permanent_magnet_dc: share = needed / rated * 100",
            "lowest = share / 100 * nominal",
        ),
        (
            Result("share", "share of the nominal voltage; above 100 % it never moves", "%"),
            Result("lowest", "lowest voltage under load", "V"),
        ),
        "nominal frequency",
        f"derived from {_TORQUE_LAW}",
        Standing.DERIVED,
    ),
    Calculation(
        "torque-setting",
        "Window of a torque setting",
        "Between which torques may the torque switch be set?",
        (
            Input("valve", "greatest torque of the healthy valve", "Nm", 1, _HIGHEST, "80 Nm"),
            Input("actuator", "rating of the actuator", "Nm", 1, _HIGHEST, "120 Nm"),
            Input("stem", "highest torque of the valve's stem", "Nm", 1, _HIGHEST, "110 Nm"),
            Input("bracket", "highest torque of bracket, coupling and flange", "Nm", 1, _HIGHEST, "250 Nm"),
        ),
        setting_limits,
        ("low = valve", "high = min(actuator, stem, bracket)"),
        (
            Result("low", "set above", "Nm"),
            Result("high", "set below", "Nm"),
            Result("part", "what sets the upper limit"),
        ),
        "raise a setting only after the valve is measured healthy and the switch is proved",
        "common practice, no source",
        Standing.PRACTICE,
    ),
    Calculation(
        "flange",
        "Flange for a torque",
        "Which is the smallest flange that carries this torque?",
        (Input("torque", "greatest torque at the flange", "Nm", 1, _HIGHEST, "251 Nm"),),
        choose_flange,
        ("the smallest flange whose torque is not exceeded",),
        (Result("flange", "flange"), Result("limit", "its highest torque", "Nm")),
        "compare with the standard before relying on it; above F25 the figures are less sure",
        "ISO 5211 table 1, from memory, unverified",
        Standing.MEMORY,
    ),
    Calculation(
        "torque-units",
        "A torque in the units of the inch system",
        "How much is this torque in pound-force feet and inches?",
        (Input("torque", "torque", "Nm", 0, _HIGHEST, "100 Nm"),),
        torque_in_pounds,
        ("feet = torque / 1.3558179483314004", "inches = feet * 12"),
        (Result("feet", "torque", "lbf ft"), Result("inches", "torque", "lbf in")),
        "pounds are a force here: say lbf ft, not ft-lb",
        "NIST SP 811 appendix B (1 lbf = 4.4482216152605 N, 1 in = 0.0254 m)",
        Standing.DERIVED,
    ),
)
