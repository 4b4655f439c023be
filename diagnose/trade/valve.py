"""The valve: flow coefficients, flow at a travel, choking, and the torque that pressure drop adds.

Takes numbers, gives numbers; imports the guards. Liquids, fully turbulent; pressures in bar.
"""

from __future__ import annotations

import math
from typing import Literal

from diagnose.trade.guards import ensure_positive, ensure_within

# Kv is the flow in m3/h at 1 bar, Cv the flow in US gallons a minute at 1 lbf/in2, of the same water.
_GALLON_M3 = 231 * 0.0254**3
_PSI_BAR = 4.4482216152605 / 0.0254**2 / 1e5
CV_PER_KV = math.sqrt(_PSI_BAR) / 60 / _GALLON_M3
# Density of water at 15 degC that flow coefficients refer to, kg/l; IEC 60534-2-1 (seen in a reproduction).
REFERENCE_DENSITY = 0.9991
# Ratio of greatest to least controllable flow where nobody knows it; common practice, no source.
USUAL_RANGEABILITY = 50.0

Characteristic = Literal["linear", "equal_percentage"]


def cv_of_kv(kv: float) -> float:
    """Give the flow coefficient Cv of a Kv: 1.1561 * kv.

    Args:
        kv: m3/h at 1 bar, 0 or more.

    Returns:
        US gallons a minute at 1 lbf/in2.

    Raises:
        ValueError: Below zero or not finite.

    References:
        Definition of both; 1 gal = 231 in3, 1 lbf = 4.4482216152605 N (NIST SP 811 appendix B).

    >>> round(cv_of_kv(2), 6)
    2.312198
    """
    ensure_within("Kv", kv, "m3/h", 0)
    return kv * CV_PER_KV


def kv_of_cv(cv: float) -> float:
    """Give the flow coefficient Kv of a Cv: 0.865 * cv.

    Args:
        cv: US gallons a minute at 1 lbf/in2, 0 or more.

    Returns:
        m3/h at 1 bar.

    Raises:
        ValueError: Below zero or not finite.

    References:
        The inverse of `cv_of_kv`.

    >>> round(kv_of_cv(100), 3)
    86.498
    """
    ensure_within("Cv", cv, "", 0)
    return cv / CV_PER_KV


def flow_through(kv: float, drop: float, density: float = REFERENCE_DENSITY) -> float:
    """Give the flow of a liquid: kv * sqrt(drop / (density / 0.9991)).

    Args:
        kv: Flow coefficient at the present travel, m3/h, 0 or more.
        drop: Pressure drop over the valve in bar, 0 or more, below the choking one.
        density: kg/l, above 0.

    Returns:
        m3/h.

    Raises:
        ValueError: A value is out of its range.

    References:
        Definition of Kv and square law; IEC 60534-2-1, turbulent, no fittings (seen in a reproduction).

    >>> round(flow_through(100, 0.25), 3)
    50.0
    """
    ensure_within("Kv", kv, "m3/h", 0)
    ensure_within("pressure drop", drop, "bar", 0)
    ensure_positive("density", density, "kg/l")
    return kv * math.sqrt(drop * REFERENCE_DENSITY / density)


def needed_kv(flow: float, drop: float, density: float = REFERENCE_DENSITY) -> float:
    """Give the flow coefficient that passes a flow: flow / sqrt(drop / (density / 0.9991)).

    Args:
        flow: m3/h, 0 or more.
        drop: Pressure drop over the valve in bar, above 0; where it chokes, the choking one.
        density: kg/l, above 0.

    Returns:
        Kv in m3/h.

    Raises:
        ValueError: A value is out of its range.

    References:
        The inverse of `flow_through`.

    >>> round(needed_kv(360, 4.6, 0.9654), 1)
    165.0
    """
    ensure_within("flow", flow, "m3/h", 0)
    ensure_positive("pressure drop", drop, "bar")
    return flow / flow_through(1.0, drop, density)


def choking_drop(inlet: float, vapour: float, critical: float, recovery: float) -> float:
    """Give the drop above which more drop passes no more: FL^2 * (P1 - FF * Pv), FF = 0.96 - 0.28 sqrt(Pv / Pc).

    Args:
        inlet: Absolute pressure before the valve in bar, above `vapour`.
        vapour: Vapour pressure at inlet temperature in bar, 0 or more.
        critical: Critical pressure of the liquid in bar, above 0.
        recovery: Pressure recovery factor FL of the valve at its travel, above 0, at most 1.

    Returns:
        bar.

    Raises:
        ValueError: A value is out of its range.

    References:
        IEC 60534-2-1, no fittings (seen in a reproduction).

    >>> round(choking_drop(6.8, 0.701, 221.2, 0.6), 4)
    2.2097
    """
    ensure_positive("recovery factor", recovery, "")
    ensure_within("recovery factor", recovery, "", 0, 1)
    ensure_positive("critical pressure", critical, "bar")
    ensure_positive("inlet pressure", inlet, "bar")
    ensure_within("vapour pressure", vapour, "bar", 0, min(inlet, critical))
    return recovery**2 * (inlet - (0.96 - 0.28 * math.sqrt(vapour / critical)) * vapour)


def opening_share(
    travel: float, characteristic: Characteristic, rangeability: float = USUAL_RANGEABILITY
) -> float:
    """Give the share of the full Kv at a travel: travel / 100, or R^(travel / 100 - 1) for equal percentage.

    Args:
        travel: Per cent open, 0 to 100.
        characteristic: Linear or equal percentage, as the valve's own data say.
        rangeability: R, greatest over least controllable flow, above 1.

    Returns:
        A share from 0 to 1; equal percentage gives 1 / R at 0 %, where a real valve shuts.

    Raises:
        ValueError: A value is out of its range.

    References:
        Definition of the two inherent characteristics; a rangeability of 50 is common practice, no source.

    >>> opening_share(50, "linear"), round(opening_share(50, "equal_percentage"), 4)
    (0.5, 0.1414)
    """
    ensure_within("travel", travel, "%", 0, 100)
    if characteristic == "linear":
        return travel / 100
    if not 1 < rangeability < math.inf:
        raise ValueError(f"rangeability must be above 1, not {rangeability:g}")
    return float(rangeability ** (travel / 100 - 1))


def installed_share(opening: float, authority: float) -> float:
    """Give the share of the full flow in its pipe: opening / sqrt((1 - N) * opening^2 + N).

    Args:
        opening: Share of the full Kv, 0 to 1.
        authority: N, drop over the open valve as a share of the drop over valve and pipe, above 0, at most 1.

    Returns:
        A share from 0 to 1.

    Raises:
        ValueError: A value is out of its range.

    References:
        Derived: square law for valve and pipe in series, constant drop over both.

    >>> round(installed_share(0.5, 0.3), 4), installed_share(0.5, 1.0)
    (0.7255, 0.5)
    """
    ensure_within("opening", opening, "", 0, 1)
    ensure_positive("authority", authority, "")
    ensure_within("authority", authority, "", 0, 1)
    return opening / math.sqrt((1 - authority) * opening**2 + authority)


def torque_per_bar(still: float, torque: float, drop: float) -> float:
    """Give how fast the torque rises with the drop: (torque - still) / drop.

    Args:
        still: Torque without pressure (packing above all) in N.m, 0 or more.
        torque: Torque at `drop` in N.m, at least `still`.
        drop: Pressure drop in bar, above 0.

    Returns:
        N.m a bar.

    Raises:
        ValueError: A value is out of its range.

    References:
        Bearing and seat parts are linear in the drop (derived from the bearing equation).

    >>> torque_per_bar(30, 80, 10)
    5.0
    """
    ensure_within("torque without pressure", still, "Nm", 0)
    ensure_within("torque under pressure", torque, "Nm", still)
    ensure_positive("pressure drop", drop, "bar")
    return (torque - still) / drop


def torque_at_drop(still: float, per_bar: float, drop: float) -> float:
    """Give the torque of the valve at a pressure drop: still + per_bar * drop.

    Args:
        still: Torque without pressure in N.m, 0 or more.
        per_bar: Rise in N.m a bar, 0 or more.
        drop: Pressure drop in bar, 0 or more.

    Returns:
        N.m.

    Raises:
        ValueError: A value is below zero.

    References:
        The inverse of `torque_per_bar`; the flow's own torque on a part-open disc is not in it.

    >>> torque_at_drop(30, 5, 14)
    100
    """
    ensure_within("torque without pressure", still, "Nm", 0)
    ensure_within("rise of torque", per_bar, "Nm/bar", 0)
    ensure_within("pressure drop", drop, "bar", 0)
    return still + per_bar * drop


def bearing_torque(disc: float, drop: float, friction: float, shaft: float) -> float:
    """Give the torque of the bearings of a disc: pi / 4 * D^2 * drop * friction * d / 2.

    Args:
        disc: Diameter D of the disc in mm, above 0.
        drop: Pressure drop in bar, 0 or more.
        friction: Friction coefficient of the bearings, 0 or more; 0.1 to 0.25 is usual (common practice, no source).
        shaft: Diameter d of the shaft in mm, above 0, below the disc.

    Returns:
        N.m.

    Raises:
        ValueError: A value is out of its range.

    References:
        AWWA Manual M49, bearing torque (from memory, unverified).

    >>> round(bearing_torque(200, 10, 0.15, 25), 2)
    58.9
    """
    ensure_positive("disc diameter", disc, "mm")
    ensure_within("pressure drop", drop, "bar", 0)
    ensure_within("friction", friction, "", 0)
    ensure_positive("shaft diameter", shaft, "mm")
    ensure_within("shaft diameter", shaft, "mm", 0, disc)
    force = math.pi / 4 * (disc / 1000) ** 2 * drop * 1e5
    return force * friction * shaft / 1000 / 2
