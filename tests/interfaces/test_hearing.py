"""Typed words: read, shown with the words they came from, struck out where wrong, kept in the case."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from session_steps import EMPTY, ask_next, asked, at_complaint, say, start

from diagnose.facts.case_file import (
    CaseFact,
    Repair,
    evidence_of_case,
    load_case,
    write_case,
)
from diagnose.facts.combine import merge_evidence
from diagnose.facts.from_ticket import TicketReader, TicketReading
from diagnose.facts.model import (
    CircumstanceFact,
    Evidence,
    Fact,
    Mention,
    Origin,
    OriginKind,
    State,
)
from diagnose.interfaces.hearing import (
    add_words,
    build_reader,
    list_doubtful,
    name_case,
    say_each,
    strike_out,
)

HUNTS = "hunting at mid travel, torque trip"


def states(session) -> set[tuple[str, str, str]]:
    """Give observation, state and words of the facts read out of words."""
    return {(f.observation, f.state, f.words) for f in session.case.facts}


def read(observation: str, state: State, start: int = 0, end: int = 4) -> Fact:
    """Make a fact as read out of words."""
    return Fact(observation, state, Origin(OriginKind.TICKET, "word", start, end), (0.95, 0.05))


# --- what is read and shown


def test_words_become_facts_with_the_words_they_came_from(reasoner, reader):
    """The complaint in words gives ticket facts, each shown in the rule base's sentence with its words."""
    session = at_complaint(reasoner, reader)
    before = session.ranking()
    reply = say(session, HUNTS)
    prompt = session.prompt()

    assert reply.accepted
    assert ("hunts_only_at_one_place", "present", "hunting at mid travel") in states(session)
    assert "heard" == prompt.kind
    assert any(line.endswith('("torque trip")') for line in prompt.choices)
    assert before.causes != session.ranking().causes
    assert HUNTS == session.case.call


def test_what_is_right_goes_on_to_the_next_question(reasoner, reader):
    """Enter makes what was read count like an answer, and nothing of it is asked again."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS)
    read_first = states(session)
    say(session, "")

    assert read_first == states(session)
    assert {OriginKind.CASE} == {fact.origin for fact in session.case.facts}
    assert set() == {name for name, _, _ in read_first} & set(asked(session))


def test_what_is_struck_out_is_asked_outright(reasoner, reader):
    """A number takes one fact back and asks for it; the rest stands."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS)
    number = next(n for n, line in enumerate(session.prompt().choices, 1) if "one place" in line)
    all_read = states(session)
    say(session, str(number))
    (gone,) = all_read - states(session)

    assert "hunts_only_at_one_place" == gone[0]
    assert ("observation", "hunts_only_at_one_place") == (session.prompt().kind, session.prompt().id)


def test_no_strikes_all_out(reasoner, reader):
    """`no` leaves nothing of the words but the call itself."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS, "no")

    assert () == session.case.facts
    assert HUNTS == session.case.call


@pytest.mark.parametrize("line", ["?", "99", "0", "work it out"])
def test_a_wrong_number_leaves_what_was_read(reasoner, reader, line):
    """What is no number of the list is refused with what may be typed."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS)
    before = session.moment

    assert not say(session, line).accepted
    assert before == session.moment


def test_back_takes_words_back(reasoner, reader):
    """One `back` undoes the look over, the next one the words."""
    session = at_complaint(reasoner, reader)
    empty = session.case
    say(session, HUNTS, "")
    session.back()
    assert "heard" == session.prompt().kind
    session.back()

    assert ("complaint", empty) == (session.prompt().kind, session.case)


def test_words_may_be_typed_at_any_question(reasoner, reader):
    """At a question for one thing another thing may be told; the question comes again after the look over."""
    session = ask_next(at_complaint(reasoner, reader), "torque_trip")
    asked = session.prompt()
    say(session, "water inside the switch compartment")

    assert ("water_inside", "present") in {(name, state) for name, state, _ in states(session)}
    say(session, "")
    assert asked.id == session.prompt().id


@pytest.mark.parametrize("line", ["yse", "12 mA", "blue", "nothing yet"])
def test_what_tells_nothing_is_refused_at_a_question(reasoner, reader, line):
    """A typing error at a question is no fact."""
    session = ask_next(at_complaint(reasoner, reader), "torque_trip")
    before = session.case

    assert not say(session, line).accepted
    assert before == session.case


def test_words_not_looked_over_count_less_than_an_answer(reasoner, reader):
    """Until it was looked over a fact out of words has the trust of a ticket, and is in the case already."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS)

    assert {OriginKind.TICKET} == {fact.origin for fact in session.case.facts}


def test_hearsay_stays_hearsay(reasoner, reader):
    """What a person is quoted for counts as hearsay, looked over or not, and may be asked."""
    session = at_complaint(reasoner, reader)
    say(session, "operator says breaker trips")
    assert "hearsay)" in session.prompt().choices[0]
    say(session, "")

    (origin,) = [f.origin for f in session.case.facts if f.observation == "protection_trips"]
    assert OriginKind.HEARSAY is origin


def test_a_circumstance_told_outright_stands(reasoner, reader):
    """Words do not overrule what was answered, and add what was not."""
    session = at_complaint(reasoner, reader, surroundings="dry")
    say(session, "outdoors, wont open since the card was replaced")

    assert ("dry",) == session.case.circumstances["surroundings"]
    assert ("card_changed_or_set",) == session.case.circumstances["recent_work"]


def test_work_told_in_words_comes_before_all_that_was_seen(reasoner, reader, tmp_path):
    """A part renewed in vain is a repair of the case; what was seen, before and now, was seen after it."""
    session = ask_next(at_complaint(reasoner, reader), "torque_trip")
    say(session, "no", "new card fitted, still the same", "")
    evidence = evidence_of_case(session.case, reasoner.knowledge)

    assert (Repair(cause="card_failed"),) == session.case.repairs
    assert {"card_failed"} == {fact.after for fact in session.case.facts}
    assert "torque_trip" in {fact.observation for fact in evidence.facts}
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    assert session.case == load_case(path, reasoner.knowledge)


def test_words_of_another_device_are_said_to_be(reasoner, reader):
    """Words of another device are taken as far as they go, with a note."""
    session = at_complaint(reasoner, reader)
    reply = say(session, "Forklift tyre worn, diesel leaking from the exhaust and water inside")

    assert reply.accepted
    assert "another device" in reply.lines[0]


# --- read back


def test_a_case_of_words_ranks_alike_when_it_goes_on(reasoner, reader, tmp_path):
    """All that was read, the unsure part too, is in the saved file: `explain` and going on agree with the session."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS, "2")
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    back = load_case(path, reasoner.knowledge)

    assert session.case == back
    assert session.ranking().causes == start(reasoner, back).ranking().causes


class UnsureReader:
    """Reads what another reader does, and beside it makes one unsure clause of each line."""

    def __init__(self, reader: TicketReader) -> None:
        """Take the other reader."""
        self.reader = reader

    def read(self, ticket: Mapping[str, str]) -> TicketReading:
        """Read a text."""
        reading = self.reader.read(ticket)
        chances = (("motor_hot", State.PRESENT, 0.5),)
        lines = ticket["text"].split("\n")
        mentions = tuple(Mention(Origin(OriginKind.READER, line), 1.0, chances, 0.5) for line in lines)
        return replace(reading, evidence=replace(reading.evidence, mentions=mentions))


def clauses(session) -> list[str]:
    """Give the words of the unsure clauses of a session's evidence."""
    evidence = evidence_of_case(session.case, session.reasoner.knowledge)
    return [mention.origin.words for mention in evidence.mentions]


def test_what_is_not_said_one_by_one_counts_too(reasoner, reader):
    """The unsure part of what was read is evidence of the case; all words of a session are read together."""
    session = at_complaint(reasoner, UnsureReader(reader))
    say(session, HUNTS, "")
    assert [HUNTS] == clauses(session)
    say(session, "water inside", "")

    assert [HUNTS, "water inside"] == clauses(session)


def test_struck_words_count_no_more(reasoner, reader):
    """What was struck out leaves the unsure part too, in what is typed later as well."""
    session = at_complaint(reasoner, UnsureReader(reader))
    say(session, HUNTS)
    number = next(n for n, line in enumerate(session.prompt().choices, 1) if '"torque trip"' in line)
    say(session, str(number))
    assert ["hunting at mid travel,"] == [words.rstrip() for words in clauses(session)]
    say(session, "water inside", "no")

    assert ["hunting at mid travel,", ""] == [words.rstrip() for words in clauses(session)]


def test_words_of_an_earlier_session_go_on_counting(reasoner, reader, tmp_path):
    """A case that goes on keeps its unsure part and takes more."""
    session = at_complaint(reasoner, UnsureReader(reader))
    say(session, HUNTS, "")
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    again = start(reasoner, load_case(path, reasoner.knowledge), UnsureReader(reader))
    assert session.ranking().causes == again.ranking().causes
    say(again, "water inside", "")

    assert [HUNTS, "water inside"] == clauses(again)


def test_merging_keeps_every_part():
    """Two pieces of evidence together hold what each holds."""
    told = CircumstanceFact("duty", "on_off", certain=False, origin=Origin(OriginKind.TICKET))
    one, other = Evidence((read("a", State.PRESENT),), (told,)), Evidence((), (), ("card_failed",))

    assert Evidence(one.facts, (told,), ("card_failed",)) == merge_evidence(one, other)


def test_what_is_read_both_ways_is_asked(knowledge):
    """A case cannot hold both states of one origin: neither is kept, and it is asked."""
    evidence = Evidence((read("torque_trip", State.PRESENT), read("torque_trip", State.ABSENT)))

    assert ("torque_trip",) == list_doubtful(evidence)
    assert () == add_words(EMPTY, evidence, knowledge).facts


def test_told_again_stands_in_place_of_the_first(knowledge):
    """The same thing in words once more replaces what the words said before."""
    first = EMPTY.model_copy(
        update={"facts": (CaseFact(observation="torque_trip", state="absent", origin=OriginKind.TICKET),)}
    )
    case = add_words(first, Evidence((read("torque_trip", State.PRESENT),)), knowledge)

    assert ["present"] == [fact.state for fact in case.facts]


def test_each_thing_is_said_once_in_the_order_it_is_struck(knowledge):
    """The numbers of the list are those that `strike_out` takes, over facts, circumstances and repairs."""
    told = CircumstanceFact("duty", "on_off", certain=False, origin=Origin(OriginKind.TICKET, "on off"))
    evidence = Evidence((read("torque_trip", State.PRESENT),), (told,), ("card_failed",))
    said = list(say_each(evidence, knowledge))

    assert 3 == len(said)
    assert 'On/off duty ("on off")' in said[1]
    assert [said[0], said[2]] == list(say_each(strike_out(evidence, {1}), knowledge))
    assert said[:2] == list(say_each(strike_out(evidence, {2}), knowledge))


@pytest.mark.parametrize(
    "words, title",
    [
        ("valve hunts. Since Monday", "Valve hunts"),
        ("stops at 0.5 of travel", "Stops at 0.5 of travel"),
        ("", "untitled"),
        ("...", "untitled"),
        ("a word " * 40, "A word a word a word a word a word a word a word a word ..."),
    ],
)
def test_a_case_is_named_by_its_first_words(words, title):
    """The first sentence is the title, cut to a line; a title that is there stands."""
    named = name_case(EMPTY, words)

    assert title == named.title
    assert title == "untitled" or named == name_case(named, "other words")


def test_a_family_names_the_case_too(small_reasoner, small_base):
    """Chosen by number, the complaint is the title, and the call stays empty."""
    session = start(small_reasoner)
    say(session, "1")

    assert (small_base.families["wrong_end"].says, "") == (session.case.title, session.case.call)


def test_the_call_has_a_line_for_each_thing_said(reasoner, reader):
    """Lines of the call are what was typed, with nothing after the last."""
    session = at_complaint(reasoner, reader)
    say(session, HUNTS, "", "water inside", "")

    assert f"{HUNTS}\nwater inside" == session.case.call


def test_rules_without_a_language_read_no_words(small_base, tmp_path):
    """Where the rule base has no language there is no reader, and words are refused."""
    assert build_reader(small_base, tmp_path) is None
