"""Rate and memory of scoring a backlog, and how many observations its tickets tell.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_score.py [tickets] [processes]

The tickets are distinct, about fifty words each, from our own tickets in `cases/tickets/`
where they are there, else the words of the shipped cases: one story a ticket, filled up with what
people write beside the symptoms.
"""

import csv
import json
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from diagnose.facts.case_file import load_case
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory

WORDS = 50
# What people write beside the symptoms.
FILLER = (
    "job raised by the night shift", "please ring before coming", "access by the east ladder", "permit needed",
    "second time this month they say", "spare in the store if wanted", "not urgent according to the desk",
    "ask for the charge hand at the gate", "drawing is in the panel", "photo taken and sent to the office",
    "isolated and tagged by the shift", "line can be had after lunch", "see the log for the earlier visit",
)  # fmt: skip


def list_stories():
    """Collect what people say of one fault: our own tickets, or else the words of each shipped case."""
    texts = []
    for path in sorted((cases_directory() / "tickets").rglob("*.csv")):
        with path.open(encoding="utf-8", newline="") as stream:
            texts += [row["text"] for row in csv.DictReader(stream) if row.get("text")]
    for path in sorted((cases_directory() / "tickets").rglob("*.jsonl")):
        texts += [row["text"] for row in map(json.loads, path.open(encoding="utf-8")) if row.get("text")]
    if texts:
        return [[part for part in text.replace("\n", ". ").split(". ") if part.strip()] for text in texts]
    knowledge = load_knowledge(rules_directory())
    loaded = [load_case(path, knowledge) for path in sorted(cases_directory().glob("*/*-0[12].yaml"))]
    return [[fact.words for fact in case.facts if fact.words] or [case.title] for case in loaded]


def write_tickets(path, count, rng):
    """Write distinct tickets of about fifty words: a story in any order, some of it left out, and the rest."""
    stories = list_stories()
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["id", "text", "duty", "motor"])
        for number in range(count):
            story = rng.choice(stories)
            parts = rng.sample(story, rng.randint((len(story) + 1) // 2, len(story)))
            while len(" ".join(parts).split()) < WORDS - 3:
                parts.insert(rng.randint(0, len(parts)), rng.choice(FILLER))
            text = f"Unit V-{number}: {'. '.join(parts)}."
            duty = rng.choice(["on_off", "modulating", ""])
            motor = rng.choice(["single_phase", "three_phase", ""])
            writer.writerow([number, text, duty, motor])


def score(path, out, *options):
    """Run the command as people do; give seconds and peak memory of the largest process in MB."""
    started = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "diagnose", "score", path, "--out", out, "--quiet", *options], check=True
    )
    return time.perf_counter() - started, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024


def count_observations(out):
    """Count the observations present in each ticket."""
    found = Counter()
    for line in out.open(encoding="utf-8"):
        found[sum(fact["state"] == "present" for fact in json.loads(line)["facts"])] += 1
    return found


def main():
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    processes = sys.argv[2] if len(sys.argv) > 2 else "2"
    with tempfile.TemporaryDirectory() as folder:
        tickets, out = Path(folder) / "tickets.csv", Path(folder) / "scored"
        write_tickets(tickets, count, random.Random(5))
        few = max(200, count // 50)
        with tickets.open(encoding="utf-8") as stream, (Path(folder) / "few.csv").open("w") as part:
            part.writelines(line for _, line in zip(range(few + 1), stream))  # noqa: B905 - the first lines
        for suffix, options in ((".jsonl", ["--no-next"]), (".parquet", ["--no-next"])):
            seconds, memory = score(tickets, out.with_suffix(suffix), "--processes", processes, *options)
            print(f"{count} tickets to {suffix} without next step, {processes} processes: {seconds:.1f} s,")
            print(f"  {count / seconds:,.0f} a second, largest process {memory:.0f} MB")
        seconds, _ = score(Path(folder) / "few.csv", out.with_suffix(".few.jsonl"), "--processes", processes)
        print(f"{few} tickets with next step: {seconds:.1f} s, {few / seconds:,.0f} a second")
        found = count_observations(out.with_suffix(".jsonl"))
        spread = ", ".join(f"{n}: {found[n] / count:.1%}" for n in sorted(found))
        print(
            f"present observations a ticket: {spread}; mean {sum(n * c for n, c in found.items()) / count:.2f}"
        )


if __name__ == "__main__":
    main()
