"""Tickets joined to visits: what may be joined, and the minutes that are saved."""

import re

import pytest
from scored_rows import give, make_scored

from diagnose.explanation.triage_visits import SHIFT_MINUTES, VisitGather

# the way from untouched to isolated and back by rules/access.yaml: 10 + 14 there, 12 back to the unit
WAY = 36


def gather(knowledge, rows):
    """Add rows in the order of their urgency."""
    found = VisitGather(knowledge)
    for place, row in enumerate(rows):
        found.add(row, row["given"]["site"] or row["given"]["asset"], (place,))
    return found


def at(asset, site="Harrow Fen", cause="open_cam_early", **more):
    """Make a ticket whose cause is mended with the unit isolated, by one person."""
    return make_scored(cause=cause, given=give(asset, site), **more)


def test_saved_minutes_are_those_of_single_visits_less_the_joined_one(knowledge):
    """Travel and permit are spent once a visit, the way into the access once an asset."""
    visit = gather(knowledge, [at("V-1"), at("V-1"), at("V-2")]).list_visits()[0]
    work = sum(stop.minutes for stop in visit.stops)
    single = 3 * (40 + 30 + WAY) + work

    assert 3 == len(visit.stops)
    assert 40 + 30 + 2 * WAY + work == visit.minutes
    assert single - visit.minutes == visit.saved
    assert (
        visit.arithmetic
        == "2 × 40 min travel + 2 × 30 min permit + 1 × 36 min into isolated and back = 176 min"
    )


def test_the_arithmetic_adds_up(knowledge):
    """Every visit's terms make the minutes it says it saves."""
    rows = [
        at(f"V-{n % 5}", f"Site {n % 3}", ["open_cam_early", "motor_capacitor_failed"][n % 2])
        for n in range(40)
    ]
    visits = gather(knowledge, rows).list_visits()

    assert visits
    for visit in visits:
        terms, _, total = visit.arithmetic.partition(" = ")
        parts = [int(a) * float(b) for a, b in re.findall(r"(\d+) × ([\d.]+) min", terms)]
        assert visit.saved == sum(parts) == float(total.removesuffix(" min"))


def test_a_shift_is_not_overfilled_and_urgent_tickets_go_first(knowledge):
    """A visit ends before the shift does; each ticket is in one visit."""
    rows = [at(f"V-{n}") for n in range(30)]
    visits = gather(knowledge, rows).list_visits()
    tickets = [stop.ticket for visit in visits for stop in visit.stops]

    assert len(visits) > 1
    assert all(visit.minutes <= SHIFT_MINUTES for visit in visits)
    assert len(set(tickets)) == len(tickets) >= len(rows) - 1
    assert any(rows[0]["ticket"] == visit.stops[0].ticket for visit in visits)


@pytest.mark.parametrize(
    "other",
    [{"site": "Mill Weir"}, {"cause": "card_left_in_manual"}, {"cause": "motor_winding_failed"}],
    ids=["another site", "another access", "more persons"],
)
def test_what_shares_nothing_is_not_joined(knowledge, other):
    """Another site, another access or other persons make another visit."""
    kinds = {(knowledge.remedy(c).access, knowledge.remedy(c).persons) for c in ("open_cam_early", other.get("cause"))
             if c}  # fmt: skip
    assert len(kinds) == len({"open_cam_early", other.get("cause", "open_cam_early")})
    assert [] == gather(knowledge, [at("V-1"), at("V-2", **other)]).list_visits()


def test_without_site_or_asset_nothing_is_joined(knowledge):
    """Nobody knows where to go: the ticket is in no visit."""
    assert [] == gather(knowledge, [at("", ""), at("", "")]).list_visits()


def test_two_tickets_without_asset_are_two_ways(knowledge):
    """A ticket that names no asset is taken for a unit of its own."""
    visit = gather(knowledge, [at(""), at("")]).list_visits()[0]

    assert "1 × 40 min travel + 1 × 30 min permit = 70 min" == visit.arithmetic


def test_a_planned_step_goes_before_the_repair_and_brings_its_cautions(knowledge):
    """With a next step its access, tools and safety lines count; after one by call the visit is for the repair."""
    name = next(n for n, i in knowledge.inspections.items() if i.access == "isolated" and i.tools)
    by_call = next(n for n, i in knowledge.looks.items() if i.access == "as_found")
    step = {"inspection": name, "repair": None, "says": "Look", "cautions": ["Take care."]}
    rows = [at("V-1", next=step), at("V-2", next=step), at("V-3", next={**step, "inspection": by_call})]
    found = gather(knowledge, rows)
    visit = found.list_visits()[0]

    repair = knowledge.remedy("open_cam_early")

    assert ["Look", "Look", repair.says] == [stop.work for stop in visit.stops]
    assert "Take care." == visit.cautions[0]
    assert set(knowledge.inspections[name].tools) - {"none"} <= set(visit.tools)
    assert 1 == found.by_call


def test_a_repair_brings_every_safety_line_of_its_work(knowledge):
    """Without the planner the lines are those of the repair and of the way to it."""
    visit = gather(knowledge, [at("V-1"), at("V-2")]).list_visits()[0]
    remedy = knowledge.remedy("open_cam_early")
    called = {line for act in (*remedy.acts, *knowledge.access.states["isolated"].acts)
              for line in knowledge.cautions.acts[act]} | set(remedy.cautions)  # fmt: skip

    assert {knowledge.cautions.lines[name].says for name in called} == set(visit.cautions)


def test_parts_are_expected_by_the_chances_of_their_causes(knowledge):
    """A part counts with the chance of each cause that needs it, from one in five on."""
    cause = next(name for name, one in knowledge.causes.items() if one.remedy.parts)
    part = knowledge.remedy(cause).parts[0]
    rows = [
        at("V-1", cause=cause, chance=0.5),
        at("V-2", cause=cause, chance=0.25),
        at("V-3", cause=cause, chance=0.19),
    ]
    stock = next(one for one in gather(knowledge, rows).list_parts() if one.name == part)

    assert (2, 0.75) == (stock.tickets, stock.expected)
