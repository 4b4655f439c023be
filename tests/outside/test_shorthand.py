"""Shorthand and misspellings that people typed into real work orders, put into tickets of our own.

Pairs from MaintNorm (NLP-TLP Group, 2024, MIT licence, repository nlp-tlp/maintnorm): the commonest typed forms of
words that tickets of actuators use too. All of its forms are measured by tests/benchmarks/bench_typos.py.
"""

import json
import re

from diagnose.facts.from_ticket import TEXT_COLUMNS, TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import cases_directory, rules_directory

TYPED = {
    "mechanical": "mech", "replace": "repl", "position": "pos", "hour": "hr", "right": "rht", "left": "lft",
    "week": "wk", "drive": "drv", "valve": "vlv", "bearing": "brg", "water": "wtr", "electrical": "elect",
    "bracket": "braket", "switch": "sw", "centre": "center", "noisy": "noisey", "motor": "mtr", "shaft": "shft",
    "damage": "dmg", "intermittent": "intermittant", "pressure": "presure", "leaking": "leakin", "level": "lvl",
    "running": "runing", "coming": "comming", "seized": "siezed", "connection": "conection", "grease": "greese",
    "lights": "lts", "electric": "elec", "control": "contrl", "gauge": "guage", "plugged": "pluged",
}  # fmt: skip


def list_facts(reader, ticket):
    """List what a ticket says, without its words."""
    return {(fact.observation, fact.state) for fact in reader.read(ticket).evidence.facts}


def test_typed_forms_cost_few_facts(knowledge):
    """With every word typed as others did that can be, fewer than one fact in twenty is lost or changed."""
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    forms = re.compile(rf"\b({'|'.join(TYPED)})\b")
    replaced = facts = lost = 0
    for line in (cases_directory() / "tickets" / "develop.jsonl").read_text("utf-8").splitlines():
        row = json.loads(line)
        ticket = {column: row.get(column) or "" for column in TEXT_COLUMNS}
        put = {column: forms.sub(lambda m: TYPED[m.group()], text) for column, text in ticket.items()}
        replaced += put != ticket
        before = list_facts(reader, ticket)
        facts, lost = facts + len(before), lost + len(before - list_facts(reader, put))

    assert replaced > 100
    assert lost < facts / 20
