"""Open maintenance texts of other machines: how often one is answered with a confident diagnosis, a false alarm.

Run by name: PYTHONPATH=.:tests/benchmarks python tests/benchmarks/bench_outside_texts.py FILE ... [--show]

Files: work orders of MaintNorm (NLP-TLP Group, 2024, MIT licence; `.norm`, a typed word and its normal form a line;
the typed words are read) and phrases of MaintIE (NLP-TLP Group, 2024, MIT licence; `gold_release.json`). A text is
confidently diagnosed where it is not turned away, the status is "ranked" and the first cause has one half or more.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bench_tickets import print_share

from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.batch import BatchRanker
from diagnose.ranking.rank import Status, prepare_ranking

CONFIDENT = 0.5
MOST_SHOWN = 40


@dataclass(frozen=True)
class Answered:
    """What became of one text.

    Attributes:
        status: As a user would see it.
        first: The first cause and its probability.
        facts: The observations read, each with the words it came from.
    """

    text: str
    status: str
    first: tuple[str, float]
    facts: tuple[tuple[str, str], ...]

    @property
    def is_false_alarm(self) -> bool:
        """Tell whether a cause is named with confidence."""
        return self.status == Status.RANKED.value and self.first[1] >= CONFIDENT


def read_texts(path: Path) -> list[str]:
    """Read the distinct texts of a file as they were typed."""
    if path.suffix == ".json":
        texts = [entry["text"] for entry in json.loads(path.read_text("utf-8"))]
        typed = [" ".join(word for word in text.split() if not word.startswith("<")) for text in texts]
    else:
        blocks = path.read_text("utf-8").split("\n\n")
        typed = [" ".join(line.split("\t")[0] for line in block.splitlines()) for block in blocks]
    return sorted({text for text in typed if text.strip()})


def answer_texts(texts: Sequence[str]) -> list[Answered]:
    """Read and rank texts as a backlog is."""
    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge), for_many=True)
    readings = [reader.read({"text": text}) for text in texts]
    ranked = BatchRanker(prepare_ranking(knowledge)).rank_many([r.evidence for r in readings])
    chances = ranked.chances[:, :-1]
    answered = []
    for number, (text, reading) in enumerate(zip(texts, readings, strict=True)):
        status = Status.NOT_COVERED if reading.is_other else ranked.statuses[number]
        first = int(chances[number].argmax())
        told = tuple((f"{f.observation}={f.state.value}", f.origin.words) for f in reading.evidence.facts)
        answered.append(
            Answered(text, status.value, (ranked.causes[first], float(chances[number, first])), told)
        )
    return answered


def main() -> None:
    """Report every file named; with --show also the false alarms themselves."""
    for path in [Path(name) for name in sys.argv[1:] if not name.startswith("--")]:
        answered = answer_texts(read_texts(path))
        alarms = [text for text in answered if text.is_false_alarm]
        counts = Counter(text.status for text in answered)
        print(
            f"{path.name}: {len(answered)} distinct texts; "
            + ", ".join(f"{k} {n}" for k, n in counts.items())
        )
        print_share("confident diagnosis", (text.is_false_alarm for text in answered))
        for text in alarms[:MOST_SHOWN] if "--show" in sys.argv else []:
            print(f"    {text.first[1]:.2f} {text.first[0]}: {text.text} {dict(text.facts)}")


if __name__ == "__main__":
    main()
