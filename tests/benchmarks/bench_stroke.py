"""How long a stroke log of one million rows takes, and how much memory: required below 3 s and 500 MB.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_stroke.py

Each log is analysed in a process of its own, from the file to the report. Wall and processor time are of the
analysis without start-up (imports and rules), which is printed beside it; on a busy machine the wall time is the
longer. Memory is the peak of the whole process.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import polars as pl
from stroke_simulation import Unit, simulate

ROWS = 1_000_000
LEVELS = (0, 25, 50, 75, 100, 75, 50, 25, 0, 100, 0, 40, 50, 60, 50, 50.5, 49.5, 80)


def make_long(log: dict[str, np.ndarray], rows: int, noise: float) -> pl.DataFrame:
    """Repeat a short log to so many rows, with fresh noise on the travel."""
    count = len(log["time"])
    times = -(-rows // count)
    long = {name: np.tile(values, times)[:rows] for name, values in log.items()}
    long["time"] = np.arange(rows) * (log["time"][1] - log["time"][0])
    long["position"] = long["position"] + np.random.default_rng(1).normal(0, noise, rows)
    return pl.DataFrame(long)


def analyse(path: Path) -> None:
    """Analyse one log in this process and print what it took."""
    begin = time.perf_counter()
    from diagnose.explanation.stroke_text import render_stroke
    from diagnose.facts.stroke.loading import LogOptions
    from diagnose.facts.stroke.observations import read_facts
    from diagnose.facts.stroke.reporting import build_report, load_analysis
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory

    knowledge = load_knowledge(rules_directory())
    ready, processor = time.perf_counter(), time.process_time()
    analysis, columns = load_analysis(path, LogOptions(), knowledge.stroke_limits, None)
    text = render_stroke(build_report(analysis, columns, None, read_facts(analysis, knowledge, None)))
    took = {
        "start": ready - begin,
        "wall": time.perf_counter() - ready,
        "processor": time.process_time() - processor,
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "lines": text.count("\n"),
    }
    print(json.dumps(took))


def main() -> None:
    """Print seconds and memory for a test log, a hunting log and both file kinds."""
    logs = {
        "steps and strokes": simulate(Unit(dead_band=0.6), LEVELS, 25, interval=0.02),
        "hunting": simulate(Unit(dead_band=0.6, delay=0.2), (50, 50.5, 20, 50, 80), 60, interval=0.02),
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, log in logs.items():
            frame = make_long(log, ROWS, 0.05)
            for ending in ("csv", "parquet"):
                path = Path(folder) / f"log.{ending}"
                frame.write_csv(path, float_precision=4) if ending == "csv" else frame.write_parquet(path)
                done = subprocess.run(
                    [sys.executable, __file__, str(path)], capture_output=True, text=True, check=True
                )
                took = json.loads(done.stdout)
                print(
                    f"{name:18} {ending:8} {len(frame):>9,} rows  wall {took['wall']:5.2f} s  "
                    f"processor {took['processor']:5.2f} s  {took['megabytes']:4.0f} MB  (start {took['start']:.2f} s)"
                )


if __name__ == "__main__":
    analyse(Path(sys.argv[1])) if len(sys.argv) > 1 else main()
