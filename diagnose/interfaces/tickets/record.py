"""A scored or a rejected row as one line of JSON.

Takes a row, what was read of it and its answer, gives a line; may import the answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.facts.from_ticket import TEXT_COLUMNS, TicketReading
from diagnose.facts.model import Fact
from diagnose.interfaces.tickets.answer import SAME, Answer, dump, list_shares
from diagnose.interfaces.tickets.priority import Priority
from diagnose.interfaces.tickets.row import Row
from diagnose.ranking.mentions import Saying

# Columns that are told by their facts, and the id, which has a place of its own.
_NOT_PASSED = frozenset({"id", *TEXT_COLUMNS})


def write_scored(
    row: Row, reading: TicketReading, answer: Answer, priority: Priority, sayings: Iterable[Saying] = ()
) -> str:
    """Write a scored row.

    Args:
        row: The row; its unknown columns pass through under `given`, and where an earlier ticket stands
            in it, the trouble of that one is back.
        reading: What was read of it.
        answer: What the facts give.
        priority: How soon it wants action, its own words counted.
        sayings: What its clauses more likely say than not, shown beside the facts.
    """
    told = [
        _show_fact(row, fact)
        for fact in sorted(reading.evidence.facts, key=lambda f: (f.origin.start or 0, f.observation))
    ]
    told += [_show_saying(row, saying) for saying in sorted(sayings, key=lambda s: s.origin.start or 0)]
    given = {name: value for name, value in row.values.items() if name not in _NOT_PASSED}
    last: dict[str, object] = {"notes": row.notes, "given": given}
    if reading.urgent:
        last["urgent"] = dict(reading.urgent)
    if row.earlier:
        last["repeat_of"] = row.earlier.ticket
    confirmed = weigh_confirmed(row, answer)
    if confirmed:
        last["confirmed"] = confirmed
    start = dump({"row": row.number, "ticket": row.values["id"]})[1:-1]
    soon = dump({"level": priority.level, "why": priority.why})
    head = f'{start},{answer.head},"priority":{soon},{answer.causes},"facts":{dump(told)}'
    return f"{{{head},{answer.tail},{dump(last)[1:-1]}}}"


def write_rejected(row: Row, reason: str) -> str:
    """Write a rejected row: its number, its id where it has one, and the reason."""
    return dump({"row": row.number, "ticket": row.values.get("id") or None, "reason": reason})


def weigh_confirmed(row: Row, answer: Answer) -> dict[str, object] | None:
    """Hold the answer against the confirmed cause of a closed ticket: place, share, squared error."""
    cause = row.values.get("confirmed_cause", "").strip().partition(".")[0]
    if not cause or cause not in answer.chances:
        return {"cause": cause, "place": None} if cause else None
    shares = list_shares(answer.chances)
    share = shares[cause]
    # compared in so many digits, so that no rounding decides between causes that are equally likely
    level = {name: round(value, SAME) for name, value in shares.items()}
    others = sum(value * value for value in shares.values()) - share * share
    return {
        "cause": cause,
        "place": 1 + sum(value > level[cause] for value in level.values()),
        "share": share,
        "first": max(level, key=lambda name: (level[name], name)),
        "first_share": max(shares.values()),
        "squared_error": others + (1 - share) ** 2,
    }


def _show_fact(row: Row, fact: Fact) -> dict[str, object]:
    origin = fact.origin
    return {
        "observation": fact.observation,
        "state": fact.state.value,
        "from": origin.words,
        "column": next(_columns_with(row, origin.words, origin.start), None),
        "start": origin.start,
        "end": origin.end,
    }


def _show_saying(row: Row, saying: Saying) -> dict[str, object]:
    fact = Fact(saying.observation, saying.state, saying.origin, (1.0, 1.0))
    return {**_show_fact(row, fact), "chance": round(saying.chance, 3)}


def _columns_with(row: Row, words: str, start: int | None) -> Iterator[str]:
    for column in TEXT_COLUMNS:
        if start is not None and row.values.get(column, "").startswith(words, start):
            yield column
