"""A backlog scored in columns says, row by row, what each ticket gets by itself."""

import json

import pytest

from diagnose.interfaces.plan import Plan
from diagnose.interfaces.scoring import Scorer
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.shipped import cases_directory, rules_directory
from diagnose.ranking.batch import BatchRanker

DUTIES = ("on_off", "modulating", "")


def load_rows():
    """Load every fifth of our own tickets as rows, an empty one and a confirmed cause among them."""
    with (cases_directory() / "tickets" / "develop.jsonl").open(encoding="utf-8") as stream:
        tickets = [json.loads(line) for line in stream][::5]
    rows = [
        Row(
            n,
            {
                "id": ticket["id"],
                "text": ticket["text"],
                "duty": DUTIES[n % 3],
                "confirmed_cause": ticket["cause"],
            },
        )
        for n, ticket in enumerate(tickets, start=1)
    ]
    return [*rows, Row(len(rows) + 1, {"id": "E", "text": ""})]


def test_every_row_in_columns_is_that_of_one_by_one(monkeypatch):
    """Status, causes, chances, priority, questions and facts of each line are the same in both ways."""
    rows = load_rows()
    scorer = Scorer(Plan(rules_directory(), with_next=False))
    in_columns = [json.loads(line[1:]) for line in scorer.score(rows)]

    def refuse(_ranker, _evidences):
        raise RuntimeError("each by itself")

    monkeypatch.setattr(BatchRanker, "rank_many", refuse)
    alone = [json.loads(line[1:]) for line in Scorer(Plan(rules_directory(), with_next=False)).score(rows)]

    assert len(alone) > 40
    for one, together in zip(alone, in_columns, strict=True):
        told, same = one.pop("confirmed", {}), together.pop("confirmed", {})
        numbers = {name for name, value in told.items() if isinstance(value, float)}

        assert one == together
        assert told.keys() == same.keys()
        assert {n: told[n] for n in numbers} == pytest.approx({n: same[n] for n in numbers}, rel=1e-9)
        assert {n: told[n] for n in told.keys() - numbers} == {n: same[n] for n in same.keys() - numbers}
