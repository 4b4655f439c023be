"""How a progress file stands kills, and how long a keeping and a listing take.

Prints figures; run by name: PYTHONPATH=.:tests python tests/benchmarks/bench_progress.py --kills 40
"""

import argparse
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from training.test_progress import start_writer
from training_records import make_kept

from diagnose.training.class_summary import sum_up_class
from diagnose.training.progress import Progress

LESSONS = 2000


def kill_writers(path: Path, kills: int) -> tuple[int, int]:
    """Kill a writer at a random moment, again and again; give moves said to be kept and those missing."""
    said: dict[int, int] = {}
    for turn in range(kills):
        writer: subprocess.Popen[str] = start_writer(path, turn * 1000)
        assert writer.stdout is not None
        lines = [writer.stdout.readline()]
        time.sleep(random.uniform(0, 0.3))
        writer.kill()
        lines += writer.stdout.readlines()
        writer.wait()
        for line in lines:
            number, moves = map(int, line.split())
            said[number] = moves
    kept = {lesson.lesson.seed: len(lesson.lesson.moves) for lesson in Progress(path).list_kept()}
    missing = sum(max(0, moves - kept.get(number, 0)) for number, moves in said.items())
    with sqlite3.connect(path) as connection:
        print("integrity:", connection.execute("PRAGMA integrity_check").fetchone()[0])
    return sum(said.values()), missing


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=40)
    kills = parser.parse_args().kills
    with tempfile.TemporaryDirectory() as folder:
        moves, missing = kill_writers(Path(folder) / "killed.sqlite", kills)
        print(f"{kills} kills at random moments: {moves} moves said to be kept, {missing} missing")
        progress = Progress(Path(folder) / "large.sqlite")
        lessons = [make_kept(n, f"c{n % 85}", f"c{n % 83}", learner=f"l{n % 20}") for n in range(LESSONS)]
        start = time.perf_counter()
        for kept in lessons[:200]:
            progress.keep(kept)
        print(f"one keeping: {(time.perf_counter() - start) / 200 * 1000:.1f} ms")
        progress.keep(*lessons[200:])
        start = time.perf_counter()
        listed = progress.list_kept()
        middle = time.perf_counter()
        sum_up_class(listed)
        print(
            f"{len(listed)} lessons: listed in {middle - start:.2f} s, "
            f"class summed up in {time.perf_counter() - middle:.2f} s"
        )


if __name__ == "__main__":
    main()
