"""What differs between two rule bases, entry by entry, and the base with one of the differences put back.

Takes two knowledge bases, gives edits; may import knowledge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

from pydantic import BaseModel

from diagnose.explanation.page_words import write_condition
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Link
from diagnose.knowledge.words import Condition

# Sections of entries by id, and the file each stands in; causes and rules have files of their own.
SECTIONS = {
    "causes": "",
    "consequences": "consequences.yaml",
    "observations": "observations.yaml",
    "conditions": "observations.yaml",
    "groups": "observations.yaml",
    "families": "observations.yaml",
    "circumstances": "circumstances.yaml",
    "readings": "readings.yaml",
    "computed": "readings.yaml",
    "rules": "derived",
    "inspections": "inspections",
}
WHOLE = {
    "settings": "format.yaml",
    "exclusives": "exclusive.yaml",
    "access": "access.yaml",
    "cautions": "cautions.yaml",
}
_MOST_SHOWN = 6


@dataclass(frozen=True)
class Edit:
    """One entry that differs between two rule bases.

    Attributes:
        section: Section of the knowledge base, or the name of a whole file's model.
        name: Id of the entry; empty for a whole file.
        file: Where it stands, from the rules directory.
        what: What differs, one clause each.
    """

    section: str
    name: str
    file: str
    what: tuple[str, ...]

    def __str__(self) -> str:
        """Say the edit in one line."""
        more = f" and {len(self.what) - _MOST_SHOWN} more" if len(self.what) > _MOST_SHOWN else ""
        entry = f" {self.name}" if self.name and not self.file.endswith(f"/{self.name}.yaml") else ""
        return f"{self.file}{entry}: {'; '.join(self.what[:_MOST_SHOWN])}{more}"


def list_edits(before: Knowledge, after: Knowledge) -> tuple[Edit, ...]:
    """List every entry that was added, removed or changed, in order of section and id."""
    edits: list[Edit] = []
    for section, file in SECTIONS.items():
        old, new = getattr(before, section), getattr(after, section)
        edits += (
            _edit(section, file, name, (old.get(name), new.get(name)))
            for name in sorted({*old, *new})
            if old.get(name) != new.get(name)
        )
    for section, file in WHOLE.items():
        pair = (getattr(before, section), getattr(after, section))
        if pair[0] != pair[1]:
            edits.append(Edit(section, "", file, tuple(_differences(*pair))))
    return tuple(edits)


def _edit(section: str, file: str, name: str, pair: tuple[Any, Any]) -> Edit:
    old, new = pair
    place = file or f"{(new or old).part}/{name}.yaml"
    if old is None or new is None:
        return Edit(section, name, place, ("added" if old is None else "removed",))
    return Edit(section, name, place, tuple(_differences(old, new)))


def _differences(old: BaseModel, new: BaseModel) -> Iterator[str]:
    for field in type(new).model_fields:
        was, now = getattr(old, field), getattr(new, field)
        if was == now:
            continue
        if field in {"links", "brings_about"}:
            yield from _link_differences(was, now)
        elif isinstance(was, Mapping) and isinstance(now, Mapping):
            yield from _entry_differences(field, was, now)
        else:
            yield f"{field} {_brief(was)} -> {_brief(now)}"


def _entry_differences(field: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    for name in sorted({*was, *now}):
        old, new = was.get(name), now.get(name)
        if isinstance(old, BaseModel) and isinstance(new, BaseModel):
            yield from (f"{field}.{name}: {text}" for text in _differences(old, new))
        elif old != new:
            yield f"{field}.{name} {_brief(old)} -> {_brief(new)}"


def _link_differences(was: Iterable[Link], now: Iterable[Link]) -> Iterator[str]:
    old, new = ({link.to: link.strength for link in links} for links in (was, now))
    for name in sorted({*old, *new}):
        if old.get(name) != new.get(name):
            yield f"link {name} {old.get(name, 'none')} -> {new.get(name, 'none')}"


def _brief(value: Any) -> str:  # noqa: ANN401 - any field of a model
    if isinstance(value, Condition):
        return write_condition(value)
    if isinstance(value, BaseModel | tuple | dict):
        return "(other)" if value else "(none)"
    text = str(value)
    return text if len(text) <= 30 else f"{text[:27]}..."


def put_back(before: Knowledge, after: Knowledge, edit: Edit) -> Knowledge | None:
    """Undo one edit alone.

    Returns:
        The later base with this entry as it was; None where the rest of the base cannot do without the edit.
    """
    if not edit.name:
        return replace(after, **{edit.section: getattr(before, edit.section)})
    entries = dict(getattr(after, edit.section))
    old = getattr(before, edit.section).get(edit.name)
    if old is None:
        del entries[edit.name]
    else:
        entries[edit.name] = old
    changed: dict[str, Any] = {edit.section: dict(sorted(entries.items()))}
    mixed = replace(after, **changed)
    return mixed if _is_whole(mixed) else None


def _is_whole(knowledge: Knowledge) -> bool:
    """Tell whether everything that the ranking follows up is there."""
    links = chain.from_iterable(_all_links(knowledge))
    named = {link.to for link in links} | set(_named_members(knowledge))
    atoms = {atom.name for condition in _conditions(knowledge) for atom in condition.atoms()}
    known = {*knowledge.observations, *knowledge.circumstances}
    derived = {name for name, record in knowledge.observations.items() if record.derived}
    concluded = {rule.concludes.observation for rule in knowledge.rules.values()}
    return (
        named <= {*knowledge.observations, *knowledge.consequences, *knowledge.causes}
        and atoms <= known
        and derived <= concluded
        and {name for record in knowledge.observations.values() for name in record.seen_only_if}
        <= set(knowledge.conditions)
    )


def _all_links(knowledge: Knowledge) -> Iterator[tuple[Link, ...]]:
    for cause in knowledge.causes.values():
        yield from (cause.links, cause.brings_about)
        for mode in cause.modes.values():
            yield from (mode.links, mode.brings_about)
    yield from (state.links for state in knowledge.consequences.values())
    yield from (pair.links for together in knowledge.exclusives.together for pair in together.pairs)


def _named_members(knowledge: Knowledge) -> Iterator[str]:
    for group in knowledge.groups.values():
        yield from group.members
    for members in knowledge.exclusives.sets.values():
        yield from members
    for reading in knowledge.readings.values():
        yield from (decision.observation for decision in reading.decides)
    for look in knowledge.inspections.values():
        yield from look.reveals
    for rule in knowledge.rules.values():
        yield from (name for name in (rule.concludes.observation, rule.concludes.ruled_out) if name)


def _conditions(knowledge: Knowledge) -> Iterator[Condition]:
    for rule in knowledge.rules.values():
        yield rule.when
    for cause in knowledge.causes.values():
        yield from (shift.when for shift in cause.circumstances)
        yield from (exclusion.when for exclusion in cause.ruled_out)
    for sight in knowledge.conditions.values():
        yield from sight.fails_when
