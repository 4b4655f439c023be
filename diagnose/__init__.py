"""Fault diagnosis for electric quarter-turn valve actuators: from symptoms to causes to the next step."""

__version__ = "0.1.0"
