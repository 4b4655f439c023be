"""Chunks of rows scored in order by the workers of a Dask cluster, for those who outgrow one machine.

Takes chunks and the address of a scheduler, gives their lines in the same order; may import errors and scoring.
Dask distributed is an optional extra. Each worker loads the rules once, by the same path or else its own.
"""

from __future__ import annotations

import hashlib
import re
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from threading import Lock
from typing import TYPE_CHECKING, Any

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets.pool import AHEAD
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

if TYPE_CHECKING:
    from diagnose.interfaces.scoring import Scorer

CONNECT_SECONDS = 10
_ADDRESS = re.compile(r"(tcp|tls|ws|wss)://[^\s/]+:\d{1,5}")

# Scorers of this worker by what they depend on; a worker may have several threads, a scorer serves one.
_scorers: dict[str, Scorer] = {}
_lock = Lock()


class RulesDiffer(Exception):
    """A worker has other rules than the one who asks."""


def score_on_cluster(plan: Plan, chunks: Iterable[Sequence[Row]], address: str) -> Iterator[list[str]]:
    """Score chunks on a cluster; memory here stays that of the chunks in hand.

    Args:
        plan: How to score; sent to each worker once.
        chunks: Rows in order.
        address: The scheduler, as "tcp://host:port".

    Raises:
        InputFaulty: No extra, no scheduler, other rules on a worker, or workers that ended.
    """
    version = load_knowledge(plan.rules).version
    with _connect(address) as client:
        shared, key = client.scatter(plan, broadcast=True), _describe(plan, version)
        most = AHEAD * max(1, sum(client.nthreads().values()))
        waiting: deque[Any] = deque()
        for chunk in chunks:
            waiting.append(client.submit(_score_chunk, shared, key, version, chunk, pure=False))
            if len(waiting) > most:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


@contextmanager
def _connect(address: str) -> Iterator[Any]:
    """Open a client and turn what goes wrong with a cluster into one located fault."""
    try:
        from distributed import Client, KilledWorker
        from distributed.client import FutureCancelledError
    except ImportError:
        cure = "install the extra: pip install 'diagnose[cluster]'"
        raise _refuse(address, "a cluster needs Dask distributed, which is not installed", cure) from None
    if not _ADDRESS.fullmatch(address):
        raise _refuse(address, "this is no address of a scheduler", "write it as tcp://host:8786")
    try:
        client = Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, TimeoutError) as error:
        wrong = f"no scheduler answers there ({type(error).__name__})"
        raise _refuse(address, wrong, "start one, as with: dask scheduler") from None
    try:
        yield client
    except RulesDiffer as error:
        raise _refuse(address, str(error), "install the same version and rules on every worker") from None
    except (KilledWorker, FutureCancelledError, OSError, TimeoutError):
        raise _refuse(address, "the cluster ended or lost its workers", "go on with --resume") from None
    finally:
        client.close()


def _refuse(address: str, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(address, "cluster", wrong, cure)])


def _describe(plan: Plan, version: str) -> str:
    """Name what a scorer depends on, so that a worker keeps one for each."""
    told = repr((version, plan.with_next, sorted(plan.units.items())))
    return hashlib.sha256(told.encode()).hexdigest()


def _score_chunk(plan: Plan, key: str, version: str, rows: Sequence[Row]) -> list[str]:
    """Score on a worker, which keeps its scorer."""
    with _lock:
        if key not in _scorers:
            _scorers.clear()
            _scorers[key] = _make_scorer(plan, version)
        return _scorers[key].score(rows)


def _make_scorer(plan: Plan, version: str) -> Scorer:
    """Make a scorer by the rules at the same path, or by the worker's own where that is not there.

    Raises:
        RulesDiffer: They are other rules.
    """
    rules = plan.rules if plan.rules.is_dir() else rules_directory()
    found = load_knowledge(rules).version
    if found != version:
        raise RulesDiffer(f"a worker has rules {found} where {version} are wanted")
    from diagnose.interfaces.scoring import Scorer

    return Scorer(replace(plan, rules=rules))
