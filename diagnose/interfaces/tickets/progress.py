"""How far the work is: a bar with rate and time left on a terminal, nothing in a pipe.

Takes counts, writes to stderr; imports rich.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Advance = Callable[[int, int, int], None]


@contextmanager
def show_progress(*, quiet: bool) -> Iterator[Advance]:
    """Give a function that takes rows done, bytes done and bytes in all (0 where nobody knows)."""
    if quiet or not sys.stderr.isatty():
        yield lambda _rows, _done, _size: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.fields[rows]} tickets"),
        BarColumn(),
        TextColumn("{task.fields[rate]}/s"),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("score", total=None, rows=0, rate="-")

        def advance(rows: int, done: int, size: int) -> None:
            elapsed = bar.tasks[0].elapsed or 0.0
            rate = f"{rows / elapsed:,.0f}" if elapsed else "-"
            bar.update(task, total=size or None, completed=done if size else rows, rows=rows, rate=rate)

        yield advance
