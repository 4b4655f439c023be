"""Where the shipped rules and cases are: in the wheel, or beside the package in a checkout.

Takes nothing, gives paths; imports nothing of ours.
"""

from __future__ import annotations

import os
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def rules_directory() -> Path:
    """Give the rules directory: DIAGNOSE_RULES if set, else the shipped one."""
    named = os.environ.get("DIAGNOSE_RULES")
    return Path(named) if named else _shipped("rules")


def cases_directory() -> Path:
    """Give the directory of the shipped case files."""
    return _shipped("cases")


def find_case(named: str) -> Path:
    """Find a case file: a path, else the id of a case beside the rules in use, else that of a shipped one."""
    if not Path(named).exists():
        for directory in (rules_directory().absolute().parent / "cases", cases_directory()):
            if (path := directory / f"{named}.yaml").is_file():
                return path
    return Path(named)


def _shipped(name: str) -> Path:
    inside = _PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
