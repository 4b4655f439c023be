"""The question session without a terminal: what is asked, what an answer changes."""

from dataclasses import replace

import pytest
from session_steps import EMPTY, asked, say, start, until, with_facts

from diagnose.facts.case_file import (
    CaseFact,
    evidence_of_case,
    load_case,
    write_case,
)
from diagnose.facts.case_readings import CaseReading
from diagnose.facts.model import OriginKind
from diagnose.interfaces.answers import read_answer
from diagnose.interfaces.session import Session
from diagnose.knowledge.unit import UnitRecord

# --- circumstances and complaint


def test_each_circumstance_can_be_skipped(reasoner, knowledge):
    """Nothing typed passes a circumstance; then comes the complaint."""
    session, first = start(reasoner), []
    while (prompt := session.prompt()).kind == "circumstance":
        first.append(prompt.id)
        say(session, "")

    assert [name for name, record in knowledge.circumstances.items() if record.asked_first] == first
    assert "complaint" == prompt.kind
    assert {} == session.case.circumstances


def test_a_circumstance_is_kept_by_number(reasoner, knowledge):
    """A number chooses a value; where several may hold, several numbers do."""
    session = start(reasoner)
    kept = {}
    while (prompt := session.prompt()).kind == "circumstance":
        record = knowledge.circumstances[prompt.id]
        say(session, "1,2" if record.several else "1")
        kept[prompt.id] = tuple(record.values)[: 2 if record.several else 1]

    assert kept == session.case.circumstances


@pytest.mark.parametrize("line", ["99", "0", "1,2", "blue", "yes", "no"])
def test_a_wrong_choice_changes_nothing(reasoner, line):
    """What is no choice is refused with what may be typed, and the question stays."""
    session = start(reasoner)
    before = session.prompt()
    reply = say(session, line)

    assert not reply.accepted
    assert before.hint in reply.lines[0]
    assert before == session.prompt()
    assert not session.back()


def test_a_circumstance_is_kept_by_its_words(reasoner):
    """The beginning of a choice stands for its number."""
    session = start(reasoner)
    while session.prompt().id != "hazardous_area":
        say(session, "")
    say(session, "no hazardous")

    assert ("safe",) == session.case.circumstances["hazardous_area"]


def test_a_unit_record_skips_what_it_tells(reasoner):
    """The nameplate answers duty and motor, so neither is asked."""
    unit = UnitRecord(asset="V-12", duty="modulating", motor="single_phase")
    session, first = start(reasoner, EMPTY.model_copy(update={"unit": unit})), []
    while (prompt := session.prompt()).kind == "circumstance":
        first.append(prompt.id)
        say(session, "")

    assert first
    assert set() == {"duty", "motor"} & set(first)


def test_a_family_opens_its_observations(small_reasoner, small_base):
    """A family chosen by number asks its observations first, in their order."""
    session = start(small_reasoner)

    assert small_base.families["wrong_end"].says in session.prompt().choices
    say(session, "1")
    assert "stops_short" == session.prompt().id


def test_words_that_match_nothing_are_asked_again(small_reasoner):
    """Words change nothing where the rule base reads none."""
    session = start(small_reasoner)

    assert not say(session, "xyzzy").accepted
    assert "complaint" == session.prompt().kind
    assert "" == session.case.call


# --- answers


@pytest.mark.parametrize(
    "line, state", [("yes", "present"), ("no", "absent"), ("?", "unknown"), ("", "unknown")]
)
def test_an_answer_becomes_a_fact(small_reasoner, line, state):
    """Yes, no and don't know are kept as present, absent and unknown."""
    session = start(small_reasoner)
    say(session, "1", line)

    assert [("stops_short", state)] == [(f.observation, f.state) for f in session.case.facts]


def test_an_answer_tells_how_the_ranking_moved(small_reasoner):
    """After a telling answer each of the first causes has a line with before and after; else one says so."""
    session = start(small_reasoner)
    telling = say(session, "1", "yes")
    silent = say(session, "?")

    assert 3 == len(telling.lines)
    assert all("->" in line and len(line) <= 80 for line in telling.lines)
    assert ("The ranking stays as it was.",) == silent.lines


def test_text_where_no_reading_is_asked_changes_nothing(small_reasoner):
    """A number at a yes-or-no question is refused."""
    session = start(small_reasoner)
    say(session, "1")

    assert not say(session, "20 mA").accepted
    assert "stops_short" == session.prompt().id


def at_current(small_reasoner) -> Session:
    """Stand at the question for the current, which a reading may answer."""
    session = start(small_reasoner)
    say(session, "")
    session.moment = replace(session.moment, pending=("current_high",))
    assert "current_high" == session.prompt().id
    return session


def test_a_reading_stands_in_place_of_yes(small_reasoner):
    """A reading with a unit, converted, decides the observation."""
    session = at_current(small_reasoner)

    assert session.prompt().hint.endswith("a reading in A")
    assert say(session, "3200 mA").accepted
    facts = evidence_of_case(session.case, small_reasoner.knowledge).facts
    assert [("current_high", "present")] == [(f.observation, f.state.value) for f in facts]
    assert "current_high" != session.prompt().id


def test_a_reading_too_near_to_its_limit_is_unknown(small_reasoner):
    """A value within its uncertainty of the limit decides nothing and says so."""
    session = at_current(small_reasoner)
    reply = say(session, "2.05 A")

    assert any("too near to call within 0.1 A" in line for line in reply.lines)
    assert (
        small_reasoner.rank(evidence_of_case(EMPTY, small_reasoner.knowledge)).causes
        == session.ranking().causes
    )


@pytest.mark.parametrize(
    "line, words",
    [
        ("3", "has no unit"),
        ("3 V", "measures something else"),
        ("3 furlong/stone", "measures something else"),
        ("3 qqq", "is no unit known here"),
        ("60 A", "lies between 0 and 50 A"),
        ("many A", "is not a number with a unit"),
    ],
)
def test_a_wrong_reading_is_refused_with_the_reason(small_reasoner, line, words):
    """No unit, a wrong unit and an impossible value change nothing."""
    session = at_current(small_reasoner)
    reply = say(session, line)

    assert not reply.accepted
    assert words in reply.lines[0]
    assert () == session.case.readings


def test_a_reading_without_its_nominal_value_asks_for_yes_or_no(small_reasoner):
    """Where the limit hangs on an unknown nameplate value, what is left open is asked in words."""
    session = start(small_reasoner)
    say(session, "")
    session.moment = replace(session.moment, pending=("supply_low",))
    say(session, "200 V")

    assert "supply_low" == session.prompt().id
    assert say(session, "yes").accepted
    assert "supply_low" != session.prompt().id


# --- never asked


def test_the_group_of_what_was_seen_is_not_asked(small_reasoner):
    """Short of open rules out past open, so that is never asked."""
    session = start(small_reasoner)
    say(session, "1", "yes")

    assert "runs_past_open" not in asked(session)


@pytest.mark.parametrize("answer", ["?", "no"])
def test_nothing_is_asked_twice(small_reasoner, answer):
    """Unknown answers count as answered; the session comes to an end."""
    session = start(small_reasoner)
    say(session, "1")
    found = asked(session, answer)

    assert len(found) > 3
    assert len(set(found)) == len(found)
    assert "finished" == session.prompt().kind


def test_what_is_given_in_the_case_is_not_asked(small_reasoner):
    """Facts, unknown ones too, and readings of a case are not asked again."""
    case = with_facts(stops_short="absent", motor_hums="unknown").model_copy(
        update={"readings": (CaseReading(reading="end_current", value="3 A"),)}
    )

    assert set() == {"stops_short", "motor_hums", "current_high"} & set(asked(start(small_reasoner, case)))


def test_what_cannot_be_seen_is_not_asked(small_reasoner):
    """A unit without supply cannot be seen to stop short, and its cover is not opened live."""
    session = start(small_reasoner, with_facts(supply_dead="present"))

    assert set() == {"stops_short", "switch_made"} & set(asked(session))


def test_an_observation_that_follows_from_a_rule_is_not_asked(small_reasoner):
    """What rules conclude is never a question."""
    assert "short_by_limit" not in asked(start(small_reasoner))


def test_told_both_ways_is_asked_once_more_and_no_more(small_reasoner):
    """A contradiction between two origins is asked again first; the answer ends it either way."""
    case = EMPTY.model_copy(
        update={
            "facts": (CaseFact(observation="current_high", state="absent", origin=OriginKind.CASE),),
            "readings": (CaseReading(reading="end_current", value="3 A"),),
        }
    )

    assert asked(start(small_reasoner, case), "no").count("current_high") <= 1
    session = start(small_reasoner, case)
    assert asked(session, "yes").count("current_high") <= 1


def test_an_answer_given_again_replaces_the_first(small_reasoner, small_base, tmp_path):
    """Two opposite answers of one origin never stand in one saved case, which reads back."""
    session = start(small_reasoner, with_facts(stops_short="absent"))
    prompt = session.prompt()
    again = prompt.__class__("observation", "stops_short", "?")
    session.answer(again, read_answer("yes"))
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")

    assert session.case == load_case(path, small_base)
    assert [("stops_short", "present")] == [(f.observation, f.state) for f in session.case.facts]


# --- cautions, why, back


def test_a_question_carries_the_cautions_of_its_look(small_reasoner, small_base):
    """Whatever is asked, the safety lines of the proposed look are all on the prompt."""
    session = start(small_reasoner)
    say(session, "1", "yes")
    for _ in range(20):
        step = session.next_step()
        prompt = session.prompt()
        if prompt.kind == "finished":
            break
        if session.moment.look == step.id:
            assert set(small_reasoner.say_cautions(step.cautions)) <= set(prompt.cautions)
        if session.moment.look == "look_at_switch":
            assert small_base.cautions.lines["lock_out"].says in prompt.cautions
        say(session, "3" if prompt.kind == "repair" else "?")
    else:
        raise AssertionError("the session did not end")


def test_a_repair_carries_its_cautions(small_reasoner, small_base):
    """The prompt of a repair holds the safety lines of the remedy and its way."""
    session = start(small_reasoner, with_facts(stops_short="present", switch_made="present"))
    prompt = until(session, "repair", "?")

    assert small_base.cautions.lines["lock_out"].says in prompt.cautions
    assert any(line.startswith("proved when") for line in prompt.detail)


def test_why_tells_what_each_answer_would_do(small_reasoner):
    """`why` names the first causes after yes and no, as answering gives them."""
    session = start(small_reasoner)
    say(session, "1")
    lines = session.why(session.prompt())
    say(session, "yes")
    first = session.ranking().causes[0]

    assert any(f"Yes would give {first.cause}" in line for line in lines)
    assert any(line.startswith("No would give") for line in lines)


@pytest.mark.parametrize("kind", ["circumstance", "complaint", "observation", "repair", "close", "finished"])
def test_why_answers_at_every_prompt(reasoner, small_reasoner, kind):
    """No prompt is without a why."""
    session = start(reasoner if kind == "circumstance" else small_reasoner)
    if kind == "close":
        session.close()
    elif kind == "repair":
        session = start(small_reasoner, with_facts(stops_short="present", switch_made="present"))
        until(session, "repair", "?")
    elif kind in {"observation", "finished"}:
        say(session, "1")
        if kind == "finished":
            asked(session)

    assert kind == session.prompt().kind
    assert all(session.why(session.prompt()))


def test_back_takes_answers_back_one_by_one(small_reasoner):
    """Back restores the question, the case and the ranking; at the start there is nothing to take back."""
    session = start(small_reasoner)
    moments = []
    for line in ("1", "no", "yes"):
        moments.append((session.prompt(), session.case, session.ranking()))
        say(session, line)
    for prompt, case, ranking in reversed(moments):
        assert session.back()
        assert (prompt, case) == (session.prompt(), session.case)
        assert ranking == session.ranking()

    assert not session.back()
