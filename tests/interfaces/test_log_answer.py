"""A stroke log as an answer: its observations become facts of the case, told in one short table."""

from pathlib import Path

import pytest
from session_steps import EMPTY, ask_next, at_complaint, say, start

from diagnose.facts.case_file import Repair, load_case, write_case
from diagnose.facts.model import Fact, Origin, OriginKind, State
from diagnose.interfaces.log_answer import find_log, say_facts
from diagnose.knowledge.shipped import cases_directory

LOG = cases_directory() / "logs" / "v_12_before.csv"


def test_a_log_becomes_facts_of_the_case(reasoner, tmp_path):
    """A path typed at a question adds what the log decides, moves the ranking and is saved with the case."""
    session = ask_next(at_complaint(reasoner, None), "stops_short_of_open", "water_inside")
    before = session.ranking()
    reply = say(session, str(LOG))
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")

    assert reply.accepted
    assert ("stops_short_of_open", "present", OriginKind.LOG) in {
        (f.observation, f.state, f.origin) for f in session.case.facts
    }
    assert before.causes != session.ranking().causes
    assert session.case == load_case(path, reasoner.knowledge)


def test_what_the_log_decided_is_not_asked(reasoner):
    """The question that the log answered is passed over; the next one in line comes."""
    session = ask_next(at_complaint(reasoner, None), "stops_short_of_open", "water_inside")
    say(session, str(LOG))

    assert "water_inside" == session.prompt().id


def test_a_log_may_come_before_everything_else(reasoner):
    """At the first circumstance a log is taken, and the circumstances are still asked."""
    session = start(reasoner)
    first = session.prompt()
    say(session, str(LOG))

    assert session.case.facts
    assert ("circumstance", first) == (first.kind, session.prompt())


def test_the_table_says_each_observation_once(reasoner):
    """One line an observation within 80 columns: what is there first, then what is not."""
    session = ask_next(at_complaint(reasoner, None), "water_inside")
    head, *lines = say(session, str(LOG)).lines
    marks = [line.split()[0] for line in lines[: len(session.case.facts)]]

    assert f"decides {len(session.case.facts)} observations" in head
    assert {"yes", "no"} == set(marks)
    assert sorted(marks, reverse=True) == marks
    assert all(len(line) <= 80 for line in lines)


def test_what_a_log_cannot_tell_comes_last_and_is_not_kept(reasoner, knowledge):
    """An undecided observation has a question mark."""
    unsure = Fact("coasts_far", State.UNKNOWN, Origin(OriginKind.LOG, "a.csv: too near to call"), (1, 1))
    sure = Fact("no_movement", State.ABSENT, Origin(OriginKind.LOG, "a.csv: 10 moves"), (0, 1))
    head, *lines = say_facts(Path("a.csv"), (unsure, sure), knowledge)

    assert "a.csv decides 1 observation and leaves 1 open." == head
    assert ["no", "?"] == [line.split()[0] for line in lines]
    assert "(10 moves)" in lines[0]


def test_a_second_log_stands_in_place_of_the_first(reasoner):
    """The same log again adds nothing; one after a repair is kept beside it."""
    session = ask_next(at_complaint(reasoner, None), "water_inside")
    say(session, str(LOG))
    once = session.case.facts
    say(session, str(LOG))
    assert once == session.case.facts
    repaired = session.case.model_copy(update={"repairs": (Repair(cause="open_cam_early"),)})
    again = start(reasoner, repaired)
    say(again, str(LOG.with_name("v_12_after.csv")))

    assert {"", "open_cam_early"} == {fact.after for fact in again.case.facts}


@pytest.mark.parametrize(
    "name, text",
    [
        ("missing.csv", None),
        ("empty.csv", ""),
        ("one.csv", "time_s,command_%,position_%\n0,0,0\n"),
        ("words.csv", "a,b\n1,2\n"),
    ],
)
def test_a_bad_log_is_refused_in_one_line(reasoner, tmp_path, name, text):
    """A log that cannot be read changes nothing; the line names it and the way around."""
    if text is not None:
        (tmp_path / name).write_text(text)
    session = ask_next(at_complaint(reasoner, None), "water_inside")
    before = session.moment
    reply = say(session, str(tmp_path / name))

    assert (False, 1, before) == (reply.accepted, len(reply.lines), session.moment)
    assert name in reply.lines[0]
    assert "diagnose stroke LOG --case FILE" in reply.lines[0]


def test_rules_without_limits_take_no_log(small_reasoner):
    """A rule base that holds no limits for logs says so."""
    session = start(small_reasoner, EMPTY)

    assert "no limits" in say(session, str(LOG)).lines[0]


@pytest.mark.parametrize(
    "text, found",
    [
        ("trend.csv", "trend.csv"),
        (" 'a b/trend.PARQUET' ", "a b/trend.PARQUET"),
        ("it hums", None),
        ("20.1 mA", None),
        ("see the csv", None),
    ],
)
def test_a_log_is_known_by_its_ending(text, found):
    """Only a text with the ending of a log is taken for one."""
    assert (Path(found) if found else None) == find_log(text)
