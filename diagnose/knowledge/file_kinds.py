"""What each file of a rules directory holds, in one table for the loader and the schema.

Takes nothing, gives the table; may import the models.
"""

from __future__ import annotations

from typing import Any

from diagnose.knowledge.accepted import AcceptedFindings
from diagnose.knowledge.acting import Access, Cautions, Inspection
from diagnose.knowledge.mentions import Mentions
from diagnose.knowledge.reasons import Consequence, Exclusives
from diagnose.knowledge.seeing import (
    Circumstance,
    Computed,
    Family,
    Group,
    Observation,
    Reading,
    SightCondition,
)
from diagnose.knowledge.settings import Settings
from diagnose.knowledge.stroke_limits import StrokeLimits

# Files that are one model as a whole.
WHOLE: dict[str, Any] = {
    "format.yaml": Settings,
    "access.yaml": Access,
    "cautions.yaml": Cautions,
    "exclusive.yaml": Exclusives,
}
# The same, for files that a rule base can do without.
OPTIONAL: dict[str, Any] = {
    "accepted.yaml": AcceptedFindings,
    "stroke_limits.yaml": StrokeLimits,
    "mentions.yaml": Mentions,
}
# Files of sections, each a mapping from id to model.
SECTIONS: dict[str, dict[str, Any]] = {
    "observations.yaml": {
        "conditions": dict[str, SightCondition],
        "families": dict[str, Family],
        "groups": dict[str, Group],
        "observations": dict[str, Observation],
    },
    "circumstances.yaml": {"circumstances": dict[str, Circumstance]},
    "readings.yaml": {"readings": dict[str, Reading], "computed": dict[str, Computed]},
    "consequences.yaml": {"consequences": dict[str, Consequence]},
}
INSPECTIONS: dict[str, Any] = {"inspections": dict[str, Inspection]}
# Folders without rules: drafts are linted by the checks and never ranked.
NOT_RULES = frozenset({"_draft", "language"})
