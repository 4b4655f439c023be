"""How labelled tickets are read: first, within three, within five, other devices caught, own tickets turned away.

Run by name: PYTHONPATH=. python tests/benchmarks/bench_tickets.py [cases/tickets/measure.jsonl ...]

Shares stand with the 95 % interval of Wilson (J. Am. Stat. Assoc. 22, 1927). A first cause that the label lists as
acceptable counts as first.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.chaining.plain import run_plain
from diagnose.facts.from_ticket import TEXT_COLUMNS, TicketReader
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.ranking.rank import prepare_ranking, rank_evidence

DEVELOP = Path(__file__).parents[2] / "cases" / "tickets" / "develop.jsonl"
COLUMNS = (*TEXT_COLUMNS, "duty", "motor")
PLACES = (1, 3, 5)
OTHER_DEVICE, TOO_LITTLE = "none_covered", "insufficient"
NOT_COVERED, ASK_FIRST = "not_covered", "ask_first"
NOWHERE = 999


@dataclass(frozen=True)
class Read:
    """One ticket as labelled and as read.

    Attributes:
        place: Where the labelled cause stands, from 1.
        present: How many observations were read as present.
    """

    cause: str
    voice: str
    status: str
    place: int
    present: int

    @property
    def is_ours(self) -> bool:
        """Tell whether a cause is to be found at all."""
        return self.cause not in {OTHER_DEVICE, TOO_LITTLE}


def find_interval(hits: int, of: int) -> tuple[float, float]:
    """Give the 95 % interval of a share after Wilson."""
    if not of:
        return 0.0, 1.0
    z = 1.959964
    share = hits / of
    middle = share + z * z / (2 * of)
    half = z * math.sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return (middle - half) / (1 + z * z / of), (middle + half) / (1 + z * z / of)


def read_tickets(path: Path) -> Iterator[Read]:
    """Read and rank every ticket of a labelled file."""
    knowledge = load_knowledge(rules_directory())
    reader = TicketReader(knowledge, load_language(rules_directory(), knowledge))
    prepared = prepare_ranking(knowledge)
    for line in path.read_text("utf-8").splitlines():
        label = json.loads(line)
        reading = reader.read({name: label.get(name) or "" for name in COLUMNS})
        ranking = rank_evidence(prepared, reading.evidence, run_plain)
        order = [cause.cause for cause in ranking.causes if not cause.ruled_out_by]
        place = order.index(label["cause"]) + 1 if label["cause"] in order else NOWHERE
        if order and order[0] in label["acceptable"]:
            place = 1
        status = NOT_COVERED if reading.is_other else ranking.status.value
        present = sum(fact.state.value == "present" for fact in reading.evidence.facts)
        yield Read(label["cause"], label.get("voice", "unknown"), status, place, present)


def print_share(label: str, hits: Iterable[bool]) -> None:
    """Print how many hit, as a share with its interval."""
    found = list(hits)
    low, high = find_interval(sum(found), len(found))
    share = f"{sum(found) / len(found):6.1%}" if found else "   -  "
    print(f"  {label:28}{sum(found):5} of {len(found):4} {share}  ({low:.1%} to {high:.1%})")


def print_report(path: Path, tickets: Sequence[Read]) -> None:
    """Print the shares of one file."""
    ours = [ticket for ticket in tickets if ticket.is_ours]
    print(f"{path.name}: {len(tickets)} tickets, {len(ours)} with a cause to find")
    for most in PLACES:
        print_share("first" if most == 1 else f"within {most}", (t.place <= most for t in ours))
    print_share("turned away wrongly", (t.status == NOT_COVERED for t in ours))
    print_share("other device caught", (t.status == NOT_COVERED for t in tickets if t.cause == OTHER_DEVICE))
    print_share("too little, asked first", (t.status == ASK_FIRST for t in tickets if t.cause == TOO_LITTLE))
    for voice in sorted({ticket.voice for ticket in ours}):
        of_voice = [ticket for ticket in ours if ticket.voice == voice]
        print_share(f"first, {voice}", (t.place == 1 for t in of_voice))
        print_share("  within 3", (t.place <= 3 for t in of_voice))
    counts = sorted(ticket.present for ticket in ours)
    mean = sum(counts) / max(len(counts), 1)
    print(
        f"  present observations a ticket: mean {mean:.1f}, median {counts[len(counts) // 2]}, most {counts[-1]}"
    )


def main() -> None:
    """Report every file named, the development half where none is."""
    for path in [Path(name) for name in sys.argv[1:]] or [DEVELOP]:
        print_report(path, list(read_tickets(path)))


if __name__ == "__main__":
    main()
