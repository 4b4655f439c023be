"""Chunks of rows scored in order, here or by worker processes.

Takes chunks, gives their lines in the same order; may import errors and scoring.
"""

from __future__ import annotations

import gc
import multiprocessing
import signal
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TYPE_CHECKING

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets.row import Row

if TYPE_CHECKING:
    from diagnose.interfaces.scoring import Scorer

# Chunks given out beforehand to each worker; more would only hold memory.
AHEAD = 2

_scorers: list[Scorer] = []


def score_here(plan: Plan, chunks: Iterable[Sequence[Row]]) -> Iterator[list[str]]:
    """Score chunks in this process."""
    scorer = _make_scorer(plan)
    for chunk in chunks:
        yield scorer.score(chunk)


def score_apart(plan: Plan, chunks: Iterable[Sequence[Row]], processes: int) -> Iterator[list[str]]:
    """Score chunks in worker processes, started afresh so that nothing is shared by accident.

    Raises:
        InputFaulty: A worker was ended from outside; what was done is kept.
    """
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, context, _start_worker, (plan,)) as pool:
        waiting: deque[Future[list[str]]] = deque()
        try:
            for chunk in chunks:
                waiting.append(pool.submit(_score_chunk, chunk))
                if len(waiting) > AHEAD * processes:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        except BrokenProcessPool:
            wrong = "a worker process was ended from outside"
            raise InputFaulty([fault_in_file("score", "worker", wrong, "go on with --resume")]) from None
        finally:
            for future in waiting:
                future.cancel()


def _start_worker(plan: Plan) -> None:
    # Ctrl-C reaches every process of the terminal; the first one ends the others
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _scorers.append(_make_scorer(plan))


def _make_scorer(plan: Plan) -> Scorer:
    """Make a scorer, and keep the collector of garbage from going through the rule base time and again."""
    # whoever hands rows out to workers need not load what scores them
    from diagnose.interfaces.scoring import Scorer

    scorer = Scorer(plan)
    gc.collect()
    gc.freeze()
    return scorer


def _score_chunk(rows: Sequence[Row]) -> list[str]:
    return _scorers[0].score(rows)
