"""The plots of a report: well formed, titled, the same each time, whatever the names are."""

import re
from xml.etree import ElementTree as ET

import pytest
from scored_rows import give, make_scored

from diagnose.explanation.triage import Measured, TenthRow
from diagnose.explanation.triage_gather import TriageGather
from diagnose.interfaces.triage_plots import draw_plots

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ["V-12", "$x^2$ & <b>", "tab\there\x0bx", "№ 7 – ü", "very long name of a unit " * 5]
MEASURED = Measured(
    count=4,
    not_in_rules=0,
    turned_away=0,
    tenths=(
        TenthRow(span="0.4 to 0.5", count=3, share=0.45, right=0.5),
        TenthRow(span="0.9 to 1.0", count=1, share=0.95, right=1),
    ),
)


@pytest.fixture(scope="module")
def document(knowledge):
    """Make a report with hostile names."""
    gather = TriageGather(knowledge)
    for name in NAMES:
        gather.add(make_scored(given=give(name, name)))
    return gather.build("Backlog", MEASURED)


@pytest.fixture(scope="module")
def plots(document):
    """Draw it."""
    return draw_plots(document)


@pytest.mark.parametrize("name", ["causes", "months", "sites", "assets", "reliability"])
def test_every_plot_is_well_formed_and_titled(plots, name):
    """A screen reader says the title; ids are the plot's own; nothing is fetched."""
    root = ET.fromstring(plots[name])  # noqa: S314 - our own drawing
    title = root.find(f"{SVG}title")
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    links = [value for node in root.iter() for key, value in node.items() if key.endswith("href")]

    assert ("img", f"{name}-title") == (root.get("role"), root.get("aria-labelledby"))
    assert title.get("id") == f"{name}-title"
    assert len(title.text) > 30
    assert all(one.startswith(f"{name}-") for one in ids)
    assert len(set(ids)) == len(ids)
    assert {link.removeprefix("#") for link in links} <= set(ids)
    assert set(re.findall(r"url\(#([^)]+)\)", plots[name])) <= set(ids)


def test_names_are_shown_as_text(plots):
    """Names are drawn as they are, cut where too long, and can be found in the page."""
    root = ET.fromstring(plots["assets"])  # noqa: S314 - our own drawing
    texts = [node.text for node in root.iter(f"{SVG}text")]

    assert {"V-12", "$x^2$ & <b>", "№ 7 – ü", "tab here x"} <= set(texts)
    assert any(text.endswith("…") and len(text) == 34 for text in texts)


def test_the_same_numbers_give_the_same_picture(document, plots):
    """A report of the same rows is the same file."""
    assert plots == draw_plots(document)


def test_nothing_is_drawn_of_nothing(knowledge):
    """An empty backlog has no plots."""
    assert {} == draw_plots(TriageGather(knowledge).build("Backlog", None))
