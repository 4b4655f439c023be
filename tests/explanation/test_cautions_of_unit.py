"""Safety lines that follow from what is known of the unit stand in every answer."""

import shutil
from pathlib import Path

import pytest

from diagnose.errors import RulesFaulty
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory


@pytest.fixture(scope="module")
def reasoner(knowledge: Knowledge) -> Reasoner:
    """Make the shipped rule base ready once."""
    return Reasoner(knowledge)


@pytest.fixture
def copy_of_rules(tmp_path: Path) -> Path:
    """Copy the shipped rules, to be changed."""
    return Path(shutil.copytree(rules_directory(), tmp_path / "rules"))


def cautions(reasoner: Reasoner, evidence: Evidence) -> tuple[str, ...]:
    """Give the safety lines of the answer to some evidence."""
    return reasoner.explain(evidence, "call", "A call").cautions


def test_a_unit_in_a_pit_brings_the_confined_space_line(reasoner):
    """Whoever goes to a pit or a height is told of gas test, attendant and flooding."""
    told = CircumstanceFact("surroundings", "pit_or_height", certain=False, origin=Origin(OriginKind.ANSWER))
    fact = Fact("stops_short_of_open", State.PRESENT, Origin(OriginKind.ANSWER), (1.0, 0.0))

    found = cautions(reasoner, Evidence((fact,), (told,)))

    assert reasoner.knowledge.cautions.lines["confined_space"].says in found


def test_a_hot_motor_brings_the_burn_line(reasoner):
    """Whoever goes to a hot motor is told to feel by instrument."""
    fact = Fact("motor_hot", State.PRESENT, Origin(OriginKind.ANSWER), (1.0, 0.0))

    found = cautions(reasoner, Evidence((fact,)))

    assert reasoner.knowledge.cautions.lines["hot_surfaces"].says in found


@pytest.mark.parametrize(
    "areas, stands",
    [
        ((), True),
        (("hazardous",), True),
        (("unknown_area",), True),
        (("safe",), False),
        (("safe", "hazardous"), True),
        (("safe", "unknown_area"), True),
    ],
)
def test_only_a_safe_area_spares_the_line_for_hazardous_ones(reasoner, areas, stands):
    """Told safe and nothing else, work under the cover goes without the line; any doubt brings it back."""
    origin = Origin(OriginKind.ANSWER)
    told = tuple(CircumstanceFact("hazardous_area", area, certain=False, origin=origin) for area in areas)
    fact = Fact("winding_reads_open", State.PRESENT, origin, (1.0, 0.0))

    found = cautions(reasoner, Evidence((fact,), told))

    assert reasoner.knowledge.cautions.lines["prove_dead"].says in found
    assert stands == (reasoner.knowledge.cautions.lines["hazardous_area"].says in found)


def test_a_needless_line_names_a_known_circumstance(copy_of_rules):
    """A misspelt circumstance in `needless_where` is a fault where it stands."""
    path = copy_of_rules / "cautions.yaml"
    path.write_text(
        path.read_text("utf-8").replace("{hazardous_area: safe}", "{hazardous_area: save}"), "utf-8"
    )

    with pytest.raises(RulesFaulty, match=r"cautions\.yaml:\d+:\d+: .*save"):
        load_knowledge(copy_of_rules)
