"""How long a stroke log of one million rows takes, and how much memory: required below 3 s and 500 MB.

Run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_stroke.py

Each log is analysed in a process of its own, through the whole command, start-up included.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import polars as pl
from stroke_simulation import Unit, simulate

ROWS = 1_000_000
_COUNT = "import sys; from diagnose.interfaces.cli import main; sys.argv[1:] = {arguments!r}; main()"


def make_long(log: dict[str, np.ndarray], rows: int, noise: float) -> pl.DataFrame:
    """Repeat a short log to so many rows, with fresh noise on the travel."""
    count = len(log["time"])
    times = -(-rows // count)
    long = {name: np.tile(values, times)[:rows] for name, values in log.items()}
    interval = log["time"][1] - log["time"][0]
    long["time"] = np.arange(rows) * interval
    long["position"] = long["position"] + np.random.default_rng(1).normal(0, noise, rows)
    return pl.DataFrame(long)


def measure(path: Path) -> tuple[float, float]:
    """Give seconds and peak megabytes of the command on one log."""
    begin = time.perf_counter()
    code = _COUNT.format(arguments=["stroke", str(path), "--json"])
    peak = "import resource, atexit; atexit.register(lambda: print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr))"
    run = [sys.executable, "-c", f"import sys; {peak}; {code}"]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    return time.perf_counter() - begin, int(done.stderr.split()[-1]) / 1024


def main() -> None:
    """Print seconds and memory for a test log, a hunting log and both file kinds."""
    levels = [0, 25, 50, 75, 100, 75, 50, 25, 0, 100, 0, 40, 50, 60, 50, 50.5, 49.5, 80]
    logs = {
        "steps and strokes": simulate(Unit(dead_band=0.6), levels, 25, interval=0.02),
        "hunting": simulate(Unit(dead_band=0.6, delay=0.2), [50, 50.5, 20, 50, 80], 60, interval=0.02),
    }
    with tempfile.TemporaryDirectory() as folder:
        for name, log in logs.items():
            frame = make_long(log, ROWS, 0.05)
            for ending in ("csv", "parquet"):
                path = Path(folder) / f"log.{ending}"
                frame.write_csv(path, float_precision=4) if ending == "csv" else frame.write_parquet(path)
                seconds, megabytes = measure(path)
                print(f"{name:20} {ending:8} {len(frame):>9,} rows {seconds:6.2f} s {megabytes:6.0f} MB")


if __name__ == "__main__":
    main()
