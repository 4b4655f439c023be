"""The instructor's answer sheet: complete, the same for the same seed, cautions before the remedy, nothing unescaped."""

from html.parser import HTMLParser

import pytest

from diagnose.facts.case_file import Case, load_case
from diagnose.knowledge.shipped import cases_directory
from diagnose.training.answer_sheet import (
    AnswerSheet,
    build_answer_sheet,
    render_answer_sheet,
    render_answer_sheet_html,
)
from diagnose.training.difficulty import measure_difficulty
from diagnose.training.program import run_program
from diagnose.training.scene import Tutor, build_scene

CASE = "limits/open_cam_early-01"


@pytest.fixture(scope="module")
def case(tutor: Tutor) -> Case:
    """Load a shipped case."""
    return load_case(cases_directory() / f"{CASE}.yaml", tutor.knowledge)


@pytest.fixture(scope="module")
def sheet(tutor: Tutor, case: Case) -> AnswerSheet:
    """Build its sheet."""
    return build_answer_sheet(tutor, case, 5, measure_difficulty(tutor, case))


def test_the_sheet_has_the_answer_the_path_the_remedy_and_the_grading(tutor, case, sheet):
    """Call, cause, difficulty, every step of the program, remedy with its acceptance check and the formula are there."""
    text = " ".join(render_answer_sheet(sheet).split())
    remedy = tutor.knowledge.remedy("open_cam_early", None)
    path = next(s for s in sheet.sections if s.title.startswith("The program's path"))
    run = run_program(build_scene(tutor, case, 5), 5)

    assert case.confirmed is not None
    for words in (
        case.call,
        case.confirmed.found,
        remedy.says,
        remedy.acceptance,
        "difficulty",
        "total = 100 x",
    ):
        assert " ".join(words.split()) in text
    assert len(run.moves) == len(path.lines)
    assert f"{run.minutes:.0f} min" in path.title


def test_cautions_stand_before_the_steps_of_the_remedy(sheet):
    """The remedy opens the cover, so it has cautions, each whole in text and page, before the first step."""
    remedy = next(s for s in sheet.sections if s.title.startswith("Remedy"))
    text, page = " ".join(render_answer_sheet(sheet).split()), render_answer_sheet_html(sheet)

    assert remedy.cautions
    for caution in remedy.cautions:
        assert text.index(f"CAUTION {caution}") < text.index(f"1. {remedy.lines[0]}")
        assert caution in HTMLText.of(page)


def test_the_same_seed_gives_the_same_sheet(tutor, case, sheet):
    """Built again it is equal, and it reads back from JSON as it was."""
    assert sheet == build_answer_sheet(tutor, case, 5, sheet.difficulty)
    assert sheet == AnswerSheet.model_validate_json(sheet.model_dump_json())


def test_the_page_escapes_what_it_shows_and_loads_nothing(sheet):
    """A title with markup stays text, and the page has neither script nor outside links."""
    page = render_answer_sheet_html(sheet.model_copy(update={"title": "<script>alert(1)</script>"}))

    assert "<script" not in page
    assert "<script>alert(1)</script>" in HTMLText.of(page)
    assert "http" not in page


class HTMLText(HTMLParser):
    """Gathers the text of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []

    def handle_data(self, data: str) -> None:
        """Keep one piece of text."""
        self.parts.append(data)

    @classmethod
    def of(cls, page: str) -> str:
        """Give the text of a page."""
        parser = cls()
        parser.feed(page)
        return "".join(parser.parts)
