"""The closed tickets of each asset: which one is the last before a ticket, and how many are kept."""

import csv
import gzip
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.facts.from_history import is_closed, parse_moment
from diagnose.interfaces.batch import Job, run_score
from diagnose.interfaces.scoring import Plan
from diagnose.interfaces.tickets.history import History, attach_earlier, load_history
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.shipped import rules_directory


def row(number, opened, asset="V-12", **values):
    """Make a closed ticket."""
    told = {"state": "closed", "confirmed_cause": "open_cam_early", "text": "stops short of open", **values}
    return Row(number, {"id": f"T-{number}", "asset": asset, "opened": opened, **told})


def found(history, opened, asset="V-12"):
    """Name the ticket that is found for one opened then."""
    earlier = history.find(row(99, opened, asset))
    return earlier.ticket if earlier else None


@pytest.fixture
def history():
    """Keep three tickets of two assets, out of order."""
    history = History()
    for one in (row(3, "2026-03-03"), row(1, "2026-01-01"), row(2, "2026-02-02", "V-7")):
        history.add(one)
    return history


@pytest.mark.parametrize(
    "opened, asset, ticket",
    [
        ("2026-04-01", "V-12", "T-3"),
        ("2026-03-03", "V-12", "T-1"),
        ("2026-03-03T00:00:01", "V-12", "T-3"),
        ("2026-01-01", "V-12", None),
        ("2026-04-01", "V-7", "T-2"),
        ("2026-04-01", "V-8", None),
        ("2026-04-01", "", None),
        ("soon", "V-12", None),
    ],
)
def test_the_last_one_opened_before_is_found(history, opened, asset, ticket):
    """Order of time counts, not that of the file; a ticket is not earlier than itself."""
    assert ticket == found(history, opened, asset)


@pytest.mark.parametrize(
    "values",
    [
        {"state": "open"},
        {"state": "", "confirmed_cause": "", "done": "greased"},
        {"confirmed_cause": ""},
        {"asset": ""},
        {"opened": "03/04/2026"},
    ],
)
def test_only_closed_tickets_that_tell_something_are_kept(values):
    """A ticket counts when it is closed, dated, of an asset, and says what was found or done."""
    history = History()
    one = row(1, "2026-01-01")
    history.add(Row(1, {**one.values, **values}))

    assert 0 == len(history)


def test_the_oldest_go_when_it_is_full():
    """Memory stays bounded: of many tickets the newest are kept."""
    history = History(most=3)
    for day in (5, 1, 4, 2, 3):
        history.add(row(day, f"2026-01-0{day}", asset=f"V-{day % 2}"))

    assert 3 == len(history)
    assert ["T-5", "T-4"] == [found(history, "2026-02-01", asset) for asset in ("V-1", "V-0")]
    assert "T-3" == found(history, "2026-01-05", "V-1")
    assert None is found(history, "2026-01-03", "V-1")


def test_a_stream_learns_from_the_rows_that_passed():
    """Of a stream only what came before is known."""
    rows = [row(2, "2026-02-02"), row(1, "2026-01-01"), row(3, "2026-03-03")]
    earlier = [one.earlier for one in attach_earlier(iter(rows), History(), learns=True)]

    assert [None, None, "T-2"] == [one and one.ticket for one in earlier]


@pytest.mark.parametrize(
    "values, closed",
    [
        ({"state": "Closed"}, True),
        ({"state": "open", "confirmed_cause": "x"}, False),
        ({"confirmed_cause": "x"}, True),
        ({}, False),
    ],
)
def test_a_ticket_is_closed_by_its_state_or_else_by_its_cause(values, closed):
    """Without a state, a confirmed cause tells that the work is done."""
    assert closed == is_closed(values)


def test_moments_are_compared_in_one_zone():
    """A moment with a zone is brought to universal time; one without is taken as it stands."""
    assert parse_moment("2026-03-01T10:00:00") == parse_moment("2026-03-01T12:00:00+02:00")
    assert None is parse_moment("1 March")


@given(st.one_of(st.text(), st.datetimes(timezones=st.timezones()).map(str), st.dates().map(str)))
def test_no_text_for_a_moment_breaks_it(text):
    """Any text gives a moment without a zone, or nothing; the ends of the calendar too."""
    moment = parse_moment(text)

    assert moment is None or moment.tzinfo is None
    assert None is parse_moment("0001-01-01T00:00:00+14:00")


def test_a_file_in_any_order_scores_with_its_history(tmp_path):
    """A newer row above its older one knows it; the repair counts against its cause, and the ticket comes sooner."""
    names = ["id", "text", "asset", "opened", "state", "confirmed_cause"]
    path, out = tmp_path / "tickets.csv", tmp_path / "out.jsonl"
    with path.open("w", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(names)
        writer.writerow(["T-2", "stops short of open", "V-12", "2026-03-10", "open", ""])
        writer.writerow(["T-3", "stops short of open", "V-7", "2026-03-10", "open", ""])
        writer.writerow(["T-1", "stops short of open", "V-12", "2026-03-01", "closed", "open_cam_early"])
    run_score(Job(str(path), str(out), Plan(rules_directory(), with_next=False), quiet=True))
    back, alone, _ = [json.loads(line) for line in out.read_text().splitlines()]

    assert "T-1" == back["repeat_of"]
    assert "repeat_of" not in alone
    assert "the same trouble is back after open_cam_early" in back["notes"][0]
    chance = [
        next((c["probability"] for c in one["causes"] if c["cause"] == "open_cam_early"), 0)
        for one in (back, alone)
    ]
    assert chance[0] < chance[1] / 3
    assert "the trouble of ticket T-1 is back" in back["priority"]["why"]


def test_a_file_that_breaks_off_gives_the_history_before(tmp_path):
    """What is wrong with a file is told when its rows are scored, not before."""
    path = tmp_path / "tickets.csv.gz"
    head = "id,text,asset,opened,state,done\n1,dead,V-1,2026-01-01,closed,greased\n"
    filling = "".join(f"{n},dead {n * n},V-{n},2026-01-02,closed,greased {n * n}\n" for n in range(20_000))
    packed = gzip.compress((head + filling).encode())
    path.write_bytes(packed[: len(packed) // 2])

    assert 0 < len(load_history(str(path), {})) < 20_001


def test_a_file_without_assets_is_not_read_beforehand(tmp_path):
    """Without the columns that history needs, one row is looked at and nothing kept."""
    path = tmp_path / "tickets.csv"
    path.write_text("id,text\n1,dead\n")

    assert 0 == len(load_history(str(path), {}))
