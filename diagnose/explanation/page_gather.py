"""Gather the pages of an id: every kind of entry that bears it.

Takes the knowledge base and an id, gives Page documents; may import next_step and above.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from diagnose.errors import UsageWrong
from diagnose.explanation.linking import is_asked_by, list_showing, list_works
from diagnose.explanation.page import Kind, Line, Page, Section
from diagnose.explanation.page_causes import (
    gather_cause,
    gather_consequence,
    list_cause_cautions,
    list_state_cautions,
)
from diagnose.explanation.page_seeing import (
    gather_circumstance,
    gather_inspection,
    gather_observation,
    gather_reading,
)
from diagnose.explanation.page_words import (
    list_work_cautions,
    say_cautions,
    say_name,
    write_condition,
    write_section,
    write_shown,
)
from diagnose.explanation.text import shorten
from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge

_Gather = Callable[[Knowledge, str], tuple[Section, ...]]
_MOST_NEAR = 4
_WIDEST_NAME = 60


def find_pages(knowledge: Knowledge, name: str) -> tuple[Page, ...]:
    """Gather every page that an id has; the same word may be a circumstance and a caution.

    Args:
        knowledge: The loaded rule base.
        name: An id in any case; `cause.mode` gives the cause, `look_for_x` gives the observation x.

    Returns:
        One page for each kind of entry that bears the id, at least one.

    Raises:
        UsageWrong: Nothing bears the id; the nearest known ones are named.
    """
    wanted = name.strip().lower().partition(".")[0].removeprefix("look_for_")
    pages = tuple(
        _page(knowledge, kind, wanted)
        for kind, (entries, _) in _kinds(knowledge).items()
        if wanted in entries
    )
    if not pages:
        raise UsageWrong(f"no id '{shorten(name, _WIDEST_NAME)}'; {_near(knowledge, wanted)}")
    return pages


def _kinds(knowledge: Knowledge) -> dict[Kind, tuple[Mapping[str, Any], _Gather]]:
    return {
        "cause": (knowledge.causes, gather_cause),
        "consequence": (knowledge.consequences, gather_consequence),
        "observation": (knowledge.observations, gather_observation),
        "inspection": (knowledge.inspections, gather_inspection),
        "reading": (knowledge.readings, gather_reading),
        "circumstance": (knowledge.circumstances, gather_circumstance),
        "rule": (knowledge.rules, gather_rule),
        "caution": (knowledge.cautions.lines, gather_caution),
    }


def _page(knowledge: Knowledge, kind: Kind, name: str) -> Page:
    entries, gather = _kinds(knowledge)[kind]
    return Page(
        id=name,
        kind=kind,
        says=entries[name].question if kind == "circumstance" else entries[name].says,
        sections=gather(knowledge, name),
        cautions=say_cautions(knowledge, _caution_ids(knowledge, kind, name)),
        deferral=knowledge.cautions.deferral,
        source=entries[name].source,
        rules_version=knowledge.version,
    )


def _caution_ids(knowledge: Knowledge, kind: Kind, name: str) -> Iterable[str]:
    """Name the safety lines of the work that a page tells."""
    if kind == "cause":
        return list_cause_cautions(knowledge, name)
    if kind == "consequence":
        return list_state_cautions(knowledge, name)
    if kind == "inspection":
        return list_work_cautions(knowledge, knowledge.inspections[name])
    if kind == "observation" and not knowledge.observations[name].derived:
        record = knowledge.observations[name]
        look = Work(says=record.says, access=record.access, minutes=record.minutes, acts=record.acts)
        return list_work_cautions(knowledge, look)
    return ()


def _near(knowledge: Knowledge, name: str) -> str:
    """Word the cure: the nearest ids, by spelling or by a word they hold."""
    known = sorted({entry for entries, _ in _kinds(knowledge).values() for entry in entries})
    close = difflib.get_close_matches(name, known, n=_MOST_NEAR, cutoff=0.6)
    holding = [entry for entry in known if len(name) > 2 and name in entry]
    found = list(dict.fromkeys([*close, *holding]))[:_MOST_NEAR]
    return f"nearest: {', '.join(found)}" if found else "see the ids in the rule files"


def gather_rule(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a derived rule: its condition, what it concludes, who uses that."""
    rule = knowledge.rules[name]
    asks = {atom.name: None for atom in rule.when.atoms()}
    made = rule.concludes
    target = made.observation or made.ruled_out or made.caution or ""
    what = "concludes" if made.observation else "rules out" if made.ruled_out else "caution"
    tests = [Line(note="fires on", says=case) for case in rule.fires_on]
    tests += [Line(note="silent on", says=case) for case in rule.silent_on]
    ways = list_showing(knowledge, made.observation) if made.observation else ()
    return (
        *write_section("When", [Line(says=write_condition(rule.when))]),
        *write_section("Asks", (Line(id=asked, says=say_name(knowledge, asked)) for asked in asks)),
        *write_section("Then", [Line(note=what, id=target, says=say_name(knowledge, target))]),
        *write_section("Replaces", (Line(id=o, says=say_name(knowledge, o)) for o in rule.over)),
        *write_section("Speaks for", (write_shown(knowledge, w, w.cause) for w in ways if w.probability)),
        *write_section("Leads on to", _later_rules(knowledge, made.observation)),
        *write_section("Tried on", tests),
    )


def _later_rules(knowledge: Knowledge, concluded: str | None) -> tuple[Line, ...]:
    return tuple(
        Line(note="rule", id=rule.id, says=rule.says)
        for rule in knowledge.rules.values()
        if concluded is not None and is_asked_by(rule.when, concluded)
    )


def gather_caution(knowledge: Knowledge, name: str) -> tuple[Section, ...]:
    """Gather the page of a safety line: the acts that call for it, and the work that prints it."""
    acts = (
        Line(says=act.replace("_", " ")) for act, lines in knowledge.cautions.acts.items() if name in lines
    )
    rules = (
        Line(note="rule", id=rule.id, says=rule.says)
        for rule in knowledge.rules.values()
        if rule.concludes.caution == name
    )
    needless = knowledge.cautions.lines[name].needless_where
    works = (
        Line(note=kind, id=owner, says=work.says)
        for kind, owner, work in list_works(knowledge)
        if name in list_work_cautions(knowledge, work)
    )
    return (
        *write_section("Called for by the acts", acts),
        *write_section("Called for by", rules),
        *write_section(
            "No work calls for it where", [Line(says=write_condition(needless))] if needless else ()
        ),
        *write_section("Printed with", works),
    )
