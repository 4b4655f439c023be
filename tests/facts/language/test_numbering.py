"""The compiled loops that read a backlog find what the plain patterns find, in the same order."""

import json

import pytest

from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import cases_directory, rules_directory

HOSTILE = [
    "",
    "no sound, no hum, not a sound from the motor; motor hums but does not, never, not turn, no, not in local, no local",
    "....!!!???\n\n;",
    "no " * 400,
    "the card says no and no and the plate says 5 V 5 V 5 V, not dead but dead, " * 40,
    "open shut open shut 20 mA 4 mA " * 300,
    "rock solid rock solid, loose? not loose. Op thinks it hums, last year it did; swapped the card, same",
    "\u00e9\u00e9\u00e9 \u0000 V-12V-12 4-20 no.3 w/o w/ 1e9 -0,3mA",
]


@pytest.fixture(scope="module")
def readers(knowledge):
    """Make the plain reader and the one for many."""
    language = load_language(rules_directory(), knowledge)
    return TicketReader(knowledge, language), TicketReader(knowledge, language, for_many=True)


def load_tickets(name):
    """Load our own tickets of one file, text columns only."""
    with (cases_directory() / "tickets" / name).open(encoding="utf-8") as stream:
        rows = [json.loads(line) for line in stream]
    return [{key: value for key, value in row.items() if isinstance(value, str)} for row in rows]


def ensure_same(plain, many):
    """Hold two readings of one ticket against each other."""
    assert plain.evidence == many.evidence
    assert plain.urgent == many.urgent
    assert plain.is_other == many.is_other
    assert plain.other_device == pytest.approx(many.other_device, abs=1e-9)


@pytest.mark.parametrize("name", ["develop.jsonl", "utterances.jsonl"])
def test_our_own_tickets_read_the_same(readers, name):
    """Every fact, circumstance, repair and word of urgency is the same, with the same words and trust."""
    tickets = load_tickets(name)[::3]
    plain, many = readers
    understood = [plain.read(ticket) for ticket in tickets]

    assert len(tickets) > 60
    assert sum(bool(reading.evidence.facts) for reading in understood) > len(tickets) / 2
    for ticket, reading in zip(tickets, understood, strict=True):
        ensure_same(reading, many.read(ticket))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_reads_the_same(readers, text):
    """Empty, endless and torn text gives the same reading too."""
    plain, many = (reader.read({"text": text, "done": text[:50]}) for reader in readers)

    ensure_same(plain, many)
