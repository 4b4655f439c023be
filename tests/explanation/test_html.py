"""The page of an explanation: whole, self-contained, and safe with hostile text."""

from html.parser import HTMLParser
from pathlib import Path

import pytest

from diagnose.explanation.document import Explanation
from diagnose.explanation.html import render_html
from diagnose.explanation.text import NOT_A_SUM

SAVED = sorted((Path(__file__).parent.parent / "fixtures" / "explanations").glob("*.json"))
every_saved = pytest.mark.parametrize("path", SAVED, ids=lambda path: path.stem)
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>&amp;"
VOID = {"meta"}


class Page(HTMLParser):
    """Reads a page, holding it to properly nested tags."""

    def __init__(self, text: str) -> None:
        """Read the whole page."""
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[str] = []
        self.said: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Remember the tag."""
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Close what was opened last."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Collect what a reader sees, style left out."""
        if self.open[-1:] != ["style"]:
            self.said.append(data)


def read(path: Path) -> Explanation:
    """Read a saved document."""
    return Explanation.model_validate_json(path.read_text("utf-8"))


@every_saved
def test_page_is_well_formed_and_alone(path):
    """Every tag is closed in order; no script, no link, nothing fetched."""
    text = render_html(read(path))
    page = Page(text)

    assert [] == page.open
    assert set() == {"script", "link", "img", "a", "iframe", "form"} & set(page.tags)
    assert {"lang", "charset", "name", "content", "class"} >= set(page.attributes)
    assert "http" not in text
    assert "url(" not in text


@every_saved
def test_page_holds_every_caution(path):
    """Cautions, the deferring sentence and the note on sums are all there."""
    document = read(path)
    said = Page(render_html(document)).said

    assert [] == [caution for caution in document.cautions if caution not in said]
    assert document.deferral in said
    assert any(NOT_A_SUM in text for text in said)


@every_saved
def test_cautions_come_before_the_work(path):
    """A reader meets the cautions before the next step and the remedy."""
    page = render_html(read(path))

    assert page.index("<h2>Cautions</h2>") < page.index("<h2>Next")


@every_saved
def test_page_tells_causes_outcomes_and_steps(path):
    """Ranked causes, outcomes and every remedy step are on the page."""
    document = read(path)
    said = " ".join(Page(render_html(document)).said)

    assert [] == [cause.cause for cause in document.causes[:10] if cause.says not in said]
    assert [] == [outcome.says for outcome in document.next.outcomes if outcome.says not in said]
    assert [] == [
        step.do for step in (document.remedy.steps if document.remedy else ()) if step.do not in said
    ]


def poison(value):
    """Put hostile text in place of every free text of a document's data."""
    if isinstance(value, dict):
        fixed = {"format", "status", "kind", "state"}
        return {key: part if key in fixed else poison(part) for key, part in value.items()}
    if isinstance(value, list):
        return [poison(part) for part in value]
    return HOSTILE if isinstance(value, str) else value


@every_saved
def test_hostile_text_is_escaped_everywhere(path):
    """Markup in any text of the document is shown as text, never read as markup."""
    document = read(path)
    hostile = Explanation.model_validate(poison(document.model_dump(mode="json")))
    page = render_html(hostile)

    assert Page(render_html(document)).tags == Page(page).tags
    assert "<script" not in page
    assert "<img" not in page
    assert HOSTILE in "".join(Page(page).said)
