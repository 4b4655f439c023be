"""Repairs, closing a call out, and going on with a saved case."""

import pytest
from session_steps import asked, say, start, until, with_facts

from diagnose.facts.case_file import (
    Repair,
    load_case,
    write_case,
)
from diagnose.interfaces.answers import read_answer
from diagnose.interfaces.closing import ask_next_closing, close_repaired
from diagnose.interfaces.session import Session

# --- repair and close-out


def at_repair(small_reasoner) -> Session:
    """Come to the first repair on a call that stops short with the limit made."""
    session = start(small_reasoner, with_facts(stops_short="present", switch_made="present"))
    until(session, "repair", "?")
    return session


def test_done_and_works_closes_the_call_out(small_reasoner, small_base, tmp_path):
    """Root cause and what was done are taken from the repair; the rest is asked and saved."""
    session = at_repair(small_reasoner)
    cause = session.prompt().id.partition(".")[0]
    says = small_base.named_remedy(session.prompt().id).says
    say(session, "1")
    asked_for = []
    for line in ("a cam", "half an hour", "30", "in service"):
        asked_for.append(session.prompt().id)
        say(session, line)
        if line == "half an hour":
            assert "minutes" == session.prompt().id
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    closed = load_case(path, small_base).closed

    assert ["parts", "minutes", "minutes", "left"] == asked_for
    assert (cause, says, "a cam", 30, "in service") == (
        closed.root_cause,
        closed.done,
        closed.parts,
        closed.minutes,
        closed.left,
    )
    assert ("finished", "closed") == (session.prompt().kind, session.prompt().id)


def test_a_mode_that_was_put_right_names_its_cause_as_root(small_base):
    """A repair of cause.mode closes with the cause, which the case file can hold."""
    case = close_repaired(with_facts(stops_short="present"), "stop_in.bent", small_base)

    assert "stop_in" == case.closed.root_cause


def test_a_state_that_was_put_right_leaves_the_root_open(small_base):
    """Cooling down is no root cause, so the root is asked for."""
    case = close_repaired(with_facts(cut_out_open="present"), "overheated", small_base)

    assert ("close", "root_cause") == (ask_next_closing(case).kind, ask_next_closing(case).id)


def test_done_and_still_faulty_looks_again(small_reasoner, small_base):
    """What the repair may have changed and was told is asked first, and kept as seen after it."""
    session = at_repair(small_reasoner)
    repaired = session.prompt().id
    say(session, "2")
    prompt = session.prompt()

    assert (Repair(cause=repaired),) == session.case.repairs
    assert "stops_short" == prompt.id
    assert prompt.id in small_base.observe_again(repaired)
    say(session, "yes")
    assert repaired == session.case.facts[-1].after
    assert "present" == session.case.facts[-1].state


def test_a_repair_that_failed_is_not_proposed_again(small_reasoner):
    """The same repair does not come twice in a row."""
    session = at_repair(small_reasoner)
    repaired = session.prompt().id
    say(session, "2")
    seen = []
    for _ in range(30):
        prompt = session.prompt()
        if prompt.kind == "finished":
            break
        seen += [prompt.id] if prompt.kind == "repair" else []
        say(session, "3" if prompt.kind == "repair" else "?")

    assert repaired not in seen


def test_not_now_keeps_looking(small_reasoner):
    """A repair put off gives way to the next look or repair, and nothing is recorded."""
    session = at_repair(small_reasoner)
    first = session.prompt().id
    say(session, "3")

    assert first != session.prompt().id
    assert () == session.case.repairs


@pytest.mark.parametrize("line", ["4", "yes", "", "1,2"])
def test_a_repair_takes_one_of_three_answers(small_reasoner, line):
    """Anything else leaves the repair as it stands."""
    session = at_repair(small_reasoner)

    assert not say(session, line).accepted
    assert "repair" == session.prompt().kind


@pytest.mark.parametrize(
    "name, line, kept",
    [
        ("root_cause", "cam_late", "cam_late"),
        ("root_cause", "unlisted", "unlisted"),
        ("root_cause", "", None),
        ("root_cause", "cam_laet", ValueError),
        ("minutes", "12", 12.0),
        ("minutes", "12.5", 12.5),
        ("minutes", "12,5", 12.5),
        ("minutes", "1 h", 60.0),
        ("minutes", "", None),
        ("minutes", "?", None),
        ("minutes", "²", ValueError),
        ("minutes", "-5", ValueError),
        ("minutes", "1e99 h", ValueError),
        ("minutes", "nan", ValueError),
        ("done", "?", ""),
        ("parts", "no", "no"),
    ],
)
def test_closing_fields_are_checked(small_base, name, line, kept):
    """Each field of the close-out takes what the case file can hold and refuses the rest."""
    from diagnose.interfaces.closing import read_closing

    if kept is ValueError:
        with pytest.raises(ValueError):
            read_closing(small_base, name, read_answer(line))
    else:
        assert kept == read_closing(small_base, name, read_answer(line))


def test_a_wrong_closing_answer_says_the_nearest(small_reasoner):
    """A misspelt cause is refused with the nearest known one."""
    session = start(small_reasoner)
    session.close()
    reply = say(session, "cam_laet")

    assert not reply.accepted
    assert "did you mean 'cam_late'?" in reply.lines[0]


# --- going on with a saved case


def test_a_saved_case_goes_on_without_asking_again(small_reasoner, small_base, tmp_path):
    """Read back, the case gives the same ranking and asks nothing that was answered."""
    session = start(small_reasoner)
    say(session, "1", "?", "no", "?")
    path = tmp_path / "case.yaml"
    path.write_text(write_case(session.case), "utf-8")
    resumed = start(small_reasoner, load_case(path, small_base))
    answered = {fact.observation for fact in session.case.facts}

    assert 3 == len(answered)
    assert session.ranking().causes == resumed.ranking().causes
    assert set() == answered & set(asked(resumed))


def test_a_closed_case_stays_closed(small_reasoner):
    """A case that was being closed out goes on with what is missing there."""
    session = start(small_reasoner)
    session.close()
    say(session, "cam_late")

    assert ("close", "done") == (start(small_reasoner, session.case).prompt().kind, session.prompt().id)
