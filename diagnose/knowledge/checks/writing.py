"""Checks `too-long`, `placeholder` and `shares`: what a reader of the files would stumble over.

Takes Located, gives faults; may import sources.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.errors import Fault
from diagnose.knowledge.located import Located
from diagnose.knowledge.sources import list_sources

MOST_LINES = 120
# Shares are normalised, so their sum only has to show that they were thought of as parts of a whole.
LEAST_SUM, MOST_SUM = 0.8, 1.25
_PLACEHOLDERS = frozenset({"?", "-", "...", "todo", "tbd", "none", "n/a", "unknown", "source", "x"})


def check_lengths(base: Located) -> Iterator[Fault]:
    """Find cause files whose reasons nobody takes in at one reading.

    Remedies are read one at a time at the unit, and `never` says in a line each that a pattern does not fit:
    neither counts.
    """
    for name, cause in base.knowledge.causes.items():
        document, _ = base.places["causes", name]
        own = [("modes", mode, "remedy") for mode, face in cause.modes.items() if face.remedy]
        remedies = sum(map(document.count_lines, (("remedy",), *own)))
        nevers = sum(link.strength == "never" for _, link in base.knowledge.all_links(name))
        lines = document.text.count("\n") - remedies - nevers
        if lines > MOST_LINES:
            wrong = f"{lines} lines besides remedies and `never`; a cause has at most {MOST_LINES}"
            cure = "say what all modes share once, or split the cause"
            yield Fault(document.path, MOST_LINES + 1, 1, "too-long", wrong, cure)


def check_placeholders(base: Located) -> Iterator[Fault]:
    """Find sources that only hold the place of one; an empty one the loader refuses."""
    for row in list_sources(base.knowledge):
        if row.source.lower().strip(" .") in _PLACEHOLDERS:
            wrong = f"'{row.source}' is no source"
            cure = "name it, or write: common practice, no source"
            yield base.fault(row.spot, "placeholder", wrong, cure)


def check_shares(base: Located) -> Iterator[Fault]:
    """Find shares that are far from adding up to all calls."""
    unlisted = base.knowledge.settings.unlisted.share
    total = unlisted + sum(cause.share for cause in base.knowledge.causes.values())
    if not LEAST_SUM <= total <= MOST_SUM:
        wrong = f"the shares of all causes and of `unlisted` add up to {total:.2f}, not about 1"
        at = ("unlisted", "share")
        yield base.fault(("whole", "format.yaml", *at), "shares", wrong, "scale the shares of the causes")
