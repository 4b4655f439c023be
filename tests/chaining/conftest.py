"""Hand-made rule bases for the chaining tests: what chaining reads is real, the rest left out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.knowledge.acting import Access, Cautions
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Exclusion, Exclusives, Rule, Shift
from diagnose.knowledge.seeing import Circumstance
from diagnose.knowledge.settings import Settings, Thresholds

FIXTURES = Path(__file__).parent.parent / "fixtures" / "chaining"


def make_cause(name: str, data: dict[str, Any]) -> Cause:
    """Make a cause that has circumstances and exclusions only."""
    return Cause.model_construct(
        cause=name,
        part="part",
        circumstances=tuple(map(Shift.model_validate, data.get("circumstances", ()))),
        ruled_out=tuple(map(Exclusion.model_validate, data.get("ruled_out", ()))),
    )


def build_knowledge(data: dict[str, Any]) -> Knowledge:
    """Build a rule base from `rules`, `causes` and `circumstances`, as the fixture files hold them."""
    rules = [Rule.model_validate(rule) for rule in data.get("rules", ())]
    circumstances = data.get("circumstances", {})
    return Knowledge(
        version="made by hand",
        settings=Settings.model_construct(thresholds=Thresholds.model_construct(shift_cap_decibans=20.0)),
        conditions={},
        families={},
        groups={},
        observations={},
        circumstances={n: Circumstance(question="Which?", values=v) for n, v in circumstances.items()},
        readings={},
        access=Access.model_construct(),
        cautions=Cautions.model_construct(),
        inspections={},
        causes={name: make_cause(name, cause) for name, cause in data.get("causes", {}).items()},
        consequences={},
        exclusives=Exclusives(sets={}),
        rules={rule.id: rule for rule in rules},
    )


@pytest.fixture(scope="session")
def make_knowledge():
    """Give the builder of hand-made rule bases."""
    return build_knowledge


@pytest.fixture(params=sorted(FIXTURES.glob("*.yaml")), ids=lambda path: path.stem)
def chaining_fixture(request) -> dict[str, Any]:
    """Give each fixture file in turn."""
    return yaml.safe_load(request.param.read_text())
