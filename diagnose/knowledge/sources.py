"""Where every number of the rule base comes from: strengths, priors, values and cautions with their marks.

Takes Knowledge, gives rows; may import base.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Cause, Link
from diagnose.knowledge.settings import Settings
from diagnose.knowledge.words import Condition
from diagnose.knowledge.yaml_nodes import Key


class SourceRow(NamedTuple):
    """One number or caution and its source.

    Attributes:
        spot: Section of the entry that says it (`whole` for a file), its id or file, key inside it.
        what: What kind of value it is, and of what.
        value: The value as written.
        source: The source or the mark, its own or the entry's.
    """

    spot: Key
    what: str
    value: str
    source: str


def list_sources(knowledge: Knowledge) -> Iterator[SourceRow]:
    """Walk every strength, prior, shift, exclusion, value and caution with its source or mark."""
    yield from _in_settings(knowledge.settings)
    for cause in knowledge.causes.values():
        yield from _in_cause(cause)
    for name, state in knowledge.consequences.items():
        yield from _in_links(("consequences", name), state.links, state.source)
    yield from _in_seen(knowledge)
    yield from _in_work(knowledge)
    for name, rule in knowledge.rules.items():
        yield SourceRow(("rules", name), "rule", rule.says, rule.source)
    for name, line in knowledge.cautions.lines.items():
        yield SourceRow(("whole", "cautions.yaml", "lines", name), f"caution {name}", line.says, line.source)


def _in_settings(settings: Settings) -> Iterator[SourceRow]:
    for table in ("strengths", "backgrounds", "trust"):
        for word, value in getattr(settings, table).items():
            yield SourceRow(
                ("whole", "format.yaml", table, word), f"{table} {word}", str(value), settings.source
            )
    for part in (settings.unlisted, settings.thresholds, settings.look, settings.backlog):
        name = type(part).__name__.lower()
        for word, value in part.model_dump(exclude={"source"}).items():
            spot = ("whole", "format.yaml", name, word)
            yield SourceRow(spot, f"{name} {word}", str(value), part.source)


def _in_cause(cause: Cause) -> Iterator[SourceRow]:
    name, source = cause.cause, cause.source
    yield SourceRow(("causes", name, "share"), "share of calls", f"{cause.share:g}", cause.share_source)
    yield from _in_links(("causes", name), cause.links, source)
    yield from _in_links(("causes", name), cause.brings_about, source, "brings_about")
    for number, shift in enumerate(cause.circumstances):
        what = f"shift {_word(shift.when)}"
        yield SourceRow(
            ("causes", name, "circumstances", number), what, f"{shift.decibans:+g} dB", shift.source or source
        )
    for number, exclusion in enumerate(cause.ruled_out):
        what = f"ruled out {_word(exclusion.when)}"
        yield SourceRow(
            ("causes", name, "ruled_out", number), what, exclusion.says, exclusion.source or source
        )
    for mode, face in cause.modes.items():
        at = ("modes", mode)
        yield SourceRow(("causes", name, *at, "portion"), f"portion {mode}", f"{face.portion:g}", source)
        yield from _in_links(("causes", name, *at), face.links, source)
        yield from _in_links(("causes", name, *at), face.brings_about, source, "brings_about")
    own: Key = ("remedy",)
    of_modes = [(("modes", m, "remedy"), f.remedy) for m, f in cause.modes.items() if f.remedy]
    for key, remedy in ((own, cause.remedy), *of_modes):
        yield SourceRow(("causes", name, *key), "remedy minutes", f"{remedy.minutes:g}", remedy.source)
        yield SourceRow(("causes", name, *key), "remedy success", f"{remedy.success:g}", remedy.source)


def _in_links(spot: Key, links: Iterable[Link], source: str, field: str = "links") -> Iterator[SourceRow]:
    for number, link in enumerate(links):
        what = f"strength {link.to}"
        yield SourceRow((*spot, field, number), what, link.strength, link.source or source)


def _in_seen(knowledge: Knowledge) -> Iterator[SourceRow]:
    for name, seen in knowledge.observations.items():
        yield SourceRow(("observations", name), "background", seen.background, seen.source)
    for name, known in knowledge.circumstances.items():
        yield SourceRow(("circumstances", name), "values", ", ".join(known.values), known.source)
    for name, reading in knowledge.readings.items():
        doubt = f"{reading.uncertainty:g} {reading.unit}"
        yield SourceRow(("readings", name), "uncertainty", doubt, reading.source)
        for number, verdict in enumerate(reading.decides):
            limit = f"{verdict.factor:g} x {verdict.limit_of}" if verdict.limit_of else f"{verdict.limit:g}"
            value = f"{verdict.when} {limit} {reading.unit}"
            at = ("decides", number)
            yield SourceRow(("readings", name, *at), f"limit {verdict.observation}", value, verdict.source)
    for name, record in knowledge.computed.items():
        yield SourceRow(("computed", name), f"worked out {record.gives}", record.calculation, record.source)


def _in_work(knowledge: Knowledge) -> Iterator[SourceRow]:
    for name, look in knowledge.inspections.items():
        yield SourceRow(("inspections", name), "minutes", f"{look.minutes:g}", look.source)
    for number, change in enumerate(knowledge.access.changes):
        what = f"change {change.start} to {change.end}"
        minutes = f"{change.minutes:g} min"
        yield SourceRow(("whole", "access.yaml", "changes", number), what, minutes, knowledge.access.source)


def _word(condition: Condition) -> str:
    return " ".join(map(str, condition.atoms()))
