"""Our reading of tickets beside a word-count classifier that learns from the same tickets, in one run.

Run by name: PYTHONPATH=.:tests/benchmarks python tests/benchmarks/bench_peer.py [cases/tickets/measure.jsonl]

The peer (scikit-learn: TF-IDF of one and two words, logistic regression) is trained in the run on `develop.jsonl` and
`annotated.jsonl` with their causes, once as it comes (C = 1) and once less held back (C = 30). Speed is that of one
process on the same made tickets of about fifty words (`made_tickets.py`).
"""

from __future__ import annotations

import csv
import json
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from bench_tickets import DEVELOP, NOWHERE, OTHER_DEVICE, PLACES, TOO_LITTLE, print_share
from made_tickets import write_tickets
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.linear_model import LogisticRegression
from sklearn.pipeline import make_pipeline

from diagnose.facts.from_ticket import TEXT_COLUMNS, TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.batch import BatchRanker
from diagnose.ranking.rank import prepare_ranking

TICKETS = DEVELOP.parent
COLUMNS = (*TEXT_COLUMNS, "duty", "motor")
MADE = 2_000
SEED = 1
STRENGTHS = (1.0, 30.0)

Row = dict[str, Any]
# Gives the causes of each ticket, likeliest first.
Namer = Callable[[Sequence[Row]], list[list[str]]]


def read_rows(name: Path) -> Iterator[Row]:
    """Read labelled tickets; an annotated one's pieces are put together."""
    for line in name.read_text("utf-8").splitlines():
        row = json.loads(line)
        pieces = "".join(piece["text"] for piece in row.get("pieces", ()))
        yield {**row, "text": row.get("text") or pieces, "acceptable": row.get("acceptable", ())}


def join_text(row: Row) -> str:
    """Put the columns of a ticket together, as a reader of words alone sees it."""
    return "\n".join(str(row.get(column) or "") for column in COLUMNS)


def train_peer(rows: Sequence[Row], strength: float) -> Namer:
    """Train the peer."""
    model = make_pipeline(TfidfVectorizer(ngram_range=(1, 2)), LogisticRegression(C=strength, max_iter=1000))
    model.fit([join_text(row) for row in rows], [row["cause"] for row in rows])
    names = np.array(model.classes_)

    def name_causes(tickets: Sequence[Row]) -> list[list[str]]:
        order = np.argsort(-model.predict_proba([join_text(row) for row in tickets]), axis=1, kind="stable")
        return [list(row) for row in names[order]]

    return name_causes


def build_ours() -> Namer:
    """Make our reader and ranker ready."""
    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge), for_many=True)
    ranker = BatchRanker(prepare_ranking(knowledge))

    def name_causes(tickets: Sequence[Row]) -> list[list[str]]:
        readings = [reader.read({c: row.get(c) or "" for c in COLUMNS}) for row in tickets]
        ranked = ranker.rank_many([reading.evidence for reading in readings])
        names = np.array(ranked.causes[:-1])
        order = names[np.argsort(-ranked.chances[:, :-1], axis=1, kind="stable")]
        return [
            [OTHER_DEVICE, *row] if reading.is_other else list(row)
            for reading, row in zip(readings, order, strict=True)
        ]

    return name_causes


def find_place(row: Row, named: Sequence[str]) -> int:
    """Find where the labelled cause stands, from 1; an acceptable first one counts as it."""
    causes = [cause for cause in named if cause not in {OTHER_DEVICE, TOO_LITTLE}]
    if causes[0] in row["acceptable"]:
        return 1
    return causes.index(row["cause"]) + 1 if row["cause"] in causes else NOWHERE


def report(label: str, name_causes: Namer, tickets: Sequence[Row], made: Sequence[Row]) -> None:
    """Print how many are named right, and how many tickets a second."""
    named = name_causes(tickets)
    ours = [
        (row, causes)
        for row, causes in zip(tickets, named, strict=True)
        if row["cause"] not in {OTHER_DEVICE, TOO_LITTLE}
    ]
    others = [causes for row, causes in zip(tickets, named, strict=True) if row["cause"] == OTHER_DEVICE]
    started = time.process_time()
    name_causes(made)
    print(f"{label}: {len(made) / (time.process_time() - started):,.0f} tickets a second of processor time")
    places = [find_place(row, causes) for row, causes in ours]
    for most in PLACES:
        print_share("first" if most == 1 else f"within {most}", (place <= most for place in places))
    print_share("other device named first", (causes[0] == OTHER_DEVICE for causes in others))
    print_share("turned away wrongly", (causes[0] == OTHER_DEVICE for _, causes in ours))


def make_rows(count: int) -> list[Row]:
    """Make distinct tickets."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.csv"
        write_tickets(path, count, random.Random(SEED))
        with path.open(encoding="utf-8", newline="") as stream:
            return list(csv.DictReader(stream))


def main() -> None:
    """Report both on the tickets named, the unopened half where none are."""
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else TICKETS / "measure.jsonl"
    tickets, made = list(read_rows(path)), make_rows(MADE)
    taught = [row for name in ("develop.jsonl", "annotated.jsonl") for row in read_rows(TICKETS / name)]
    print(f"{path.name}: {len(tickets)} tickets; the peer learns from {len(taught)}")
    report("ours", build_ours(), tickets, made)
    for strength in STRENGTHS:
        report(f"peer, C = {strength:g}", train_peer(taught, strength), tickets, made)


if __name__ == "__main__":
    main()
