"""Rate and memory of scoring a backlog, beside a word-count classifier and beside one engine call a ticket.

Run by name: PYTHONPATH=.:tests/benchmarks python tests/benchmarks/bench_score.py [tickets] [processes] [more tickets]

One run makes distinct tickets of about fifty words (`made_tickets.py`), tells how many words and present
observations they have, scores them from CSV to Parquet without next steps, lets the peer (scikit-learn: TF-IDF of one
and two words, logistic regression, trained in the run on our own development tickets) predict the same file with as
many processes, and ranks a sample one by one. With a third number the memory is measured at that many tickets too.
Memory is the sum over all processes of a run, a page that several share counted once.
"""

import csv
import json
import os
import random
import re
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from pathlib import Path

from made_tickets import write_tickets

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.from_ticket import TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory

SAMPLE = 150
CHUNK = 2_000
POLL_SECONDS = 0.5
# What a process holds in kB, each shared page counted by its share.
_SHARE = re.compile(r"^Pss:\s+(\d+) kB", re.MULTILINE)


def watch(command):
    """Run a command; give its seconds, its processor seconds and the peak memory of all its processes in MB."""
    before = os.times()
    started = time.perf_counter()
    process = subprocess.Popen(command, start_new_session=True)
    peak = 0.0
    while process.poll() is None:
        peak = max(peak, measure_group(process.pid))
        time.sleep(POLL_SECONDS)
    seconds = time.perf_counter() - started
    if process.returncode:
        raise SystemExit(f"{command} ended with {process.returncode}")
    after = os.times()
    busy = after.children_user + after.children_system - before.children_user - before.children_system
    return seconds, busy, peak


def measure_group(leader):
    """Add up the memory of the processes of a session, in MB."""
    total = 0.0
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdigit() and os.getsid(int(entry.name)) == leader:
                found = _SHARE.search((entry / "smaps_rollup").read_text())
                total += int(found[1]) / 1024 if found else 0.0
        except OSError:
            continue
    return total


def describe(path):
    """Print how many words the tickets have, and how many of their sentences are told apart."""
    words, sentences = Counter(), Counter()
    with path.open(encoding="utf-8", newline="") as stream:
        for row in csv.DictReader(stream):
            words[len(row["text"].split()) // 10 * 10] += 1
            sentences.update(re.split(r"[.;!?]+ ", row["text"]))
    count = words.total()
    spread = ", ".join(f"{n} to {n + 9}: {words[n] / count:.1%}" for n in sorted(words))
    print(f"{count:,} tickets, no two alike; words: {spread}")
    print(f"  of {sentences.total():,} sentences {len(sentences) / sentences.total():.0%} are distinct")


def describe_present(out):
    """Print how many observations were read as present."""
    import polars as pl

    told = pl.read_parquet(out, columns=["facts"])["facts"].to_list()
    found = Counter(text.count("=present (") for text in told)
    mean = sum(n * c for n, c in found.items()) / len(told)
    print(
        "present observations a ticket: "
        + ", ".join(f"{n}: {found[n] / len(told):.1%}" for n in sorted(found))
    )
    print(f"  mean {mean:.2f}")


def score(path, out, processes):
    """Score a file as people do."""
    command = [
        sys.executable,
        "-m",
        "diagnose",
        "score",
        str(path),
        "--out",
        str(out),
        "--no-next",
        "--quiet",
    ]
    return watch([*command, "--processes", str(processes)])


def train_peer():
    """Train the peer on our own development tickets."""
    from sklearn.feature_extraction.text import TfidfVectorizer
    from sklearn.linear_model import LogisticRegression
    from sklearn.pipeline import make_pipeline

    with (cases_directory() / "tickets" / "develop.jsonl").open(encoding="utf-8") as stream:
        tickets = [json.loads(line) for line in stream]
    model = make_pipeline(TfidfVectorizer(ngram_range=(1, 2)), LogisticRegression(max_iter=1000))
    return model.fit([t["text"] for t in tickets], [t["cause"] for t in tickets])


_model = []


def start_peer():
    """Train in each worker."""
    _model.append(train_peer())


def predict(texts):
    """Predict the first cause of each text, with its probability."""
    chances = _model[0].predict_proba(texts)
    first = chances.argmax(axis=1)
    return _model[0].classes_[first].tolist(), chances.max(axis=1).tolist()


def run_peer(path, out, processes):
    """Let the peer read the file, predict and write Parquet."""
    import polars as pl

    with Path(path).open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    chunks = [[row["text"] for row in rows[n : n + CHUNK]] for n in range(0, len(rows), CHUNK)]
    causes, chances = [], []
    with ProcessPoolExecutor(int(processes), initializer=start_peer) as pool:
        for some, likely in pool.map(predict, chunks):
            causes += some
            chances += likely
    pl.DataFrame({"id": [r["id"] for r in rows], "cause": causes, "probability": chances}).write_parquet(out)


def rank_one_by_one(path):
    """Give the tickets a second when each is read and ranked with an engine call of its own."""
    knowledge = load_knowledge(rules_directory())
    reader, reasoner = (
        TicketReader(knowledge, load_language(rules_directory(), knowledge)),
        Reasoner(knowledge),
    )
    with path.open(encoding="utf-8", newline="") as stream:
        rows = list(islice(csv.DictReader(stream), SAMPLE + 1))
    reasoner.rank(reader.read(rows.pop()).evidence)
    started = time.perf_counter()
    for row in rows:
        reasoner.rank(reader.read(row).evidence)
    return len(rows) / (time.perf_counter() - started)


def main():
    """Print the figures."""
    count, processes, more = (*map(int, sys.argv[1:]), *(10_000, 2, 0)[len(sys.argv) - 1 :])
    with tempfile.TemporaryDirectory() as folder:
        tickets, few, out = (Path(folder) / name for name in ("tickets.csv", "few.csv", "scored.parquet"))
        write_tickets(tickets, count, random.Random(5))
        describe(tickets)
        write_tickets(few, 600, random.Random(6))
        score(few, out, processes)  # the loops are compiled once a machine
        overhead, busy_before, _ = score(few, out, processes)
        seconds, busy, peak = score(tickets, out, processes)
        describe_present(out)
        print(
            f"ours, {processes} processes, CSV to Parquet: {seconds:.1f} s, {count / seconds:,.0f} a second"
        )
        print(f"  {busy:.1f} processor seconds, {peak:.0f} MB; start and 600 tickets {overhead:.1f} s")
        print(
            f"  {(busy - busy_before) / (count - 600) * 1e6:,.0f} microseconds of processor a ticket beyond the start"
        )
        there = [
            sys.executable,
            __file__,
            "--peer",
            str(tickets),
            str(Path(folder) / "peer.parquet"),
            str(processes),
        ]
        peer, peer_busy, peer_peak = watch(there)
        print(f"peer, {processes} processes: {peer:.1f} s, {count / peer:,.0f} a second")
        print(f"  {peer_busy:.1f} processor seconds, {peer_peak:.0f} MB")
        alone = rank_one_by_one(tickets)
        print(f"one engine call a ticket, one process, {SAMPLE} tickets: {alone:,.1f} a second")
        print(
            f"ratios: {peer / seconds:.2f} of the peer's rate, {count / seconds / alone:.1f} times one by one"
        )
        if more:
            write_tickets(tickets, more, random.Random(7))
            seconds, busy, peak = score(tickets, out, processes)
            print(f"{more:,} tickets: {seconds:.1f} s, {more / seconds:,.0f} a second, {peak:.0f} MB")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--peer"]:
        run_peer(*sys.argv[2:])
    else:
        main()
