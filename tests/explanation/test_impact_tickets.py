"""What an edit of the rules changes in a file of tickets."""

import json
import shutil
from pathlib import Path

from diagnose.interfaces.impact import run_against
from diagnose.knowledge.shipped import cases_directory, rules_directory

HUMS = "motor hums and does not turn on open and on close"


def test_a_ticket_whose_first_cause_changes_is_listed_with_the_edits_concerned(tmp_path, capsys):
    """A cause made rare loses the ticket it led, and the edit of that cause is named."""
    other = Path(shutil.copytree(rules_directory(), tmp_path / "rules"))
    tickets = tmp_path / "tickets.jsonl"
    tickets.write_text(json.dumps({"id": "T-1", "text": HUMS}) + "\n", "utf-8")
    calls = tmp_path / "cases"
    shutil.copytree(cases_directory() / "stops", calls / "stops")
    run_against(other, rules_directory(), calls, with_next=False, as_json=True, tickets=str(tickets))
    led = json.loads(capsys.readouterr().out)
    first = leading_cause(rules_directory(), tickets)
    file = next(other.glob(f"*/{first}.yaml"))
    lines = file.read_text("utf-8").split("\n")
    file.write_text(
        "\n".join("share: 0.00001" if line.startswith("share: ") else line for line in lines), "utf-8"
    )
    run_against(other, rules_directory(), calls, with_next=False, as_json=True, tickets=str(tickets))
    changed = json.loads(capsys.readouterr().out)

    assert [] == led["changes"]
    assert ["ticket T-1"] == [c["case"] for c in changed["changes"] if c["case"].startswith("ticket")]
    assert any(first in text for c in changed["changes"] for text in c["because"])


def leading_cause(rules, tickets):
    """Give the first cause of the one ticket under some rules."""
    from diagnose.facts.from_ticket import TicketReader
    from diagnose.knowledge.language import load_language
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.ranking.rank import prepare_ranking, rank_evidence

    knowledge = load_knowledge(rules)
    reading = TicketReader(knowledge, load_language(rules, knowledge)).read({"text": HUMS})
    return rank_evidence(prepare_ranking(knowledge), reading.evidence).causes[0].cause
