"""The triage report of a scored backlog, written from the journal of the score.

Takes a journal, gives a page; may import everything above interfaces, measuring and the plots.
"""

from __future__ import annotations

import json
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.explanation.triage import ConfusedRow, Measured, TenthRow
from diagnose.explanation.triage_gather import TriageGather
from diagnose.explanation.triage_html import render_triage
from diagnose.interfaces.measuring import BINS, Measures
from diagnose.interfaces.tickets.journal import REJECTED, SCORED, read_journal
from diagnose.interfaces.triage_plots import draw_plots
from diagnose.interfaces.writing import write_whole
from diagnose.knowledge.base import Knowledge

KINDS = (".html", ".htm")
MOST_CONFUSED = 20


def ensure_reportable(path: Path) -> None:
    """Refuse a report that could not be written, before hours of scoring.

    Raises:
        InputFaulty: Another kind of file, no such directory, or no drawing library.
    """
    if path.suffix.lower() not in KINDS:
        wrong = f"'{path.suffix or path}' is no page"
        raise InputFaulty([fault_in_file(path, "file-kind", wrong, "end the name in .html")])
    if not path.absolute().parent.is_dir():
        wrong = f"there is no directory {path.absolute().parent}"
        raise InputFaulty([fault_in_file(path, "unwritable", wrong, "name another file")])
    try:
        import matplotlib  # noqa: F401, ICN001 - only looked for
    except ImportError:
        wrong, cure = "a report needs matplotlib", "install the extra: pip install 'diagnose[pictures]'"
        raise InputFaulty([fault_in_file(path, "picture", wrong, cure)]) from None


def write_report(path: Path, title: str, knowledge: Knowledge, journal: Path) -> Measures:
    """Write the report of a journal; its lines are read once, never held.

    Args:
        path: The page.
        title: What the backlog is called.
        knowledge: The rules it was scored by.
        journal: Scored and rejected rows.

    Returns:
        Figures of the tickets with a confirmed cause.

    Raises:
        InputFaulty: The page cannot be written.
    """
    gather, measures = TriageGather(knowledge), Measures()
    for line in read_journal(journal, SCORED):
        scored = json.loads(line)
        gather.add(scored)
        measures.add(scored)
    for line in read_journal(journal, REJECTED):
        gather.add_rejected(json.loads(line))
    document = gather.build(title, show_measures(measures))
    write_whole(path, render_triage(document, draw_plots(document)))
    return measures


def show_measures(measures: Measures) -> Measured | None:
    """Put the figures of confirmed tickets into the document; nothing where no cause is confirmed."""
    if not measures.count:
        if not measures.unknown and not measures.not_ranked:
            return None
        return Measured(count=0, not_in_rules=measures.unknown, turned_away=measures.not_ranked)
    tenths = [
        TenthRow(
            span=f"{number / BINS:.1f} to {(number + 1) / BINS:.1f}",
            count=tenth.count,
            share=tenth.shares / tenth.count,
            right=tenth.right / tenth.count,
        )
        for number, tenth in enumerate(measures.bins)
        if tenth.count
    ]
    confused = sorted(measures.confused.items(), key=lambda pair: (-pair[1], pair[0]))
    return Measured(
        count=measures.count,
        not_in_rules=measures.unknown,
        turned_away=measures.not_ranked,
        within=tuple((place, hits / measures.count) for place, hits in measures.within.items()),
        brier=measures.brier,
        log_score=measures.log_score,
        tenths=tuple(tenths),
        confused=tuple(
            ConfusedRow(confirmed=cause, first=first, count=n)
            for (cause, first), n in confused[:MOST_CONFUSED]
        ),
        confused_left_out=max(0, len(confused) - MOST_CONFUSED),
        timed=measures.timed,
        spent=measures.spent,
        planned=measures.planned,
    )
