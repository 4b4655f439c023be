"""The report of a score, from tickets to the page, as people run it."""

import csv
import json

import pytest

from diagnose.errors import InputFaulty
from diagnose.interfaces.batch import Job, run_score
from diagnose.interfaces.measuring import measure
from diagnose.interfaces.reporting import ensure_reportable, show_measures
from diagnose.interfaces.scoring import Plan
from diagnose.knowledge.shipped import rules_directory

NAMES = ["id", "text", "asset", "site", "opened", "state", "confirmed_cause", "minutes_spent"]
ROWS = [
    ["T-1", "stops short of open", "V-12", "Harrow Fen", "2026-03-01", "closed", "open_cam_early", "90"],
    ["T-2", "stops short of open, plant down", "V-12", "Harrow Fen", "2026-03-10", "open", "", ""],
    ["T-3", "actuator fault, please attend", "V-7", "Harrow Fen", "2026-03-11", "open", "", ""],
    ["T-4", "<b>stops short of closed</b>", "V-8", "Harrow Fen", "2026-03-12", "open", "", ""],
    ["", "no number", "V-9", "Harrow Fen", "2026-03-12", "open", "", ""],
]


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    """Score a small backlog with a report."""
    folder = tmp_path_factory.mktemp("report")
    with (folder / "tickets.csv").open("w", newline="") as stream:
        csv.writer(stream).writerows([NAMES, *ROWS])
    plan = Plan(rules_directory(), with_next=False)
    page = folder / "report.html"
    job = Job(str(folder / "tickets.csv"), str(folder / "out.jsonl"), plan, quiet=True, report=page)
    counts = run_score(job)
    return counts, page.read_text(encoding="utf-8"), sorted(path.name for path in folder.iterdir())


def test_the_report_tells_of_every_row(report):
    """Counts, the urgent ticket, the repeat, the question and the rejected row are on the page."""
    counts, page, _ = report

    assert (5, 4, 1) == (counts.read, counts.scored, counts.rejected)
    assert "5 rows read: 4 scored, 1 rejected" in page
    assert "words of a process that is down: &#x27;plant down&#x27;" in page
    assert "T-3" in page
    assert "the row has no id" in page
    assert "1 ticket with a confirmed cause of the rules" in page
    assert "<b>stops" not in page
    assert 5 == page.count('role="img"')


def test_the_report_is_written_whole_and_nothing_else_is_left(report):
    """The page stands beside the output; no half of a file stays."""
    assert ["out.jsonl", "out.jsonl.rejects.jsonl", "report.html", "tickets.csv"] == report[2]


@pytest.mark.parametrize("name", ["report.txt", "report", "nowhere/report.html"])
def test_a_report_that_cannot_be_written_is_refused_before_the_work(tmp_path, name):
    """Hours of scoring are not spent on a report that cannot be had."""
    with pytest.raises(InputFaulty):
        ensure_reportable(tmp_path / name)


def test_a_stream_is_not_reported_on():
    """A stream is not kept, so there is nothing to report on."""
    with pytest.raises(InputFaulty, match="neither resumed, measured nor reported on"):
        run_score(Job("-", "-", Plan(rules_directory()), report=rules_directory() / "x.html"))


def test_the_measures_of_the_page_are_those_that_are_measured():
    """Shares, tenths and confusions are carried over as they are."""
    right = {"cause": "a", "place": 1, "share": 0.8, "first": "a", "first_share": 0.8, "squared_error": 0.06}
    wrong = {"cause": "b", "place": 4, "share": 0.1, "first": "a", "first_share": 0.75, "squared_error": 1.4}
    given = {"next": {"plan_minutes": 30.0}, "given": {"minutes_spent": "100"}, "reason": None}
    found = measure([{"confirmed": right, **given}, {"confirmed": wrong, **given}])
    shown = show_measures(found)

    assert ((1, 0.5), (3, 0.5), (5, 1.0)) == shown.within
    assert (found.brier, found.log_score, 200.0, 60.0) == (
        shown.brier, shown.log_score, shown.spent, shown.planned
    )  # fmt: skip
    assert [("0.7 to 0.8", 1, 0.0), ("0.8 to 0.9", 1, 1.0)] == [
        (t.span, t.count, t.right) for t in shown.tenths
    ]
    assert [("b", "a", 1)] == [(c.confirmed, c.first, c.count) for c in shown.confused]
    assert None is show_measures(measure([]))


def test_json_counts_stay_json_with_a_report(report):
    """The counts of a reported score are plain data, measures left out that nobody asked for."""
    counts = report[0]

    assert None is json.loads(json.dumps(counts.as_dict()))["measures"]
