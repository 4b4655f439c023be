"""Whether a ticket is of another device: what the scope test reaches on tickets it was not fitted to."""

import json

import pytest

from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import cases_directory, rules_directory


@pytest.fixture(scope="module")
def reader(knowledge):
    """Make a reader of tickets."""
    return TicketReader(knowledge, load_language(rules_directory(), knowledge))


def read_rows(name):
    """Read a file of labelled tickets."""
    lines = (cases_directory() / "tickets" / name).read_text("utf-8").splitlines()
    return [json.loads(line) for line in lines]


def test_other_devices_kept_for_testing_are_mostly_known(reader):
    """Of the tickets of other devices that fitted nothing at least seven in ten are told to be so."""
    tickets = [row for row in read_rows("other_devices.jsonl") if row["part"] == "test"]
    known = sum(reader.read(ticket).is_other for ticket in tickets)

    assert 30 == len(tickets)
    assert known >= 0.7 * len(tickets)


def test_few_tickets_of_our_own_are_turned_away(reader):
    """Of the annotated tickets, all of them of actuators, fewer than one in fifty is told to be of another device."""
    tickets = ["".join(piece["text"] for piece in row["pieces"]) for row in read_rows("annotated.jsonl")[::5]]
    turned_away = sum(reader.read({"text": text}).is_other for text in tickets)

    assert turned_away < len(tickets) / 50
