"""A backlog of tickets scored: read, scored, kept in a journal, written whole, counted.

Takes a job, gives counts; may import everything above interfaces and the ticket files.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from itertools import chain, islice
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.measuring import Measures, as_dict, measure
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.reporting import ensure_reportable, write_report
from diagnose.interfaces.tickets.cluster import score_on_cluster
from diagnose.interfaces.tickets.history import attach_earlier, load_history
from diagnose.interfaces.tickets.journal import REJECTED, SCORED, Journal, read_journal
from diagnose.interfaces.tickets.pool import score_apart, score_here
from diagnose.interfaces.tickets.progress import show_progress
from diagnose.interfaces.tickets.reading import TicketFile
from diagnose.interfaces.tickets.row import Row
from diagnose.interfaces.tickets.seen import SeenIds
from diagnose.interfaces.tickets.writers import find_writer, write_output
from diagnose.knowledge.loader import load_knowledge

STREAM = "-"
# Rows a chunk: with the planner a chunk takes a second or two, without it a tenth.
CHUNK_WITH_NEXT, CHUNK = 64, 500
_FINGERPRINT = 1 << 20


@dataclass(frozen=True)
class Job:
    """What to score and how.

    Attributes:
        tickets: File, or "-" for a stream.
        out: File, or "-" for JSON Lines on stdout.
        mapping: Our column by theirs.
        processes: Worker processes; 1 works in this one.
        report: Where to write the triage report, if anywhere.
        cluster: Address of the Dask scheduler that scores; empty for this machine.
    """

    tickets: str
    out: str
    plan: Plan
    mapping: Mapping[str, str] = field(default_factory=dict)
    resume: bool = False
    processes: int = 1
    quiet: bool = False
    measure: bool = False
    report: Path | None = None
    cluster: str = ""


@dataclass(frozen=True)
class Counts:
    """What became of the rows; scored and rejected add up to those read.

    Attributes:
        notes: How many rows each note was made of.
        seconds: Time of this run.
        resumed: Rows that an earlier run had done.
        measures: Figures of the tickets with a confirmed cause, where they were asked for.
    """

    read: int
    scored: int
    rejected: int
    seconds: float
    resumed: int
    notes: Mapping[str, int]
    measures: Measures | None = None

    def render(self) -> str:
        """Say it in a line or a few."""
        done = self.read - self.resumed
        rate = f"{done / self.seconds:,.0f} a second" if self.seconds > 0 else "-"
        head = f"{self.read} rows read: {self.scored} scored, {self.rejected} rejected"
        if self.resumed:
            head += f", {self.resumed} of them by an earlier run"
        lines = [f"{head}. {self.seconds:.1f} s, {rate}."]
        lines += [f"Note on {count} rows: {note}" for note, count in sorted(self.notes.items())]
        return "\n".join(lines)

    def as_dict(self) -> dict[str, object]:
        """Give the counts as plain data."""
        plain = asdict(replace(self, measures=None))
        return {**plain, "measures": as_dict(self.measures) if self.measures else None}


def journal_path(out: Path) -> Path:
    """Name the journal beside an output."""
    return out.with_name(f"{out.name}.part")


def run_score(job: Job) -> Counts:
    """Score all tickets of a file.

    Returns:
        What became of the rows.

    Raises:
        DiagnoseError: The rules, the file or the output cannot be used; the work done is kept.
    """
    started = time.perf_counter()
    file = TicketFile(job.tickets, job.mapping)
    if job.out == STREAM:
        return _score_to_stdout(job, file, started)
    out = Path(job.out)
    find_writer(out)
    if job.report is not None:
        ensure_reportable(job.report)
    journal = Journal(journal_path(out), _describe(job), resume=job.resume)
    done_before, notes = journal.rows, Counter[str]()
    read = done_before
    try:
        with show_progress(quiet=job.quiet) as advance:
            for lines in _score(job, _list_chunks(job, file, notes, done_before)):
                journal.add(lines)
                read += len(lines)
                advance(read, file.done, file.size)
    except KeyboardInterrupt:
        cure = "go on with --resume"
        raise InputFaulty([fault_in_file(out, "stopped", f"stopped after {read} rows", cure)]) from None
    finally:
        journal.close()
    written = write_output(journal.path, out)
    ensure_complete(read, written.scored, written.rejected)
    measures = _conclude(job, journal.path)
    journal.path.unlink()
    seconds = time.perf_counter() - started
    return Counts(read, written.scored, written.rejected, seconds, done_before, notes, measures)


def _conclude(job: Job, journal: Path) -> Measures | None:
    """Write the report and measure the confirmed tickets, as far as they are wanted."""
    if job.report is not None:
        title = f"Triage of {'a stream' if job.tickets == STREAM else Path(job.tickets).name}"
        measures = write_report(job.report, title, load_knowledge(job.plan.rules), journal)
        return measures if job.measure else None
    return measure(map(json.loads, read_journal(journal, SCORED))) if job.measure else None


def ensure_complete(read: int, scored: int, rejected: int) -> None:
    """Refuse to end well when a row was lost or doubled.

    Raises:
        RuntimeError: The counts do not add up; a fault of the program.
    """
    if scored + rejected != read:
        raise RuntimeError(f"{read} rows were read, but {scored} scored and {rejected} rejected")


def _score_to_stdout(job: Job, file: TicketFile, started: float) -> Counts:
    """Score to JSON Lines on stdout, rejected rows on stderr."""
    if job.resume or job.measure or job.report:
        wrong = "a stream is not kept: it can be neither resumed, measured nor reported on"
        raise InputFaulty([fault_in_file(STREAM, "stream", wrong, "write to a file")])
    notes, found = Counter[str](), Counter[str]()
    for lines in _score(job, _list_chunks(job, file, notes, 0)):
        for line in lines:
            found[line[0]] += 1
            print(line[1:], file=sys.stdout if line[0] == SCORED else sys.stderr)
        sys.stdout.flush()
    seconds = time.perf_counter() - started
    return Counts(found.total(), found[SCORED], found[REJECTED], seconds, 0, notes)


def _describe(job: Job) -> dict[str, object]:
    """Describe what the lines of the journal depend on."""
    return {
        "tickets": _fingerprint(job.tickets),
        "map": dict(job.mapping),
        "next": job.plan.with_next,
        "rules": load_knowledge(job.plan.rules).version,
        "units": hashlib.sha256(repr(sorted(job.plan.units.items())).encode()).hexdigest()[:16],
    }


def _fingerprint(path: str) -> str:
    """Tell a file by its size and its beginning; a stream must be given again by whoever resumes."""
    if path == STREAM or Path(path).is_dir():
        return path
    with Path(path).open("rb") as stream:
        start = hashlib.sha256(stream.read(_FINGERPRINT)).hexdigest()[:16]
    return f"{Path(path).stat().st_size} {start}"


def _list_chunks(job: Job, file: TicketFile, notes: Counter[str], done: int) -> Iterator[list[Row]]:
    """Give the rows after those done in chunks, with ids seen before noted on every row."""
    seen = SeenIds()
    size = CHUNK_WITH_NEXT if job.plan.with_next else CHUNK
    history = load_history(job.tickets, job.mapping)
    rows = attach_earlier(file.rows(), history, learns=job.tickets == STREAM)
    while chunk := list(islice(rows, size)):
        marked = list(_mark_doubles(chunk, seen))
        notes.update(note for row in marked for note in row.notes)
        if marked[-1].number > done:
            yield [row for row in marked if row.number > done]


def _mark_doubles(rows: Sequence[Row], seen: SeenIds) -> Iterator[Row]:
    """Note on each row whose id came before; both are scored, for nobody can say which one is meant."""
    for row, is_double in zip(rows, seen.add([_id_of(row) for row in rows]), strict=True):
        is_noted = is_double and not row.fault
        yield replace(row, notes=(*row.notes, "an earlier row has this id")) if is_noted else row


def _id_of(row: Row) -> str:
    return row.values.get("id") or f"\0{row.number}"


def _score(job: Job, chunks: Iterator[list[Row]]) -> Iterable[list[str]]:
    """Score here what fits in one chunk, for workers take a second to start; a cluster runs already."""
    if job.cluster:
        return score_on_cluster(job.plan, chunks, job.cluster)
    first = list(islice(chunks, 2))
    every = chain(first, chunks)
    if job.processes == 1 or len(first) < 2:
        return score_here(job.plan, every)
    return score_apart(job.plan, every, job.processes)


def count_processes() -> int:
    """Count the cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
