"""Every calculation of the catalogue, in the order of the parts.

Takes nothing, gives one tuple; imports the files of entries.
"""

from __future__ import annotations

from diagnose.trade.catalogue import (
    cams,
    heating,
    loops,
    motor,
    positioning,
    potentiometer,
    signals,
    stops,
    supply,
    torque,
    valve,
)
from diagnose.trade.catalogue.model import Calculation

CALCULATIONS: tuple[Calculation, ...] = (
    *signals.CALCULATIONS,
    *loops.CALCULATIONS,
    *supply.CALCULATIONS,
    *motor.CALCULATIONS,
    *heating.CALCULATIONS,
    *torque.CALCULATIONS,
    *stops.CALCULATIONS,
    *cams.CALCULATIONS,
    *positioning.CALCULATIONS,
    *potentiometer.CALCULATIONS,
    *valve.CALCULATIONS,
)

BY_ID: dict[str, Calculation] = {calculation.id: calculation for calculation in CALCULATIONS}
