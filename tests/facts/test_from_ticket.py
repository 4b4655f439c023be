"""Tickets become facts that carry the exact words they came from."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.errors import RulesFaulty
from diagnose.facts.from_ticket import TEXT_COLUMNS, TicketReader
from diagnose.facts.model import OriginKind, State

# Words that phrases are made of, to reach further into the reader than letters at random do.
SOME_WORDS = (
    "motor hums no not valve V-12 20 mA 4-20 stops at 74 deg % open closed , . and but water inside wont crank "
    "solid new card same last year operator says limit lamp 230 V 0.2 ohm -3 ( ' & | @ .. ! <tag>"
)
WORDS = st.sampled_from(SOME_WORDS.split())


@pytest.fixture
def states(reader):
    """Read a text and give observation and state of every fact."""

    def read(text, **columns):
        facts = reader.read({"text": text, **columns}).evidence.facts
        return {(fact.observation, fact.state.value) for fact in facts}

    return read


def find_fact(reader, text, observation):
    """Give the one fact of an observation."""
    (fact,) = [f for f in reader.read({"text": text}).evidence.facts if f.observation == observation]
    return fact


@pytest.mark.parametrize(
    ("text", "observation"),
    [
        ("Motor hums and does not turn", "motor_hums_without_turning"),
        ("V-12 wont open from the desk", "open_direction_dead"),
        ("At 20 mA it stops at 74 degrees", "stops_short_of_open"),
        ("water in the switch compartment", "water_inside"),
        ("valve hunts all the time at a fixed 12 mA", "hunts_at_steady_command"),
        ("No 3 booster valve won't open", "open_direction_dead"),
    ],
)
def test_what_is_said_is_present(states, text, observation):
    """A plain statement is a present fact."""
    assert (observation, "present") in states(text)


@pytest.mark.parametrize(
    ("text", "observation", "state"),
    [
        ("Motor hums but does not turn", "motor_hums_without_turning", "present"),
        ("Motor hums and chatters a bit but never goes", "motor_hums_without_turning", "present"),
        ("No sound, no hum from the motor", "motor_silent", "present"),
        ("No movement on remote, no movement on local", "local_drive_works", "absent"),
        ("Wheel tried, nothing, no resistance", "hand_drive_stiff_everywhere", "absent"),
        (
            "Wound it the rest of the way open by hand with no effort",
            "hand_free_beyond_open_point",
            "present",
        ),
    ],
)
def test_what_a_phrase_needs_to_be_said_does_not_deny_it(states, text, observation, state):
    """A second denial between the words of a phrase that is itself a denial takes nothing back."""
    assert {(observation, state)} == {fact for fact in states(text) if fact[0] == observation}


@pytest.mark.parametrize(
    ("text", "observation"),
    [
        ("no water inside", "water_inside"),
        ("Breaker has not tripped", "protection_trips"),
        ("handwheel turns easily all the way", "hand_drive_stiff_everywhere"),
    ],
)
def test_what_is_denied_is_absent(states, text, observation):
    """A denial is an absent fact, and no present one beside it."""
    assert {"absent"} == {state for name, state in states(text) if name == observation}


def test_facts_carry_the_exact_words(reader):
    """Each fact's place in the text holds the very words it gives."""
    text = "V-12: motor hums, doesnt turn. No water inside; at 20 mA stops at 74 deg, poistion shows 60 %"
    facts = reader.read({"text": text}).evidence.facts

    assert len(facts) > 3
    assert [f.origin.words for f in facts] == [text[f.origin.start : f.origin.end] for f in facts]


def test_hearsay_has_lower_trust(reader):
    """What an operator says counts less than what the ticket states."""
    stated = find_fact(reader, "breaker trips", "protection_trips")
    heard = find_fact(reader, "operator says breaker trips", "protection_trips")

    assert (OriginKind.TICKET, OriginKind.HEARSAY) == (stated.origin.kind, heard.origin.kind)
    assert max(heard.likelihood) / min(heard.likelihood) < max(stated.likelihood) / min(stated.likelihood)


def test_what_a_plate_says_is_no_hearsay(reader):
    """Hearsay needs a person."""
    fact = find_fact(reader, "panel says breaker tripped", "protection_trips")

    assert OriginKind.TICKET is fact.origin.kind


def test_other_times_give_no_fact(states):
    """What was so last year is no fact of today."""
    assert not any(name == "water_inside" for name, _ in states("last year water inside"))


@pytest.mark.parametrize(
    ("column", "words"), [("text", "wont open since the card was replaced"), ("recent_work", "card replaced")]
)
def test_recent_work_is_a_circumstance(reader, column, words):
    """Work done before is told by the text as by its own column."""
    told = reader.read({column: words}).evidence.circumstances

    assert ("recent_work", "card_changed_or_set") in {(fact.circumstance, fact.value) for fact in told}


def test_columns_are_circumstances(reader):
    """Duty and motor are taken as typed, and unknown ones left out."""
    told = reader.read({"text": "", "duty": "modulating", "motor": "unknown"}).evidence.circumstances

    assert [("duty", "modulating")] == [(fact.circumstance, fact.value) for fact in told]


@pytest.mark.parametrize(
    ("words", "cause"),
    [("new motor fitted, same", "motor_winding_failed"), ("swapped the card, still the same", "card_failed")],
)
def test_repairs_in_vain_are_told(reader, words, cause):
    """A part renewed without effect is evidence against its cause."""
    assert cause in reader.read({"text": "valve wont open", "done": words}).evidence.repaired


def test_scope_tells_other_devices(reader):
    """A pump bearing is another device, an actuator that stalls is not."""
    other = reader.read({"text": "Forklift tyre worn and diesel leaking from the exhaust"})
    ours = reader.read({"text": "Actuator stalls before the open stop, motor hums, limit not made"})

    assert (True, False) == (other.is_other, ours.is_other)
    assert other.other_device > ours.other_device


@pytest.mark.parametrize("ticket", [{}, {"text": ""}, {"text": "   "}, {"text": "...\n\n"}])
def test_empty_ticket_gives_nothing(reader, ticket):
    """Nothing typed, nothing read, and no other device either."""
    got = reader.read(ticket)

    assert ((), (), ()) == (got.evidence.facts, got.evidence.circumstances, got.evidence.repaired)
    assert not got.is_other


@pytest.mark.parametrize(
    "text", ["water in the cover, heater dead", "position reads 4 mA all the time", "no feedback"]
)
def test_a_few_words_of_our_unit_are_not_turned_away(reader, text):
    """Of a few words the second reader cannot tell a device: what our unit has too turns no ticket away."""
    assert not reader.read({"text": text}).is_other


@pytest.mark.parametrize(
    "text", ["change out broken prelube bracket", "positioner air leak", "pump bearing noisy"]
)
def test_a_few_words_of_another_machine_are_turned_away(reader, text):
    """A word that only other machines have is enough, and so is what reads like their tickets throughout."""
    assert reader.read({"text": text}).is_other


def test_one_state_is_said_once(reader):
    """Of several phrases for one state of one observation the surest is kept."""
    facts = reader.read(
        {"text": "operator says breaker trips. Breaker trips. breaker tripped"}
    ).evidence.facts
    trips = [f for f in facts if (f.observation, f.state) == ("protection_trips", State.PRESENT)]

    assert [OriginKind.TICKET] == [fact.origin.kind for fact in trips]


def test_side_is_taken_from_the_sentence_before(states):
    """An end named once serves what follows."""
    assert ("stops_short_of_open", "present") in states("On opening it stops at 70 deg")


def test_unknown_class_is_refused(knowledge, language):
    """A pattern that names a class nobody defines is a fault where it stands."""
    from dataclasses import replace

    spot = replace(language.pattern_spots[0], text="motor @no_such_class")
    with pytest.raises(RulesFaulty, match="unknown-class"):
        TicketReader(knowledge, replace(language, pattern_spots=(spot,)))


@given(
    st.one_of(st.text(max_size=300), st.lists(WORDS, max_size=60).map(" ".join)),
    st.sampled_from(TEXT_COLUMNS),
)
@settings(max_examples=150, deadline=None)
def test_any_text_is_read(reader, text, column):
    """Any text is read without error, and its facts point into it."""
    facts = reader.read({column: text}).evidence.facts

    assert [f.origin.words for f in facts] == [text[f.origin.start : f.origin.end] for f in facts]


@pytest.mark.parametrize(
    "text",
    [
        "a" * 1_000_000,
        "no " * 300_000,
        "motor hums and stops at 74 deg, " * 30_000,
        "1.1.1,1-1 " * 100_000,
        "V-1" * 300_000,
        "\0'’-" * 200_000,
    ],
    ids=["letters", "denials", "one sentence", "numbers", "tags", "marks"],
)
def test_time_is_bounded(reader, text):
    """A megabyte is read in bounded time: only its first part is looked at, and no pattern runs away."""
    start = time.process_time()
    reader.read({"text": text})

    assert time.process_time() - start < 5
