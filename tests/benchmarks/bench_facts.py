"""Facts read of tickets beside facts labelled by hand: precision and recall, by kind of reader.

Run by name: PYTHONPATH=.:tests/benchmarks python tests/benchmarks/bench_facts.py

The labels (`cases/tickets/measure_facts.jsonl`, 60 tickets of `measure.jsonl`) are of one reader in one pass, from the
list of observations alone; what is absent is labelled less completely than what is present. "Patterns"
are the facts that phrases and quantities gave; "patterns and clauses" adds what the second reader takes a clause to
say with a chance of one half or more, where no pattern speaks of that observation. Shares stand with the 95 %
interval of Wilson, facts taken as independent, which those of one ticket are not quite.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from bench_tickets import COLUMNS, DEVELOP, print_share

from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.model import Evidence, State
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

TICKETS = DEVELOP.parent
CHANCE = 0.5
# Said of nearly every valve that moves at all: counted apart, so that it flatters nobody.
EASY = ("no_movement", "absent")

Facts = frozenset[tuple[str, str]]


def read_lines(path: Path) -> list[dict[str, object]]:
    """Read a file of labelled lines."""
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()]


def list_patterns(evidence: Evidence) -> Facts:
    """List what phrases and quantities gave."""
    return frozenset((fact.observation, fact.state.value) for fact in evidence.facts)


def list_both(evidence: Evidence) -> Facts:
    """Add what clauses likely say of observations that no pattern speaks of."""
    spoken = {fact.observation for fact in evidence.facts}
    heard = {
        (name, state.value)
        for mention in evidence.mentions
        for name, state, chance in mention.chances
        if chance >= CHANCE and name not in spoken
    }
    return list_patterns(evidence) | heard


def report(label: str, pairs: Iterable[tuple[Facts, Facts]]) -> None:
    """Print precision and recall of pairs of what was read and what was labelled."""
    listed = [(read - {EASY}, labelled - {EASY}) for read, labelled in pairs]
    print(label)
    for state in (State.PRESENT.value, State.ABSENT.value):
        read = [(fact in labelled) for found, labelled in listed for fact in found if fact[1] == state]
        told = [(fact in found) for found, labelled in listed for fact in labelled if fact[1] == state]
        print_share(f"precision, {state}", read)
        print_share(f"recall, {state}", told)
    wrong = [(name, State.ABSENT.value if state == "present" else "present") in labelled
             for found, labelled in listed for name, state in found]  # fmt: skip
    print_share("read the wrong way round", wrong)


def main() -> None:
    """Report both kinds of reader."""
    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    tickets: Mapping[object, dict[str, object]] = {
        row["id"]: row for row in read_lines(TICKETS / "measure.jsonl")
    }
    rows = read_lines(TICKETS / "measure_facts.jsonl")
    labels = [frozenset((name, state) for name, state in row["facts"]) for row in rows]  # type: ignore[attr-defined]
    evidence = [
        reader.read({c: str(tickets[row["id"]].get(c) or "") for c in COLUMNS}).evidence for row in rows
    ]
    print(
        f"{len(rows)} tickets, {sum(map(len, labels))} labels, {sum(EASY in one for one in labels)} of them easy"
    )
    for label, listing in (("patterns", list_patterns), ("patterns and clauses", list_both)):
        report(label, zip(map(listing, evidence), labels, strict=True))


if __name__ == "__main__":
    main()
