"""Real shorthand and misspellings put into tickets: how many facts are lost or changed.

Run by name: PYTHONPATH=.:tests/benchmarks python tests/benchmarks/bench_typos.py ORDERS.norm TICKETS.jsonl [--show]

ORDERS: MaintNorm (NLP-TLP Group, 2024, MIT licence), a typed word and its normal form a line. A word of a ticket that
is the normal form of some typed word is replaced by one of them, drawn by how often people typed it so: once as often
as they did ("as typed"), once wherever they ever did ("wherever possible").
"""

from __future__ import annotations

import json
import random
import re
import sys
from collections import Counter, defaultdict
from collections.abc import Mapping
from pathlib import Path

from bench_tickets import COLUMNS, find_interval

from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

SEED = 1
FEWEST = 2  # times a form was typed: what was typed once is often no form of the word at all
MOST_SHOWN = 40
_WORD = re.compile(r"[A-Za-z]+(?:'[a-z]+)?")

Forms = Mapping[str, Counter[str]]


def read_forms(path: Path) -> Forms:
    """Read how often each word was typed in which form, capitals aside."""
    forms: dict[str, Counter[str]] = defaultdict(Counter)
    for line in path.read_text("utf-8").splitlines():
        typed, _, normal = line.partition("\t")
        if normal.isalpha() and any(map(str.isalpha, typed)):
            forms[normal.lower()][typed.lower()] += 1
    return forms


def replace_words(text: str, forms: Forms, rng: random.Random, *, always: bool) -> tuple[str, dict[str, str]]:
    """Replace the words of a text that people typed in other forms; give the text and what was replaced by what."""
    replaced: dict[str, str] = {}

    def put(match: re.Match[str]) -> str:
        word = match.group().lower()
        typed = {f: n for f, n in forms.get(word, {}).items() if f == word or n >= FEWEST}
        if always:
            typed.pop(word, None)
        if not typed:
            return match.group()
        (form,) = rng.choices(list(typed), list(typed.values()))
        if form == word:
            return match.group()
        replaced[word] = form
        return form

    return _WORD.sub(put, text), replaced


def list_facts(reader: TicketReader, ticket: Mapping[str, str]) -> set[tuple[str, str]]:
    """List what a ticket says, without its words."""
    return {(fact.observation, fact.state.value) for fact in reader.read(ticket).evidence.facts}


def measure(reader: TicketReader, tickets: list[Mapping[str, str]], forms: Forms, *, always: bool) -> None:
    """Print how many facts are lost, and how many new ones appear, and with --show after which words."""
    rng = random.Random(SEED)
    facts = lost = added = words = 0
    blamed: Counter[tuple[str, str]] = Counter()
    for ticket in tickets:
        put = {column: replace_words(ticket[column], forms, rng, always=always) for column in COLUMNS[:-2]}
        before = list_facts(reader, ticket)
        after = list_facts(reader, {**ticket, **{column: text for column, (text, _) in put.items()}})
        facts, lost, added = facts + len(before), lost + len(before - after), added + len(after - before)
        replaced = [pair for _, pairs in put.values() for pair in pairs.items()]
        words += len(replaced)
        blamed.update(replaced if before != after else ())
    low, high = find_interval(lost, facts)
    name = "wherever possible" if always else "as typed"
    print(f"  {name}: {words} words replaced in {len(tickets)} tickets; of {facts} facts")
    print(f"    lost or changed {lost} = {lost / facts:.1%} ({low:.1%} to {high:.1%}), new ones {added}")
    if "--show" in sys.argv:
        print("    " + ", ".join(f"{w} as {f}: {n}" for (w, f), n in blamed.most_common(MOST_SHOWN)))


def main() -> None:
    """Measure every file of tickets named behind the file of forms."""
    forms_path, *paths = [Path(name) for name in sys.argv[1:] if not name.startswith("--")]
    forms = read_forms(forms_path)
    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    other = sum(1 for word, typed in forms.items() for f, n in typed.items() if f != word and n >= FEWEST)
    print(f"{forms_path.name}: {other} other forms of {len(forms)} words")
    for path in paths:
        rows = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
        tickets = [{column: row.get(column) or "" for column in COLUMNS} for row in rows]
        print(f"{path.name}:")
        for always in (False, True):
            measure(reader, tickets, forms, always=always)


if __name__ == "__main__":
    main()
