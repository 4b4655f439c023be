"""Inputs that every calculation with a cable asks alike.

Takes nothing, gives inputs; may import the catalogue's model.
"""

from __future__ import annotations

from diagnose.trade.catalogue.model import Input

STRANDS = Input(
    "strands",
    "kind of core: fixed (solid or stranded) or flexible",
    example="fixed",
    default="fixed",
    choices=("fixed", "flexible"),
)
WARM = Input("temperature", "temperature of the core", "degC", -60, 120, "20 degC", 20.0)
