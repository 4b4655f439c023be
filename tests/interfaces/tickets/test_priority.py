"""How soon a ticket wants action, from its causes, its words and its history."""

import pytest

from diagnose.interfaces.tickets.priority import LEVELS, Priority, choose_priority, raise_priority

DOWN, HURT, AGAIN = (
    {"process_down": "plant down"},
    {"person_at_risk": "got a shock"},
    {"repeated": "yet again"},
)


def cause_with(knowledge, verdict):
    """Name a cause by its verdict."""
    return next(name for name, cause in knowledge.causes.items() if cause.in_service.verdict == verdict)


@pytest.mark.parametrize(
    "share, level", [(0.3, "monitor"), (0.34, "now")], ids=["less than a third", "more than a third"]
)
def test_a_third_of_the_weight_is_enough_for_the_worse_verdict(knowledge, share, level):
    """A grave cause decides from one chance in three on, and is named among the reasons."""
    grave, light = cause_with(knowledge, "now"), cause_with(knowledge, "monitor")
    found = choose_priority(knowledge, [(light, 1 - share), (grave, share)])

    assert level == found.level
    assert grave in found.why
    assert "_" not in found.why.replace(grave, "").replace(light, "")


@pytest.mark.parametrize("level", [*LEVELS, None])
@pytest.mark.parametrize("urgent", [DOWN, HURT, {**DOWN, **HURT, **AGAIN}])
def test_a_process_down_or_a_person_at_risk_waits_for_nothing(level, urgent):
    """Such words make any ticket urgent, one with too little told as well, and are quoted."""
    found = raise_priority(Priority(level, "because"), urgent)

    assert "now" == found.level
    assert all(repr(words) in found.why for kind, words in urgent.items() if kind != "repeated")
    assert found.why.endswith("because")


@pytest.mark.parametrize(
    "level, sooner",
    [("now", "now"), ("next_shift", "next_shift"), ("next_outage", "next_shift"), ("monitor", "next_outage")],
)
@pytest.mark.parametrize("urgent, earlier", [(AGAIN, ""), ({}, "the same as in T-1")])
def test_a_repeat_comes_one_level_sooner_but_not_at_once(level, sooner, urgent, earlier):
    """A trouble that came back is brought forward by one level, never to the front."""
    found = raise_priority(Priority(level, "because"), urgent, earlier)

    assert sooner == found.level
    assert (earlier or "'yet again'") in found.why


def test_without_words_or_history_the_causes_decide():
    """Nothing told changes nothing, and a repeat cannot raise what has no level."""
    assert Priority("monitor", "because") == raise_priority(Priority("monitor", "because"), {})
    assert Priority(None, "because") == raise_priority(Priority(None, "because"), AGAIN)
