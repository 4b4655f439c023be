"""The work so far, one line a row in the order of the rows: what `--resume` goes on from.

Takes lines, keeps them in FILE.part; may import errors.

A line is added whole before the next chunk is begun, and a torn last line is cut off when the
work goes on, so that a run that was killed loses the chunks in hand and doubles nothing.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import BinaryIO

from diagnose.errors import InputFaulty, fault_in_file

# How the line of a row begins.
SCORED, REJECTED = "+", "-"


class Journal:
    """An open journal.

    Attributes:
        rows: Rows that are in it.
    """

    def __init__(self, path: Path, header: Mapping[str, object], *, resume: bool) -> None:
        """Start a journal, or go on with the one that is there.

        Args:
            path: The journal.
            header: What the work depends on; a journal of other work is refused.
            resume: Go on with it.

        Raises:
            InputFaulty: It belongs to other work, or cannot be written.
        """
        self.path = path
        self.rows = 0
        first = f"#{json.dumps(header, sort_keys=True)}\n".encode()
        try:
            if resume and path.exists():
                self.rows = _mend(path, first)
                self._stream: BinaryIO = path.open("ab")
            else:
                self._stream = path.open("wb")
                self._stream.write(first)
        except OSError as error:
            wrong = f"cannot be written: {error.strerror or error}"
            raise InputFaulty([fault_in_file(path, "unwritable", wrong, "name another file")]) from None

    def add(self, lines: Iterable[str]) -> None:
        """Add one line for each of the next rows."""
        self._stream.write("".join(f"{line}\n" for line in lines).encode())
        self._stream.flush()

    def close(self) -> None:
        """Close it; it stays."""
        self._stream.close()


def read_journal(path: Path, kind: str) -> Iterator[bytes]:
    """Read the lines of one kind, without the mark of their kind."""
    mark = kind.encode()
    with path.open("rb") as stream:
        for line in stream:
            if line.startswith(mark):
                yield line[1:]


def _mend(path: Path, first: bytes) -> int:
    """Cut a torn last line off and count the rows.

    Raises:
        InputFaulty: The journal belongs to other work.
    """
    with path.open("r+b") as stream:
        begun = stream.readline()
        if begun.endswith(b"\n") and begun != first:
            wrong = "the work begun there had other tickets, rules or options"
            cure = "go on with the same ones, or start anew without --resume"
            raise InputFaulty([fault_in_file(path, "other-work", wrong, cure)])
        if not begun.endswith(b"\n"):
            stream.seek(0)
            stream.truncate()
            stream.write(first)
            return 0
        rows, whole = 0, stream.tell()
        for line in stream:
            if line.endswith(b"\n"):
                rows, whole = rows + 1, whole + len(line)
        stream.truncate(whole)
        return rows
