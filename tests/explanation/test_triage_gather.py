"""The triage document counts every ticket once and keeps its lists short."""

import pytest
from scored_rows import give, make_scored

from diagnose.explanation import triage_gather
from diagnose.explanation.triage_gather import TriageGather


def build(knowledge, rows, rejected=()):
    """Gather rows into a document."""
    gather = TriageGather(knowledge)
    for row in rows:
        gather.add(row)
    for row in rejected:
        gather.add_rejected(row)
    return gather.build("Backlog", None)


def test_counts_add_up(knowledge):
    """Statuses make the scored rows, levels the open ones, causes the tickets that have one."""
    rows = [
        make_scored(given=give(state="open")),
        make_scored(given=give(state="closed"), level="now"),
        make_scored(given=give(), level=None, status="ask_first"),
        make_scored(given=give(), level=None, cause="", status="not_covered", reason="other_equipment"),
        make_scored(
            given=give(state="closed"), confirmed={"cause": "cam_loose"}, status="ask_first", level=None
        ),
    ]
    found = build(knowledge, rows, [{"row": 9, "ticket": None, "reason": "line 9: the row has no id"}])

    assert (5, 1, 3) == (found.scored, found.rejected, found.open)
    assert {"ranked": 2, "ask_first": 2, "other_equipment": 1} == {c.name: c.count for c in found.statuses}
    assert 3 == sum(count.count for count in found.levels)
    assert [("open_cam_early", 2, 0), ("cam_loose", 1, 1)] == [
        (c.cause, c.tickets, c.confirmed) for c in found.causes
    ]
    assert pytest.approx([2 / 3, 1.0]) == [c.cumulative for c in found.causes]
    assert [("the row has no id", 1)] == [(c.name, c.count) for c in found.reasons]


def test_action_goes_by_danger_then_verdict_then_repeat_then_age(knowledge):
    """What waits for nothing stands first; closed tickets and what can wait are not in the list."""
    rows = [
        make_scored("late", given=give(opened="2026-03-02")),
        make_scored("early", given=give(opened="2026-03-01")),
        make_scored("back", given=give(opened="2026-03-03"), repeat_of="T-0"),
        make_scored("grave", given=give(opened="2026-03-04"), level="now"),
        make_scored(
            "down", given=give(opened="2026-03-05"), level="now", urgent={"process_down": "plant down"}
        ),
        make_scored("can wait", given=give(), level="monitor"),
        make_scored("done", given=give(state="closed"), level="now"),
        make_scored("undated", given=give(opened="tomorrow")),
    ]
    found = build(knowledge, rows)

    assert ["down", "grave", "back", "early", "late", "undated"] == [row.ticket for row in found.actions]
    assert [True] + [False] * 5 == [row.urgent for row in found.actions]
    assert {knowledge.causes["open_cam_early"].says} == {row.says for row in found.actions}


def test_an_asset_with_the_same_cause_twice_is_named(knowledge):
    """Two causes at one asset, or one cause at two, are no repeat."""
    rows = [
        make_scored("A", given=give("V-1", opened="2026-03-09")),
        make_scored("B", given=give("V-1", opened="2026-01-05", state="closed"), cause="cam_loose",
                    confirmed={"cause": "open_cam_early"}),
        make_scored("C", given=give("V-1"), cause="cam_loose"),
        make_scored("D", given=give("V-2")),
    ]  # fmt: skip
    (repeat,) = build(knowledge, rows).repeats

    assert ("V-1", "open_cam_early", 2, ("A", "B")) == (
        repeat.asset,
        repeat.cause,
        repeat.count,
        repeat.tickets,
    )
    assert ("2026-01-05", "2026-03-09") == (repeat.first, repeat.last)


def test_places_and_months_count_tickets_and_those_wanted_soon(knowledge):
    """Each site counts its tickets, its open ones, and those wanted now or by the next shift."""
    rows = [
        make_scored(given=give(site="Mill Weir", opened="2026-01-31"), level="monitor"),
        make_scored(given=give(site="Mill Weir", opened="2026-02-01", state="closed")),
        make_scored(given=give(opened="2026-02-01T10:00:00")),
        make_scored(given=give(site="", opened="")),
    ]
    found = build(knowledge, rows)

    assert [("Harrow Fen", 1, 1, 1), ("Mill Weir", 2, 1, 0)] == [
        (p.name, p.tickets, p.open, p.soon) for p in found.sites
    ]
    assert [("2026-01", 1, 1), ("2026-02", 2, 1)] == [(m.month, m.tickets, m.open) for m in found.months]


def test_a_call_back_asks_and_its_questions_are_counted(knowledge):
    """Open tickets that tell too little are listed with their questions; the commonest question first."""

    def ask(*questions):
        return [{"question": question} for question in questions]

    rows = [
        make_scored("A", status="ask_first", level=None, ask=ask("Hot?", "Wet?"), given=give()),
        make_scored("B", status="ask_first", level=None, ask=ask("Hot?"), given=give(opened="2026-01-01")),
        make_scored("C", status="ask_first", level=None, ask=ask("Hot?"), given=give(state="closed")),
    ]  # fmt: skip
    found = build(knowledge, rows)

    assert [("B", ("Hot?",)), ("A", ("Hot?", "Wet?"))] == [(a.ticket, a.questions) for a in found.asks]
    assert [("Hot?", 2), ("Wet?", 1)] == [(q.name, q.count) for q in found.questions]


def test_long_lists_are_cut_and_say_so(knowledge, monkeypatch):
    """What is not shown is counted: shown and left out make the whole."""
    for name in ("MOST_ACTIONS", "MOST_ASKS", "MOST_PLACES", "MOST_REJECTS", "MOST_VISITS", "MOST_REPEATS"):
        monkeypatch.setattr(triage_gather, name, 3)
    rows = [make_scored(given=give(f"V-{n % 9}", f"Site {n % 7}")) for n in range(90)]
    rows += [make_scored(status="ask_first", level=None, given=give()) for _ in range(8)]
    found = build(knowledge, rows, [{"row": n, "ticket": None, "reason": "no"} for n in range(5)])
    full = {"actions": 90, "asks": 8, "sites": 8, "assets": 10, "rejects": 5, "repeats": 9}

    for name, total in full.items():
        assert 3 == len(getattr(found, name))
        assert total - 3 == found.left_out[name]
    assert 3 == len(found.visits)
    assert found.left_out["visits"] > 0


def test_the_work_that_is_named_brings_its_safety_lines(knowledge):
    """Every caution of a visit or a next step that is shown stands in the document once."""
    step = {"inspection": None, "repair": None, "says": "Hand over", "cautions": ["Take care.", "Take care."]}
    rows = [
        make_scored(given=give("V-1"), next=step),
        make_scored(given=give("V-2")),
        make_scored(given=give("V-3")),
    ]
    found = build(knowledge, rows)

    assert "Take care." in found.cautions
    assert len(set(found.cautions)) == len(found.cautions)
    assert {line for visit in found.visits for line in visit.cautions} <= set(found.cautions)
    assert found.visits
