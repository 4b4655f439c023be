"""Case files: loading, located faults, evidence, and the way to text and back."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.errors import InputFaulty
from diagnose.facts.case_file import (
    Case,
    CaseFact,
    CloseOut,
    Confirmed,
    Repair,
    evidence_of_case,
    load_call,
    load_case,
    load_cases,
    read_found,
    write_case,
)
from diagnose.facts.case_readings import CaseReading
from diagnose.facts.model import Evidence, Mention, Origin, OriginKind, State
from diagnose.knowledge.unit import UnitRecord

GOOD = """\
case: harrow_fen/v-12
title: V-12 stops short of open
call: The valve stops short since the stops were set.
unit: {asset: V-12, duty: on_off, supply_volts: 230}
circumstances: {recent_work: [stops_set, cams_set]}
nameplate: {duty: on_off}
facts:
  - {observation: stops_short, state: present, origin: ticket, words: stops short}
  - {observation: switch_made, state: absent}
  - {observation: motor_hums, state: unknown}
readings:
  - {reading: supply_volts, value: "228,5 V", uncertainty: 1 V}
repairs:
  - {cause: stop_in}
confirmed: {cause: stop_in, mode: bent, found: The stop was bent}
closed: {root_cause: stop_in, minutes: 40}
"""


@pytest.fixture
def load(tmp_path, small_base):
    """Give a function that writes and loads a case."""

    def write_and_load(text):
        path = tmp_path / "case.yaml"
        path.write_text(text, "utf-8")
        return load_case(path, small_base)

    return write_and_load


@pytest.fixture
def refuse(load):
    """Give a function that loads a faulty case and gives its faults."""

    def write_and_refuse(text):
        with pytest.raises(InputFaulty) as caught:
            load(text)
        return caught.value.faults

    return write_and_refuse


def test_a_good_case_loads(load):
    """Everything of a case is read, one value or several."""
    case = load(GOOD)

    assert "harrow_fen/v-12" == case.case
    assert ("stops_set", "cams_set") == case.circumstances["recent_work"]
    assert ("on_off",) == case.nameplate["duty"]
    assert Confirmed(cause="stop_in", mode="bent", found="The stop was bent") == case.confirmed


@pytest.mark.parametrize(
    ("old", "new", "check", "line", "told"),
    [
        ("stops_short, state", "stops_shot, state", "vocabulary", 8, "did you mean 'stops_short'?"),
        ("stops_short, state", "short_by_limit, state", "derived", 8, "is concluded, never entered"),
        ("recent_work: [", "recent_works: [", "vocabulary", 5, "did you mean 'recent_work'?"),
        ("stops_set, cams_set", "stop_set", "vocabulary", 5, "did you mean 'stops_set'?"),
        ("duty: on_off}\nfacts", "duty: [on_off, modulating]}\nfacts", "model", 6, "'duty' takes one value"),
        ("reading: supply_volts", "reading: supply_volt", "vocabulary", 12, "did you mean 'supply_volts'?"),
        ("228,5 V", "2280 V", "reading", 12, "2280 V cannot be"),
        ("228,5 V", "228 mA", "reading", 12, "V is wanted"),
        ("228,5 V", "228", "reading", 12, "has no unit; write for example"),
        ("uncertainty: 1 V", "uncertainty: -1 V", "reading", 12, "is negative; write it without a sign"),
        ("- {cause: stop_in}", "- {cause: stop_im}", "vocabulary", 14, "did you mean 'stop_in'?"),
        ("confirmed: {cause: stop_in", "confirmed: {cause: stop_im", "vocabulary", 15, "no cause 'stop_im'"),
        ("mode: bent", "mode: bend", "vocabulary", 15, "did you mean 'bent'?"),
        ("mode: bent", "also: [cam_lat]", "vocabulary", 15, "did you mean 'cam_late'?"),
        ("root_cause: stop_in", "root_cause: stop_im", "vocabulary", 16, "did you mean 'stop_in'?"),
        ("state: absent}", "state: absent, after: cam_late}", "vocabulary", 9, "is no repair of this case"),
        ("state: absent}", "state: gone}", "model", 9, "'present', 'absent' or 'unknown'"),
        ("title:", "titel:", "unknown-key", 2, "did you mean 'title'?"),
        ("case: harrow_fen/v-12", "case: Harrow Fen", "model", 1, "pattern"),
    ],
)
def test_each_fault_of_a_case_is_located(refuse, old, new, check, line, told):  # noqa: PLR0917
    """Unknown ids come with the nearest one, numbers with what is wrong, each at its line."""
    assert old in GOOD

    (fault,) = refuse(GOOD.replace(old, new, 1))

    assert (check, line) == (fault.check, fault.line)
    assert told in str(fault)


def test_unlisted_may_be_confirmed(load):
    """What no cause of the rule base covers is confirmed as unlisted."""
    text = GOOD.replace("{cause: stop_in, mode: bent", "{cause: unlisted").replace(
        "root_cause: stop_in", "root_cause: unlisted"
    )

    assert "unlisted" == load(text).confirmed.cause


def test_both_states_from_one_origin_are_a_fault(refuse):
    """The same origin cannot say present and absent of one observation."""
    (fault,) = refuse(
        "case: a\nfacts:\n  - {observation: motor_hums, state: present}\n"
        "  - {observation: motor_hums, state: absent}\n"
    )

    assert ("both-states", 4) == (fault.check, fault.line)
    assert "both present and absent" in fault.wrong


@pytest.mark.parametrize("other", ["state: absent, origin: ticket", "state: unknown", "state: present"])
def test_two_words_that_are_no_contradiction_are_accepted(load, other):
    """Another origin may disagree, and "don't know" contradicts nothing."""
    case = load(
        "case: a\nfacts:\n  - {observation: motor_hums, state: present}\n"
        f"  - {{observation: motor_hums, {other}}}\n"
    )

    assert 2 == len(case.facts)


def test_both_states_before_and_after_a_repair_are_accepted(load):
    """What a repair changed is no contradiction."""
    case = load(
        "case: a\nrepairs: [{cause: stop_in}]\nfacts:\n  - {observation: motor_hums, state: present}\n"
        "  - {observation: motor_hums, state: absent, after: stop_in}\n"
    )

    assert 2 == len(case.facts)


@pytest.mark.parametrize(
    ("text", "check"),
    [("", "model"), ("- a\n", "model"), ("case: [\n", "yaml"), ("case: !!binary eA==\n", "yaml")],
)
def test_file_without_a_case_is_refused(refuse, text, check):
    """An empty file, a list, broken YAML and tags are located faults."""
    assert [check] == [fault.check for fault in refuse(text)]


def test_a_flood_of_facts_is_refused(refuse):
    """More facts than any call has are refused before each is looked at."""
    line = "  - {observation: nothing_known, state: present}\n"

    assert ["model"] == [fault.check for fault in refuse("case: a\nfacts:\n" + line * 5000)]


def test_evidence_carries_facts_circumstances_and_repairs(load, small_base):
    """Told facts, decided readings, circumstances and failed repairs all arrive."""
    evidence = evidence_of_case(load(GOOD.replace("repairs:\n  - {cause: stop_in}\n", "")), small_base)

    assert {
        ("stops_short", State.PRESENT, (0.95, 0.05)),
        ("switch_made", State.ABSENT, (0, 1)),
        ("motor_hums", State.UNKNOWN, (1, 1)),
        ("supply_dead", State.ABSENT, (0, 1)),
        ("supply_low", State.ABSENT, (0, 1)),
    } == {(fact.observation, fact.state, fact.likelihood) for fact in evidence.facts}
    assert {
        ("recent_work", "stops_set", False),
        ("recent_work", "cams_set", False),
        ("duty", "on_off", True),
    } == {(fact.circumstance, fact.value, fact.certain) for fact in evidence.circumstances}
    assert () == evidence.repaired


def test_confirmed_cause_is_no_evidence(load, small_base):
    """Evidence is the same with and without what was really found."""
    case = load(GOOD)
    blind = case.model_copy(update={"confirmed": None, "closed": None})

    assert evidence_of_case(blind, small_base) == evidence_of_case(case, small_base)


def test_a_repair_expires_what_must_be_observed_again(load, small_base):
    """After a repair the facts it may have changed are gone; those seen after it and all others stay."""
    case = load(
        "case: a\nrepairs: [{cause: stop_in}]\nfacts:\n"
        "  - {observation: stops_short, state: present}\n"
        "  - {observation: motor_hums, state: present}\n"
        "  - {observation: stops_short, state: absent, after: stop_in}\n"
    )

    evidence = evidence_of_case(case, small_base)

    assert [("motor_hums", ""), ("stops_short", "stop_in")] == [
        (f.observation, f.after) for f in evidence.facts
    ]
    assert ("stop_in",) == evidence.repaired


def test_a_later_repair_expires_what_was_seen_after_an_earlier_one(load, small_base):
    """Of three looks only the one after the last repair counts."""
    case = load(
        "case: a\nrepairs: [{cause: stop_in}, {cause: cam_early, still_faulty: false}]\nfacts:\n"
        "  - {observation: stops_short, state: present}\n"
        "  - {observation: stops_short, state: present, after: stop_in}\n"
        "  - {observation: stops_short, state: absent, after: cam_early}\n"
    )

    evidence = evidence_of_case(case, small_base)

    assert ["cam_early"] == [fact.after for fact in evidence.facts]
    assert ("stop_in",) == evidence.repaired


TEXT = st.text(max_size=30)
FILLED = TEXT.filter(lambda text: text.strip() != "")
CASES = st.builds(
    Case,
    case=st.from_regex(r"[a-z][a-z0-9_/-]{0,20}", fullmatch=True),
    title=FILLED,
    call=TEXT,
    unit=st.none() | st.builds(UnitRecord, asset=FILLED, stroke_time_s=st.none() | st.floats(0.1, 1e6)),
    circumstances=st.dictionaries(
        st.just("recent_work"), st.lists(st.sampled_from(["stops_set", "cams_set"]), unique=True).map(tuple)
    ),
    facts=st.lists(
        st.builds(
            CaseFact,
            observation=st.sampled_from(["stops_short", "motor_hums", "switch_made"]),
            state=st.just("present"),
            words=TEXT,
        ),
        max_size=4,
    ).map(tuple),
    readings=st.lists(
        st.builds(CaseReading, reading=st.just("supply_volts"), value=st.just("228,5 V"), words=TEXT),
        max_size=2,
    ).map(tuple),
    repairs=st.lists(
        st.builds(Repair, cause=st.just("stop_in"), still_faulty=st.booleans(), words=TEXT), max_size=2
    ).map(tuple),
    confirmed=st.none()
    | st.builds(
        Confirmed,
        cause=st.just("unlisted"),
        mode=st.none(),
        also=st.just(()),
        found=FILLED,
        misleading=st.none() | FILLED,
    ),
    closed=st.none()
    | st.builds(
        CloseOut,
        root_cause=st.none(),
        done=TEXT,
        parts=TEXT,
        minutes=st.none() | st.floats(0, 1e6),
        left=TEXT,
    ),
)


@given(case=CASES)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_written_case_is_read_back_equal(load, case):
    """Whatever was typed, writing a case and loading it gives the same case."""
    assert case == load(write_case(case))


@pytest.mark.parametrize(
    "words",
    ["yes", "no", "on", "1e3", "010", "1:30", "null", "~", "2020-01-01", "0.5", "=", "<<", "- a", "a: b"],
)
def test_words_that_look_like_something_else_stay_words(load, words):
    """Text that YAML might take for a number, a date or a truth value comes back as it was."""
    case = Case(
        case="a", call=words, facts=(CaseFact(observation="motor_hums", state="present", words=words),)
    )

    assert case == load(write_case(case))


def test_unit_records_beside_the_cases_are_no_cases(tmp_path, small_base):
    """The folder `units` of a directory of cases is left alone, a folder of that name deeper down is not."""
    for name, text in (("units/v_12", "asset: V-12\n"), ("ends/units/a-01", "case: ends/units/a-01\n")):
        path = tmp_path / f"{name}.yaml"
        path.parent.mkdir(parents=True)
        path.write_text(text, "utf-8")

    assert ["ends/units/a-01"] == list(load_cases(tmp_path, small_base))


def test_a_call_is_read_without_what_was_found(tmp_path, small_base):
    """A confirmed cause that the rules lack hinders nobody who only wants the call."""
    path = tmp_path / "case.yaml"
    path.write_text(
        GOOD.replace("confirmed: {cause: stop_in, mode: bent", "confirmed: {cause: brand_new"), "utf-8"
    )
    call = load_call(path, small_base)

    assert (None, None) == (call.confirmed, call.closed)
    assert ("harrow_fen/v-12", "brand_new") == read_found(path)


def test_what_words_may_mean_is_evidence_of_the_case(load, small_base):
    """The unsure reading of typed words is weighed with the case, and stands in it when it is written."""
    chances = (("stops_short", State.PRESENT, 0.7), ("motor_hums", State.ABSENT, 0.1))
    mention = Mention(Origin(OriginKind.READER, "stops early", 0, 11), 1.0, chances, 0.2)
    case = load(GOOD).model_copy(update={"unsure": Evidence(mentions=(mention,))})

    assert (mention,) == evidence_of_case(case, small_base).mentions
    assert case == load(write_case(case))


@pytest.mark.parametrize(
    "unsure, words",
    [
        (
            "{mentions: [{origin: {kind: reader}, weight: 1.5, chances: [], nothing: 0.5}]}",
            "lies between 0 and 1",
        ),
        (
            "{mentions: [{origin: {kind: reader}, weight: .nan, chances: [], nothing: 0.5}]}",
            "valid number",
        ),
        (
            "{mentions: [{origin: {kind: reader}, weight: 1, chances: [[x, present, -1.0]], nothing: 0.5}]}",
            "lies between 0 and 1",
        ),
        ("{repaired: [stop_in]}", "sections of their own"),
        ("{mentions: [{weight: 1.0}]}", "'origin' is missing"),
        ("[]", "[model]"),
    ],
)
def test_an_unsure_part_that_cannot_be_is_refused(refuse, unsure, words):
    """Numbers that are no chances, and facts in the wrong section, are faults with their place."""
    faults = refuse(f"{GOOD}unsure: {unsure}\n")

    assert any(words in str(fault) for fault in faults), faults


def test_a_written_call_has_no_line_after_its_last(load):
    """A call of one line is written as one line."""
    case = load(GOOD).model_copy(update={"call": "stops early"})

    assert "call: stops early\n" in write_case(case)
