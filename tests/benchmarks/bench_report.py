"""Time and memory of a triage report, and the size of its page.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_report.py [tickets]

The scored tickets are made, not scored: any cause, any level, a thousand assets at sixty sites of an
invented waterworks, every third one open with a planned step.
"""

import json
import random
import resource
import sys
import tempfile
import time
from pathlib import Path

from scored_rows import give, make_scored

from diagnose.interfaces.reporting import write_report
from diagnose.interfaces.tickets.journal import SCORED
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

LEVELS = ("now", "next_shift", "next_outage", "monitor")


def make_row(knowledge, rng):
    """Make one scored ticket."""
    cause, asset = rng.choice(list(knowledge.causes)), rng.randrange(1000)
    name = rng.choice(list(knowledge.inspections))
    cautions = [line.says for line in list(knowledge.cautions.lines.values())[:12]]
    step = {"kind": "inspection", "inspection": name, "repair": None, "says": knowledge.inspections[name].says,
            "minutes": 10, "access": knowledge.inspections[name].access, "plan_minutes": 90.0, "cautions": cautions}  # fmt: skip
    is_open = rng.random() < 1 / 3
    month = f"2026-{rng.randint(1, 12):02d}-{rng.randint(1, 28):02d}"
    given = give(f"V-{asset}", f"Harrow Fen {asset % 60}", month, state="open" if is_open else "closed")
    row = make_scored(cause=cause, chance=rng.random(), level=rng.choice(LEVELS), given=given, next=step)
    if rng.random() < 0.2:
        row |= {"status": "ask_first", "priority": {"level": None, "why": "too little was told"},
                "ask": [{"observation": "x", "question": f"Question {rng.randrange(60)}?"}]}  # fmt: skip
    if not is_open:
        share = rng.random()
        row["confirmed"] = {"cause": cause, "place": rng.randint(1, 6), "share": share, "first": cause,
                            "first_share": share, "squared_error": (1 - share) ** 2}  # fmt: skip
    return row


def main():
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    knowledge, rng = load_knowledge(rules_directory()), random.Random(5)
    with tempfile.TemporaryDirectory() as folder:
        journal, page = Path(folder) / "journal", Path(folder) / "report.html"
        with journal.open("w", encoding="utf-8") as stream:
            stream.writelines(f"{SCORED}{json.dumps(make_row(knowledge, rng))}\n" for _ in range(count))
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        started = time.perf_counter()
        write_report(page, "Backlog", knowledge, journal)
        seconds = time.perf_counter() - started
        after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{count:,} scored tickets ({journal.stat().st_size / 2**20:.0f} MB): {seconds:.1f} s, "
              f"{count / seconds:,.0f} a second; peak memory {after:.0f} MB, {before:.0f} MB before; "
              f"page {page.stat().st_size / 1024:.0f} kB")  # fmt: skip


if __name__ == "__main__":
    main()
