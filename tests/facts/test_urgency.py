"""What makes a ticket urgent whatever its cause, in the words of the ticket."""

import pytest

URGENT = [
    ("V-12 dead, whole plant down, need it now", {"process_down": "plant down"}),
    ("tank overflowing, the inlet valve will not shut", {"process_down": "tank overflowing"}),
    ("operator got a shock off the hand wheel", {"person_at_risk": "got a shock off"}),
    ("third time this month that the torque trips", {"repeated": "third time"}),
    ("third time this month, process down", {"repeated": "third time", "process_down": "process down"}),
]
CALM = [
    "motor hums but does not turn",
    "the process is not down, unit sits at 50 percent",
    "nobody hurt, motor hums",
    "last year the plant stopped when it failed, now it is only slow",
    "stops at two thirds every time",
    "pit had flooded, water in the cover",
]


@pytest.mark.parametrize("text, urgent", URGENT)
def test_words_of_urgency_are_read_with_the_words(reader, text, urgent):
    """A process that is down, a person at risk and a repeat are told with the words that say so."""
    assert urgent == dict(reader.read({"text": text}).urgent)


@pytest.mark.parametrize("text", CALM)
def test_symptoms_denials_and_other_times_are_not_urgent(reader, text):
    """A symptom, a denial or an event of another time makes no ticket urgent."""
    assert () == reader.read({"text": text}).urgent
