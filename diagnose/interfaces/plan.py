"""How a backlog is to be scored: what the command and each of its workers must agree on.

Takes nothing, gives a record; may import unit records.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.knowledge.unit import UnitRecord

# What a scored ticket names at most.
MOST_CAUSES = 10
MOST_QUESTIONS = 2


@dataclass(frozen=True)
class Plan:
    """How tickets are to be scored.

    Attributes:
        rules: Rules directory.
        with_next: Whether each ticket gets its next step, which costs tens of milliseconds.
        units: Unit records by asset.
    """

    rules: Path
    with_next: bool = True
    units: Mapping[str, UnitRecord] = field(default_factory=dict)
