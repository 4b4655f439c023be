"""Entries of the catalogue: currents, heating, duty, windings and insulation of the motor.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
