"""Time to start: the help against importing the command-line library alone, and loading the rule base.

Run by name: PYTHONPATH=. python tests/benchmarks/bench_start.py

Processor time of whole child processes, user and system together; the two commands take turns, so
that whatever else the machine does falls on both.
"""

from __future__ import annotations

import resource
import subprocess
import sys
from statistics import median
from time import perf_counter, process_time

from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

ROUNDS = 11
REQUIRED_MORE = 0.15
REQUIRED_LOAD = 0.3
HELP = (sys.executable, "-m", "diagnose", "--help")
BARE = (sys.executable, "-c", "import typer")


def time_child(command: tuple[str, ...]) -> tuple[float, float]:
    """Give processor and wall seconds of one child process."""
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after, ended = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, ended - begun


def print_start() -> None:
    """Print the help beside the bare import."""
    pairs = [(time_child(BARE), time_child(HELP)) for _ in range(ROUNDS)]
    for number, kind in enumerate(("processor", "wall")):
        bare = median(one[number] for one, _ in pairs)
        whole = median(other[number] for _, other in pairs)
        print(
            f"  {kind:10} bare import {bare:6.3f} s, help {whole:6.3f} s, more by {whole - bare:6.3f} s "
            f"(required: at most {REQUIRED_MORE} s)"
        )


def print_load() -> None:
    """Print the time of loading and checking the shipped rule base, the first time and after."""
    times = []
    for _ in range(ROUNDS):
        begun, wall = process_time(), perf_counter()
        load_knowledge(rules_directory())
        times.append((process_time() - begun, perf_counter() - wall))
    for number, kind in enumerate(("processor", "wall")):
        found = [pair[number] for pair in times]
        print(
            f"  {kind:10} first {found[0]:6.3f} s, median {median(found):6.3f} s, least {min(found):6.3f} s "
            f"(required: below {REQUIRED_LOAD} s)"
        )


def main() -> None:
    """Print both."""
    print("diagnose --help")
    print_start()
    print("loading the shipped rule base")
    print_load()


if __name__ == "__main__":
    main()
