"""Pages of single entries: every id has one, links are told from both ends, safety lines stay."""

import pytest

from diagnose.errors import UsageWrong
from diagnose.explanation.linking import list_showing, list_shown
from diagnose.explanation.page import Page
from diagnose.explanation.page_gather import find_pages
from diagnose.explanation.pages import render_page


def ids_of(knowledge):
    """List every id that has a page."""
    sections = (
        knowledge.causes,
        knowledge.consequences,
        knowledge.observations,
        knowledge.inspections,
        knowledge.readings,
        knowledge.circumstances,
        knowledge.rules,
        knowledge.cautions.lines,
    )
    return sorted({name for section in sections for name in section})


def lines_of(page, title):
    """Give the ids under one title of a page."""
    return [line.id for section in page.sections if section.title == title for line in section.lines]


def test_every_id_has_a_page_within_its_columns(knowledge):
    """Each id of the rule base renders, no line wider than the page."""
    texts = [render_page(page) for name in ids_of(knowledge) for page in find_pages(knowledge, name)]

    assert len(texts) > 400
    assert [] == [line for text in texts for line in text.splitlines() if len(line) > 80]


def test_a_page_comes_back_from_its_json(knowledge):
    """The document alone gives the same text again."""
    (page,) = find_pages(knowledge, "open_cam_early")

    assert render_page(page) == render_page(Page.model_validate_json(page.model_dump_json()))


def test_each_link_is_told_from_both_ends(knowledge):
    """Whatever a cause shows names the cause on its own page, and the other way round."""
    forth = {(s.cause, s.observation) for cause in knowledge.causes for s in list_shown(knowledge, cause)}
    back = {
        (s.cause, s.observation) for seen in knowledge.observations for s in list_showing(knowledge, seen)
    }

    assert len(forth) > 500
    assert forth == back


def test_strength_through_a_state_is_the_product(knowledge):
    """A cause that brings a state about shows what the state shows, by both strengths."""
    (way,) = (s for s in list_shown(knowledge, "motor_thermal_cutout") if s.observation == "motor_hot")

    assert ("cutout_open", ("always", "always")) == (way.through, way.words)
    assert pytest.approx(knowledge.settings.strengths["always"] ** 2) == way.probability


def test_causes_of_an_observation_come_strongest_first(knowledge):
    """The page of an observation sorts its causes by strength."""
    chances = [s.probability for s in list_showing(knowledge, "motor_hot")]

    assert len(chances) > 5
    assert sorted(chances, reverse=True) == chances


def test_an_observation_names_its_looks_and_rules(knowledge):
    """The page of an observation names the inspections that reveal it and the rules that ask it."""
    (page,) = find_pages(knowledge, "open_limit_made_short_of_end")

    assert "limit_and_stop_at_open_end" in lines_of(page, "Revealed by")
    assert "limit_before_open" in lines_of(page, "Used by")


def test_an_inspection_names_what_it_confirms(knowledge):
    """The page of an inspection names the causes that it confirms."""
    (page,) = find_pages(knowledge, "limit_and_stop_at_open_end")

    assert {"open_cam_early", "open_stop_too_far_in"} <= set(lines_of(page, "Confirms"))


def test_work_carries_its_cautions_and_the_deferring_sentence(knowledge):
    """No page that tells work at the unit goes without its safety lines."""
    for name in (*knowledge.inspections, *knowledge.causes):
        (page,) = find_pages(knowledge, name)
        acts = (knowledge.inspections.get(name) or knowledge.causes[name].remedy).acts
        flat = " ".join(render_page(page).split())

        assert not acts or page.cautions, name
        assert not page.cautions or page.deferral in flat, name
        assert all(" ".join(f"CAUTION {line}".split()) in flat for line in page.cautions), name


def test_a_word_of_two_kinds_has_two_pages(knowledge):
    """The circumstance and the caution of one name are both shown."""
    assert ["circumstance", "caution"] == [page.kind for page in find_pages(knowledge, "hazardous_area")]


def test_a_mode_and_a_look_lead_to_their_owner(knowledge):
    """`cause.mode` gives the cause, and the look for an observation gives the observation."""
    assert "valve_seized" == find_pages(knowledge, "valve_seized.x")[0].id
    assert "motor_hot" == find_pages(knowledge, "look_for_motor_hot")[0].id


def test_an_unknown_id_names_the_nearest(knowledge):
    """A mistyped id is refused with the ids that come nearest."""
    with pytest.raises(UsageWrong) as caught:
        find_pages(knowledge, "open_cam_erly")

    assert str(caught.value).startswith("no id 'open_cam_erly'; nearest: open_cam_early")


def test_an_id_is_found_in_any_case(knowledge):
    """Capitals and space around an id do not matter."""
    assert "open_cam_early" == find_pages(knowledge, " Open_Cam_EARLY")[0].id


def test_a_caution_tells_where_it_is_needless(knowledge):
    """The page of a line that a safe area makes needless says so."""
    (page,) = [p for p in find_pages(knowledge, "hazardous_area") if p.kind == "caution"]

    assert ["hazardous_area=safe"] == [
        line.says for s in page.sections if s.title == "No work calls for it where" for line in s.lines
    ]
