"""Entries of the catalogue: analogue signals and their loops.

Takes nothing, gives a tuple of calculations; imports the functions of `trade`.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Calculation

CALCULATIONS: tuple[Calculation, ...] = ()
