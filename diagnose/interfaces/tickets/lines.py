"""Bytes of a file or a stream become lines of text, whatever the compression and the encoding.

Takes a path or "-", gives lines with their faults; may import errors.
"""

from __future__ import annotations

import codecs
import gzip
import io
import sys
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, cast

from diagnose.errors import InputFaulty, fault_in_file

# Longer lines are one broken row: a text of 1 MB is far below.
MAX_LINE = 8 * 1024 * 1024
COMPRESSED = (".gz", ".zst")
_WIDE = ((codecs.BOM_UTF32_LE, "utf-32"), (codecs.BOM_UTF32_BE, "utf-32"),
         (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text without its end.

    Attributes:
        number: Line of the file, from 1.
        fault: Why it cannot be read; empty for a good one.
        note: What was made good in reading it.
    """

    number: int
    text: str
    fault: str = ""
    note: str = ""


class Source:
    """An open file or stream, and how much of it has been read.

    Attributes:
        size: Bytes of the file; 0 for a stream.
    """

    def __init__(self, path: str) -> None:
        """Open it.

        Raises:
            InputFaulty: It cannot be opened.
        """
        self.path = path
        try:
            self._raw = sys.stdin.buffer if path == "-" else Path(path).open("rb")  # noqa: SIM115 - read later
        except OSError as error:
            wrong = f"cannot be read: {error.strerror or error}"
            raise InputFaulty([fault_in_file(path, "unreadable", wrong, "name a readable file")]) from None
        self.size = 0 if path == "-" else Path(path).stat().st_size

    @property
    def done(self) -> int:
        """Count the bytes read so far; 0 for a stream."""
        return self._raw.tell() if self.size and not self._raw.closed else 0

    def unpack(self) -> io.BufferedReader:
        """Give the plain bytes."""
        if self.path.endswith(".gz"):
            return io.BufferedReader(gzip.GzipFile(fileobj=self._raw))
        if self.path.endswith(".zst"):
            import zstandard

            reader = zstandard.ZstdDecompressor().stream_reader(self._raw, read_across_frames=True)
            return io.BufferedReader(cast("io.RawIOBase", reader))
        return cast("io.BufferedReader", self._raw)


@contextmanager
def ensure_whole(path: str) -> Iterator[None]:
    """Turn broken compression, wherever it shows, into one located fault.

    Raises:
        InputFaulty: The compressed file is broken or cut short.
    """
    from zstandard import ZstdError

    try:
        yield
    except (gzip.BadGzipFile, EOFError, zlib.error, ZstdError) as error:
        wrong = f"the compressed file is broken or cut short ({error})"
        raise InputFaulty([fault_in_file(path, "broken-file", wrong, "fetch the file again")]) from None


def read_lines(stream: io.BufferedReader) -> Iterator[Line]:
    """Read lines: UTF-8, UTF-16 or UTF-32 by its mark, and Windows-1252 for lines that are not UTF-8."""
    start = stream.peek(4)[:4]
    wide = next((name for mark, name in _WIDE if start.startswith(mark)), None) or _guess_wide(start)
    if wide:
        yield from _read_wide(stream, wide)
        return
    for number, raw in enumerate(_split(stream), start=1):
        yield _decode(number, raw.removeprefix(codecs.BOM_UTF8) if number == 1 else raw)


def _guess_wide(start: bytes) -> str | None:
    """Know UTF-16 without its mark by the zero half of its first two letters."""
    zeros = tuple(not byte for byte in start)
    return {(False, True, False, True): "utf-16-le", (True, False, True, False): "utf-16-be"}.get(
        cast("tuple[bool, bool, bool, bool]", zeros)
    )


def _split(stream: BinaryIO) -> Iterator[bytes]:
    """Split at line feeds; of a line that is too long only its length is kept in mind."""
    while raw := stream.readline(MAX_LINE + 1):
        yield raw
        while len(raw) > MAX_LINE and not raw.endswith(b"\n"):
            raw = stream.readline(MAX_LINE + 1)


def _decode(number: int, raw: bytes) -> Line:
    if len(raw) > MAX_LINE:
        return Line(number, "", fault=f"line {number} is longer than {MAX_LINE // 2**20} MB")
    try:
        return Line(number, raw.decode().rstrip("\r\n"))
    except UnicodeDecodeError:
        pass
    try:
        text = raw.decode("cp1252").rstrip("\r\n")
    except UnicodeDecodeError:
        return Line(number, "", fault=f"line {number} is neither UTF-8 nor Windows-1252")
    return Line(number, text, note="not UTF-8, read as Windows-1252")


def _read_wide(stream: io.BufferedReader, encoding: str) -> Iterator[Line]:
    text = io.TextIOWrapper(stream, encoding, errors="replace", newline="\n")
    number = 0
    while line := text.readline(MAX_LINE + 1):
        number += 1
        if len(line) > MAX_LINE:
            while line and not line.endswith("\n"):
                line = text.readline(MAX_LINE + 1)
            yield Line(number, "", fault=f"line {number} is longer than {MAX_LINE // 2**20} MB")
            continue
        note = f"some characters are not {encoding.upper()}" if "\ufffd" in line else ""
        yield Line(number, line.rstrip("\r\n"), note=note)
