"""Entries of the catalogue: travel stops.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
