"""Picture files: each kind is what its name says, and refusals are one line."""

import sys
import xml.etree.ElementTree as ET

import pytest

from diagnose.errors import InputFaulty
from diagnose.interfaces.picture import draw_surroundings


def test_a_png_is_drawn(small_base, tmp_path):
    """The ending .png gives a picture in that form."""
    draw_surroundings(small_base, "stop_in", tmp_path / "a.png")

    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_an_svg_is_drawn_and_drawn_alike_again(small_base, tmp_path):
    """The ending .svg gives well-formed SVG that holds no date."""
    draw_surroundings(small_base, "stop_in", tmp_path / "a.svg")

    root = ET.parse(tmp_path / "a.svg").getroot()  # noqa: S314 - our own file
    assert root.tag.endswith("svg")
    assert b"<dc:date>" not in (tmp_path / "a.svg").read_bytes()


def test_a_page_holds_the_picture(small_base, tmp_path):
    """The ending .html gives a page with the drawing inside."""
    draw_surroundings(small_base, "stop_in", tmp_path / "a.html")

    text = (tmp_path / "a.html").read_text("utf-8")
    assert text.startswith("<!doctype html>")
    assert "<svg" in text
    assert "Surroundings of stop_in" in text


def test_an_unknown_ending_is_refused(small_base, tmp_path):
    """Another ending names those that can be drawn."""
    with pytest.raises(InputFaulty, match=r"no picture kind '\.bmp'; end the name in \.svg, \.png, \.html"):
        draw_surroundings(small_base, "stop_in", tmp_path / "a.bmp")


def test_a_missing_library_is_one_line(small_base, tmp_path, monkeypatch):
    """Without the drawing library one line says what to install, and nothing is written."""
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)

    with pytest.raises(InputFaulty, match=r"pictures need matplotlib.*pip install 'diagnose\[pictures\]'"):
        draw_surroundings(small_base, "stop_in", tmp_path / "a.png")
    assert [] == list(tmp_path.iterdir())
