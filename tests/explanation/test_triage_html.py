"""The triage page: one file that opens offline, with every text escaped and nothing left out unsaid."""

from html.parser import HTMLParser

import pytest
from scored_rows import give, make_scored

from diagnose.explanation.triage import ConfusedRow, Measured, TenthRow
from diagnose.explanation.triage_gather import TriageGather
from diagnose.explanation.triage_html import render_triage

EVIL = "<script>alert('x')</script>&\"'>"
MEASURED = Measured(
    count=10,
    not_in_rules=1,
    turned_away=2,
    within=((1, 0.5), (3, 0.8), (5, 0.9)),
    brier=0.41,
    log_score=1.25,
    tenths=(TenthRow(span="0.4 to 0.5", count=10, share=0.45, right=0.5),),
    confused=(ConfusedRow(confirmed="cam_loose", first="open_cam_early", count=3),),
    confused_left_out=4,
    timed=5,
    spent=500,
    planned=320,
)


class Page(HTMLParser):
    """What is looked at in a page: tags that are open, ids, links and text."""

    VOID = frozenset({"meta", "br", "wbr"})

    def __init__(self, text):
        """Read a page."""
        super().__init__()
        self.open, self.wrong, self.tags, self.ids, self.links, self.texts = [], [], set(), [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Note a tag."""
        found = dict(attrs)
        self.tags.add(tag)
        self.ids += [found["id"]] if "id" in found else []
        self.links += [
            value for name, value in attrs if name in {"href", "src", "xlink:href", "action", "style"}
        ]
        self.wrong += [name for name in found if name.startswith("on")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        """Note the end of a tag."""
        if self.open.pop() != tag:
            self.wrong.append(tag)

    def handle_data(self, data):
        """Note text."""
        self.texts.append(data)


def render(knowledge, rows, measured=None, rejected=()):
    """Render rows as a page."""
    gather = TriageGather(knowledge)
    for row in rows:
        gather.add(row)
    for row in rejected:
        gather.add_rejected(row)
    return render_triage(gather.build(EVIL, measured), {})


@pytest.fixture
def page(knowledge):
    """Render a page whose every text is hostile."""
    step = {"inspection": None, "repair": None, "says": EVIL, "cautions": [EVIL]}
    rows = [make_scored(EVIL, given=give(EVIL, EVIL), next=step, priority={"level": "now", "why": EVIL})]
    rows += [make_scored(EVIL, given=give(EVIL, EVIL)) for _ in range(2)]
    rows += [
        make_scored(EVIL, status="ask_first", level=None, ask=[{"question": EVIL}], given=give(EVIL, EVIL))
    ]
    return render(knowledge, rows, MEASURED, [{"row": 1, "ticket": EVIL, "reason": EVIL}])


def test_hostile_text_stays_text(page):
    """No text of a ticket becomes markup, whatever list it stands in."""
    seen = Page(page)

    assert [] == seen.wrong
    assert [] == seen.open
    assert "script" not in seen.tags
    assert sum(EVIL in text for text in seen.texts) >= 12
    assert "<script" not in page


def test_the_page_needs_nothing_from_outside(page):
    """All links lead into the page itself, and each leads to a part that is there."""
    seen = Page(page)

    assert seen.links
    assert all(link.startswith("#") for link in seen.links)
    assert {link[1:] for link in seen.links} <= set(seen.ids)
    assert len(set(seen.ids)) == len(seen.ids)
    assert "@import" not in page
    assert "url(" not in page


def test_safety_lines_stand_before_the_work_they_go_with(knowledge):
    """The lines come in full before the first ticket, and each visit names its own by number."""
    page = render(knowledge, [make_scored("T-7", given=give("V-1")), make_scored("T-8", given=give("V-2"))])
    remedy = knowledge.remedy("open_cam_early")
    lines = [
        knowledge.cautions.lines[name].says for act in remedy.acts for name in knowledge.cautions.acts[act]
    ]
    texts = Page(page).texts

    assert all(line in texts for line in lines)
    assert max(texts.index(line) for line in lines) < texts.index("T-7")
    assert any(text.startswith("Safety lines: 1, 2") for text in texts)


@pytest.mark.parametrize(
    "words",
    ["50.0%", "80.0%", "90.0%", "0.410", "1.250", "500 - 320 = 180 saved, 36.0 a ticket", "4 more pairs are not shown",
     "1 more name a cause that is not in them, 2 more were taken for another device"],
)  # fmt: skip
def test_the_measures_are_on_the_page(page, words):
    """Every figure of the confirmed tickets is shown with its arithmetic."""
    assert words in page.replace("\n", " ")


def test_a_list_that_is_cut_says_how_much_is_left_out(knowledge):
    """The reader learns that the list is not the whole."""
    page = render(knowledge, [make_scored(given=give(f"V-{n}")) for n in range(60)])

    assert "20 more tickets wanted now or by the next shift are not shown." in page
    assert "35 more assets with less to do are not shown." in page


def test_an_empty_backlog_says_so_everywhere(knowledge):
    """A file without rows makes a whole page."""
    page = render(knowledge, [])

    assert [] == Page(page).open
    for words in ("No open ticket wants action", "No asset came back", "No row was rejected", "0 rows read"):
        assert words in page


def test_the_next_column_is_there_only_with_next_steps(knowledge):
    """Without the planner there is no empty column."""
    step = {"inspection": None, "repair": None, "says": "Hand over", "cautions": []}

    assert "<th>Next</th>" in render(knowledge, [make_scored(next=step)])
    assert "<th>Next</th>" not in render(knowledge, [make_scored()])
