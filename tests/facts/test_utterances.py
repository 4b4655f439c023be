"""The labelled utterances speak of observations that can be seen."""

import json
from pathlib import Path

UTTERANCES = Path(__file__).parents[2] / "cases" / "tickets" / "utterances.jsonl"


def test_every_utterance_names_a_seen_observation_and_a_state(knowledge):
    """Each line has a text, an observation that is not concluded by rules, and present or absent."""
    rows = [json.loads(line) for line in UTTERANCES.read_text("utf-8").splitlines()]
    seen = {name for name, record in knowledge.observations.items() if not record.derived}

    assert [] == [row for row in rows if row["observation"] not in seen or not row["text"].strip()]
    assert {"present", "absent"} == {row["state"] for row in rows}
