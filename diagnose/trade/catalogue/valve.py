"""Entries of the catalogue: flow through the valve, and the torque that pressure drop adds.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation, Input, Result, Standing
from diagnose.trade.valve import (
    REFERENCE_DENSITY,
    USUAL_RANGEABILITY,
    Characteristic,
    bearing_torque,
    choking_drop,
    cv_of_kv,
    flow_through,
    installed_share,
    kv_of_cv,
    needed_kv,
    opening_share,
    torque_at_drop,
    torque_per_bar,
)

_KV = Input("kv", "flow coefficient Kv, m3/h of water at 1 bar", "", 0.001, 1e6, "165")
_CV = Input("cv", "flow coefficient Cv, US gallons a minute of water at 1 lbf/in2", "", 0.001, 1e6, "190")
_DROP = Input("drop", "pressure drop over the valve", "bar", 0.001, 420, "4.6 bar")
_DENSITY = Input("density", "density of the liquid", "kg/l", 0.3, 3, "1 kg/l", REFERENCE_DENSITY)
_TURBULENT = "liquids, turbulent, no fittings at the valve, drop below the choking one (see choking-drop)"
_SIZING = "definition of Kv; IEC 60534-2-1"
_FLOW = Result("flow", "flow", "m3/h")


def _flow_at_travel(
    *,
    kv: float,
    travel: float,
    drop: float,
    density: float,
    characteristic: Characteristic,
    rangeability: float,
    authority: float,
) -> tuple[float, float, float]:
    opening = opening_share(travel, characteristic, rangeability)
    share = installed_share(opening, authority)
    return opening * kv, share * 100, share * flow_through(kv, drop, density)


def _torque_at(still: float, torque: float, known: float, drop: float) -> tuple[float, float]:
    slope = torque_per_bar(still, torque, known)
    return slope, torque_at_drop(still, slope, drop)


CALCULATIONS: tuple[Calculation, ...] = (
    Calculation(
        "valve-torque",
        "Torque of the valve at a pressure drop",
        "What torque does the valve need at this pressure drop?",
        (
            Input("still", "torque without pressure", "Nm", 0, 250_000, "30 Nm"),
            Input("torque", "torque at the known pressure drop", "Nm", 1, 250_000, "80 Nm"),
            Input("known", "pressure drop at which that torque holds", "bar", 0.001, 420, "10 bar"),
            Input("drop", "pressure drop in question", "bar", 0, 420, "14 bar"),
        ),
        _torque_at,
        ("slope = (torque - still) / known", "wanted = still + slope * drop"),
        (Result("slope", "rise", "Nm/bar"), Result("wanted", "torque needed", "Nm")),
        "seat and bearings; the flow's own torque on a part-open disc is not in it",
        "bearing and seat friction linear in the drop (derived)",
        Standing.DERIVED,
    ),
    Calculation(
        "bearing-torque",
        "Bearing torque of a disc",
        "What part of the torque do the bearings of a disc take under pressure?",
        (
            Input("disc", "diameter of the disc", "mm", 20, 5000, "200 mm"),
            Input("drop", "pressure drop over the closed disc", "bar", 0, 420, "10 bar"),
            Input(
                "friction", "friction of the bearings; 0.1 to 0.25 is common practice", "", 0.01, 1, "0.15"
            ),
            Input("shaft", "diameter of the shaft", "mm", 3, 1000, "25 mm"),
        ),
        bearing_torque,
        ("torque = pi / 4 * (disc / 1000) ** 2 * drop * 100000 * friction * shaft / 2000",),
        (Result("torque", "bearing torque", "Nm"),),
        "the whole drop on the disc; the friction is a guess unless measured",
        "AWWA Manual M49, bearing torque, from memory, unverified",
        Standing.MEMORY,
    ),
    Calculation(
        "cv-from-kv",
        "Cv of a Kv",
        "How much is this Kv as Cv?",
        (_KV,),
        cv_of_kv,
        ("cv = 1.1560992283536566 * kv",),
        (Result("cv", "flow coefficient Cv"),),
        "both of the same valve and travel",
        "definition of both; US gallon and pound-force of NIST SP 811 appendix B",
        Standing.DERIVED,
    ),
    Calculation(
        "kv-from-cv",
        "Kv of a Cv",
        "How much is this Cv as Kv?",
        (_CV,),
        kv_of_cv,
        ("kv = cv / 1.1560992283536566",),
        (Result("kv", "flow coefficient Kv"),),
        "both of the same valve and travel",
        "definition of both; US gallon and pound-force of NIST SP 811 appendix B",
        Standing.DERIVED,
    ),
    Calculation(
        "valve-flow",
        "Flow through a valve",
        "How much liquid passes at this flow coefficient and drop?",
        (_KV, _DROP, _DENSITY),
        flow_through,
        ("flow = kv * sqrt(drop * 0.9991 / density)",),
        (_FLOW,),
        _TURBULENT,
        _SIZING,
        Standing.REPRODUCED,
    ),
    Calculation(
        "valve-kv",
        "Flow coefficient for a flow",
        "Which flow coefficient passes this flow at this drop?",
        (Input("flow", "flow", "m3/h", 0.001, 1e6, "100 l/s"), _DROP, _DENSITY),
        needed_kv,
        ("kv = flow / sqrt(drop * 0.9991 / density)",),
        (Result("kv", "flow coefficient Kv"),),
        f"{_TURBULENT}; where it chokes, give the choking drop",
        _SIZING,
        Standing.REPRODUCED,
    ),
    Calculation(
        "choking-drop",
        "Drop at which the flow chokes",
        "Above which pressure drop does more drop pass no more liquid?",
        (
            Input("inlet", "absolute pressure before the valve", "bar", 0.01, 420, "6.8 bar"),
            Input("vapour", "vapour pressure of the liquid, absolute", "bar", 0, 420, "0.023 bar"),
            Input(
                "critical",
                "critical pressure of the liquid; 221.2 bar for water",
                "bar",
                1,
                1000,
                "221.2 bar",
                221.2,
            ),
            Input("recovery", "pressure recovery factor FL of the valve at its travel", "", 0.1, 1, "0.6"),
        ),
        choking_drop,
        ("choking = recovery ** 2 * (inlet - (0.96 - 0.28 * sqrt(vapour / critical)) * vapour)",),
        (Result("choking", "drop at which it chokes", "bar"),),
        "liquids, no fittings at the valve",
        "IEC 60534-2-1",
        Standing.REPRODUCED,
    ),
    Calculation(
        "flow-at-travel",
        "Flow at a travel",
        "What flow does this travel give in its pipe?",
        (
            Input("kv", "flow coefficient Kv of the open valve", "", 0.001, 1e6, "165"),
            Input("travel", "travel", "%", 0, 100, "50 %"),
            Input("drop", "pressure drop over the open valve", "bar", 0.001, 420, "0.5 bar"),
            _DENSITY,
            Input(
                "characteristic",
                "inherent characteristic of the valve",
                example="linear",
                choices=("linear", "equal_percentage"),
            ),
            Input(
                "rangeability",
                "greatest over least controllable flow, for equal percentage",
                "",
                1.1,
                1000,
                "50",
                USUAL_RANGEABILITY,
            ),
            Input(
                "authority",
                "drop over the open valve over the drop of valve and pipe; 1 for a constant drop",
                "",
                0.001,
                1,
                "0.3",
                1.0,
            ),
        ),
        _flow_at_travel,
        (
            "linear: now = kv * travel / 100",
            "equal_percentage: now = kv * rangeability ** (travel / 100 - 1)",
            "share = 100 * now / sqrt((1 - authority) * now ** 2 + authority * kv ** 2)",
            "flow = share / 100 * kv * sqrt(drop * 0.9991 / density)",
        ),
        (
            Result("now", "flow coefficient Kv at this travel"),
            Result("share", "of the flow of the open valve", "%"),
            _FLOW,
        ),
        f"{_TURBULENT}; the whole drop constant; equal percentage does not describe the last of closing",
        "definition of the characteristics; square law for valve and pipe; a rangeability of 50 common practice, no source",
        Standing.DERIVED,
    ),
)
