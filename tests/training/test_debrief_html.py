"""The debrief page: self-contained, escaped, whole in its cautions, with both paths drawn."""

import re
from html import escape
from xml.etree import ElementTree as ET

import pytest

from diagnose.training.debrief_html import render_debrief_html
from diagnose.training.debrief_picture import draw_paths
from diagnose.training.debriefing import build_debrief
from diagnose.training.grading import grade_lesson
from diagnose.training.lesson import run_choice, run_close, start_lesson
from diagnose.training.program import run_program


@pytest.fixture(scope="module")
def document(make_scene):
    """Debrief a short lesson with one shortcut in it."""
    scene = make_scene("limits/open_cam_early-01")
    lesson = start_lesson(scene, 1)
    for choice in ("limit_and_stop_at_open_end!isolation", "limit_and_stop_at_open_end"):
        lesson = run_choice(scene, lesson, choice)
    program = run_program(scene, 1)
    return build_debrief(
        scene, grade_lesson(scene, run_close(scene, lesson, "open_cam_early", 0.9), program), program
    )


def test_the_page_needs_nothing_from_outside(document):
    """The page holds no script, no link and no address to fetch from."""
    page = render_debrief_html(document)

    assert not re.search(r"<script|<link|<img|https?://|url\(", page)


def test_what_the_case_says_cannot_become_markup(document):
    """Marks of HTML in a case are escaped, in the text and in the drawing."""
    hostile = document.model_copy(update={"title": "<b>&</b>", "found": "<script>x</script>"})
    page = render_debrief_html(hostile)

    assert "<script" not in page
    assert "&lt;b&gt;&amp;&lt;/b&gt;" in page


def test_no_caution_is_folded_away_on_the_page(document):
    """Every line of a stopped choice and every caution of the remedy stands on the page, and the deferring one."""
    page = render_debrief_html(document)
    lines = [*document.cautions, *(line for says in document.stopped for line in says), document.deferral]

    assert [] == [line for line in lines if escape(line) not in page]


def test_the_drawing_is_well_formed_and_shows_every_step(document):
    """The drawing parses as XML; each step of both paths has its mark, the stopped one its own."""
    picture = ET.fromstring(draw_paths(document))  # noqa: S314 - our own drawing
    kinds = [step.kind for path in (document.learner, document.program) for step in path.steps]
    marks = [e for e in picture if e.find("title") is not None]

    assert len(kinds) == len(marks)
    assert kinds.count("unsafe") == len([e for e in marks if e.get("class") == "stop"])


def test_the_drawing_stays_inside_its_frame(document):
    """No mark lies outside the picture."""
    picture = ET.fromstring(draw_paths(document))  # noqa: S314 - our own drawing
    width, height = (float(n) for n in picture.attrib["viewBox"].split()[2:])
    circles = picture.findall("circle")

    assert circles
    assert all(0 <= float(c.attrib["cx"]) <= width and 0 <= float(c.attrib["cy"]) <= height for c in circles)
