"""What the last closed ticket of an asset adds to the next one."""

from datetime import datetime, timedelta

import pytest

from diagnose.facts.from_history import EarlierTicket, HistoryReader

OPENED = datetime.fromisoformat("2026-03-01T08:00")
STOPS_SHORT = "stops short of open"


@pytest.fixture(scope="module")
def history(knowledge, reader):
    """Make a reader of earlier tickets."""
    return HistoryReader(knowledge, reader)


@pytest.fixture
def add(history, reader):
    """Give a function that adds an earlier ticket to one that stops short of open."""

    def add_one(days=10, *, text=STOPS_SHORT, cause="", done="", parts="", now=STOPS_SHORT):
        earlier = EarlierTicket("T-1", OPENED, cause, text, done, parts)
        return history.add_earlier(reader.read({"text": now}), earlier, OPENED + timedelta(days=days))

    return add_one


def work(found):
    """List the recent work of a reading."""
    return {c.value for c in found.reading.evidence.circumstances if c.circumstance == "recent_work"}


@pytest.mark.parametrize(
    "told, repaired, recent",
    [
        ({"cause": "open_cam_early"}, ("open_cam_early",), set()),
        ({"cause": "motor_brake_fault.drags"}, ("motor_brake_fault.drags",), set()),
        ({"parts": "card"}, ("card_failed",), {"card_changed_or_set"}),
        ({"done": "fitted a new brake"}, ("motor_brake_fault",), {"motor_changed"}),
        (
            {"cause": "open_cam_early", "parts": "capacitor"},
            ("open_cam_early", "motor_capacitor_failed"),
            {"motor_changed"},
        ),
        ({"cause": "no_such_cause"}, (), set()),
    ],
)
def test_the_same_trouble_weighs_down_what_was_repaired_or_swapped(add, told, repaired, recent):
    """A like complaint soon after says that the repair, or the new part, did not cure it."""
    found = add(**told)

    assert found.is_same
    assert repaired == found.reading.evidence.repaired
    assert recent == work(found)
    assert "T-1 (2026-03-01): the same trouble is back" in found.note


def test_another_trouble_makes_the_work_recent_and_no_more(add):
    """A different complaint is no evidence against the new part."""
    found = add(text="water inside the cover", parts="card")

    assert not found.is_same
    assert () == found.reading.evidence.repaired
    assert {"card_changed_or_set"} == work(found)


@pytest.mark.parametrize(
    "days, is_same, is_recent", [(30, True, True), (31, False, True), (90, False, True), (91, False, False)]
)
def test_time_parts_the_two(add, knowledge, days, is_same, is_recent):
    """The limits in days are those of the rule base, the last day included."""
    backlog = knowledge.settings.backlog
    found = add(days, parts="card")

    assert (30, 90) == (backlog.same_trouble_days, backlog.recent_work_days)
    assert is_same == found.is_same
    assert is_recent == bool(work(found))
    assert is_same or is_recent or not found.note


def test_the_word_of_the_ticket_on_recent_work_goes_first(add):
    """What the ticket tells of recent work itself is not added to."""
    found = add(parts="card", now="stops short of open since the cable was rewired")

    assert {"wired"} == work(found)


def test_a_repair_in_vain_weighs_by_the_chance_that_it_failed(reasoner, reader, add, knowledge):
    """The odds of a cause that was put right fall by the success of its remedy."""
    before = reasoner.rank(reader.read({"text": STOPS_SHORT}).evidence)
    after = reasoner.rank(add(cause="open_cam_early").reading.evidence)
    odds = [
        next(r.prior / (1 - r.prior) for r in ranking.causes if r.cause == "open_cam_early")
        for ranking in (before, after)
    ]

    # priors are conditioned on "something is wrong", which moves them by less than a hundredth
    assert 1 - knowledge.remedy("open_cam_early", None).success == pytest.approx(odds[1] / odds[0], rel=0.05)
