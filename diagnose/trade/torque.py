"""Torque: margin of the actuator over the valve, its setting, its flange, and what low voltage leaves of it.

Takes numbers, gives numbers and words; imports the guards and the kinds of motor.
"""

from __future__ import annotations

import math
from typing import Literal

from diagnose.trade.guards import ensure_positive, ensure_within
from diagnose.trade.supply import MotorKind

NM_PER_LBF_FT = 1.3558179483314004  # exact: 4.4482216152605 N times 0.3048 m
NM_PER_LBF_IN = NM_PER_LBF_FT / 12
# Usual margin of an actuator over the greatest torque of its valve; common practice, no source.
USUAL_MARGIN = (1.25, 1.5)
# Highest torque of a flange in Nm: ISO 5211 table 1, from memory, unverified; less sure above F25.
FLANGE_NM = {
    "F03": 32.0,
    "F04": 63.0,
    "F05": 125.0,
    "F07": 250.0,
    "F10": 500.0,
    "F12": 1_000.0,
    "F14": 2_000.0,
    "F16": 4_000.0,
    "F25": 8_000.0,
    "F30": 16_000.0,
    "F35": 32_000.0,
    "F40": 63_000.0,
    "F48": 125_000.0,
    "F60": 250_000.0,
}

Verdict = Literal["cannot work", "doubtful", "usual", "more than usual"]


def torque_margin(available: float, needed: float) -> float:
    """Give the margin: available / needed.

    Args:
        available: Torque of the actuator in N.m, above 0.
        needed: Greatest torque of the healthy valve in N.m, above 0.

    Returns:
        A ratio; below 1 it cannot work.

    Raises:
        ValueError: A torque is not above zero.

    References:
        Definition; 1.25 to 1.5 is usual (common practice, no source).

    >>> torque_margin(100, 80)
    1.25
    """
    ensure_positive("torque of the actuator", available, "Nm")
    ensure_positive("torque of the valve", needed, "Nm")
    return available / needed


def judge_margin(margin: float) -> Verdict:
    """Give the word for a margin: below 1 cannot work, below 1.25 doubtful, to 1.5 usual.

    Args:
        margin: Torque of the actuator over torque of the valve, above 0.

    Returns:
        One of four words.

    Raises:
        ValueError: The margin is not above zero.

    References:
        Below 1 by definition; the other two bounds are common practice, no source.

    >>> [judge_margin(margin) for margin in (0.97, 1.0, 1.25, 1.6)]
    ['cannot work', 'doubtful', 'usual', 'more than usual']
    """
    ensure_positive("margin", margin, "")
    low, high = USUAL_MARGIN
    if margin < 1:
        return "cannot work"
    if margin < low:
        return "doubtful"
    return "usual" if margin <= high else "more than usual"


def lowest_voltage_share(needed: float, rated: float, motor: MotorKind = "induction") -> float:
    """Give the share of the nominal voltage that just moves the valve: sqrt(needed / rated), with magnets the ratio.

    Args:
        needed: Greatest torque of the healthy valve in N.m, 0 or more.
        rated: Torque of the actuator at nominal voltage in N.m, above 0.
        motor: Induction motor, or permanent-magnet d.c. motor.

    Returns:
        A share of the nominal voltage; above 1 it does not move at the nominal one either.

    Raises:
        ValueError: A torque is out of its range.

    References:
        The inverse of `supply.torque_share` at nominal frequency (derived).

    >>> round(lowest_voltage_share(80, 100), 4), lowest_voltage_share(80, 100, "permanent_magnet_dc")
    (0.8944, 0.8)
    """
    ensure_within("torque of the valve", needed, "Nm", 0)
    ensure_positive("rated torque", rated, "Nm")
    share = needed / rated
    return share if motor == "permanent_magnet_dc" else math.sqrt(share)


def setting_limits(
    valve: float, actuator: float, stem: float, bracket: float
) -> tuple[float, float, Literal["actuator", "stem", "bracket"]]:
    """Give the window of a torque setting: above the valve, below the least of actuator, stem and bracket.

    Args:
        valve: Greatest torque of the healthy valve in N.m, above 0.
        actuator: Rating of the actuator in N.m, above 0.
        stem: Highest torque of the valve's stem in N.m, above 0.
        bracket: Highest torque of bracket, coupling and flange in N.m, above 0.

    Returns:
        Lower limit and upper limit in N.m, and which part sets the upper one.

    Raises:
        ValueError: A torque is not above zero, or there is no window.

    References:
        Common practice, no source.

    >>> setting_limits(80, 120, 110, 250)
    (80, 110, 'stem')
    """
    ensure_positive("torque of the valve", valve, "Nm")
    parts: dict[Literal["actuator", "stem", "bracket"], float]
    parts = {"actuator": actuator, "stem": stem, "bracket": bracket}
    for name, value in parts.items():
        ensure_positive(f"limit of the {name}", value, "Nm")
    least = min(parts, key=lambda name: parts[name])
    if parts[least] <= valve:
        told = f"the {least} allows {parts[least]:g} Nm, the valve needs {valve:g} Nm"
        raise ValueError(f"no setting fits: {told}")
    return valve, parts[least], least


def choose_flange(torque: float) -> tuple[str, float]:
    """Choose the smallest flange that carries a torque.

    Args:
        torque: N.m, above 0 and at most 250 000.

    Returns:
        The flange and its highest torque in N.m.

    Raises:
        ValueError: No torque above zero, or more than the largest flange carries.

    References:
        ISO 5211 table 1, from memory, unverified.

    >>> choose_flange(251)
    ('F10', 500.0)
    """
    ensure_positive("torque", torque, "Nm")
    ensure_within("torque", torque, "Nm", 0, max(FLANGE_NM.values()))
    return min(((name, limit) for name, limit in FLANGE_NM.items() if limit >= torque), key=lambda f: f[1])


def torque_in_pounds(torque: float) -> tuple[float, float]:
    """Give a torque in the two units of the inch system: torque / 1.3558179483314 and twelve times that.

    Args:
        torque: N.m.

    Returns:
        Pound-force feet and pound-force inches.

    Raises:
        ValueError: Not a finite number.

    References:
        NIST SP 811 appendix B: 1 lbf = 4.4482216152605 N, 1 in = 0.0254 m (exact).

    >>> [round(value, 3) for value in torque_in_pounds(67.79089741657)]
    [50.0, 600.0]
    """
    ensure_within("torque", torque, "Nm", float("-inf"))
    return torque / NM_PER_LBF_FT, torque / NM_PER_LBF_IN
