"""Every id that a rule file names must exist; unknown ones become faults with the nearest known id.

Takes the models read so far with their places, gives faults; may import the models.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from diagnose.errors import Fault
from diagnose.knowledge.accepted import AcceptedFindings
from diagnose.knowledge.acting import Access, Remedy
from diagnose.knowledge.reasons import Cause, Link
from diagnose.knowledge.unit import UnitRecord
from diagnose.knowledge.validate import suggest
from diagnose.knowledge.words import RESERVED, Condition
from diagnose.knowledge.yaml_nodes import Document, Key

Models = Mapping[str, Mapping[str, Any]]
Places = Mapping[tuple[str, str], tuple[Document, Key]]


class Mention(NamedTuple):
    """One id named at one place; `kinds` are the sections it may belong to."""

    kinds: tuple[str, ...]
    name: str
    key: Key


def check_references(models: Models, places: Places) -> Iterator[Fault]:
    """Find every mention of an id that is defined nowhere."""
    known = {section: set(entries) for section, entries in models.items()}
    known["cautions"] = set(models["whole"]["cautions.yaml"].lines)
    known["access"] = set(models["whole"]["access.yaml"].states)
    known["unit fields"] = set(UnitRecord.model_fields)
    known["unit numbers"] = {
        name for name, field in UnitRecord.model_fields.items() if "float" in str(field.annotation)
    }
    yield from _check_reserved(models, places)
    for section, name, model in _entries(models):
        document, key = places[section, name]
        for mention in _mentions(section, model):
            yield from _check_mention(mention, known, document, key)
        for condition, at in _conditions(section, model):
            yield from _check_condition(condition, models, document, (*key, *at))


def _entries(models: Models) -> Iterator[tuple[str, str, Any]]:
    for section, entries in models.items():
        for name, model in entries.items():
            yield section, name, model


def _check_reserved(models: Models, places: Places) -> Iterator[Fault]:
    for section in ("observations", "circumstances"):
        for name in models.get(section, {}):
            if name in RESERVED:
                document, key = places[section, name]
                yield document.fault(key, "reserved", f"'{name}' is a word of the rule engines", "rename it")
    both = set(models.get("observations", {})) & set(models.get("circumstances", {}))
    for name in sorted(both):
        document, key = places["circumstances", name]
        yield document.fault(key, "doubled-id", f"'{name}' is an observation too", "rename one of them")


def _check_mention(
    mention: Mention, known: Mapping[str, set[str]], document: Document, key: Key
) -> Iterator[Fault]:
    candidates = set().union(*(known.get(kind, set()) for kind in mention.kinds))
    if mention.name not in candidates:
        what = " or ".join(_SINGULAR[kind] for kind in mention.kinds)
        yield document.fault(
            (*key, *mention.key),
            "vocabulary",
            f"no {what} '{mention.name}'",
            suggest(mention.name, candidates, "define it first or remove it"),
        )


_SINGULAR = {
    "observations": "observation",
    "circumstances": "circumstance",
    "causes": "cause",
    "consequences": "consequence",
    "inspections": "inspection",
    "cautions": "caution",
    "conditions": "sight condition",
    "groups": "group",
    "rules": "rule",
    "access": "access state",
    "unit fields": "unit record field",
    "unit numbers": "number in the unit record",
    "readings": "reading",
}


def _check_condition(condition: Condition, models: Models, document: Document, key: Key) -> Iterator[Fault]:
    observations, circumstances = models.get("observations", {}), models.get("circumstances", {})
    for atom in condition.atoms():
        if atom.name in observations:
            allowed: Iterable[str] = ("present", "absent")
        elif atom.name in circumstances:
            allowed = circumstances[atom.name].values
        else:
            yield document.fault(
                key,
                "vocabulary",
                f"no observation or circumstance '{atom.name}'",
                suggest(atom.name, {*observations, *circumstances}, "define it first"),
            )
            continue
        if atom.value not in allowed:
            yield document.fault(
                key,
                "vocabulary",
                f"'{atom.name}' has no value '{atom.value}'",
                suggest(atom.value, allowed, "use one of " + ", ".join(allowed)),
            )


def _mentions(section: str, model: Any) -> Iterator[Mention]:  # noqa: ANN401 - one of several models
    reader = _READERS.get(section)
    if reader is not None:
        yield from reader(model)
    elif section == "whole":
        yield from _in_whole(model)


def _in_observation(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    yield Mention(("access",), model.access, ("access",))
    yield from _each(("conditions",), model.seen_only_if, ("seen_only_if",))


def _in_reading(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    yield Mention(("access",), model.access, ("access",))
    for number, decision in enumerate(model.decides):
        yield Mention(("observations",), decision.observation, ("decides", number, "observation"))
        if decision.limit_of:
            yield Mention(("unit numbers",), decision.limit_of, ("decides", number, "limit_of"))


def _in_computed(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    yield Mention(("readings",), model.gives, ("gives",))
    for name, taken in model.takes.items():
        if taken.reading is not None:
            yield Mention(("readings",), taken.reading, ("takes", name, "reading"))
        if taken.unit_field is not None:
            yield Mention(("unit fields",), taken.unit_field, ("takes", name, "unit_field"))


def _in_circumstance(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    if model.unit_field:
        yield Mention(("unit fields",), model.unit_field, ("unit_field",))


def _in_cause(model: Cause) -> Iterator[Mention]:
    if model.refines:
        yield Mention(("causes",), model.refines, ("refines",))
    yield from _in_links(model.links, model.brings_about, ())
    yield from _in_work(model.remedy, ("remedy",))
    for number, confirmation in enumerate(model.confirmed_by):
        key: Key = ("confirmed_by", number)
        yield Mention(("inspections",), confirmation.inspection, (*key, "inspection"))
        yield from _each(("observations",), confirmation.expects, (*key, "expects"), by_name=True)
    for name, mode in model.modes.items():
        yield from _in_links(mode.links, mode.brings_about, ("modes", name))
        if mode.remedy:
            yield from _in_work(mode.remedy, ("modes", name, "remedy"))


def _in_links(links: tuple[Link, ...], states: tuple[Link, ...], key: Key) -> Iterator[Mention]:
    yield from _each(("observations",), [link.to for link in links], (*key, "links"), last="to")
    yield from _each(("consequences",), [link.to for link in states], (*key, "brings_about"), last="to")


def _in_work(work: Any, key: Key) -> Iterator[Mention]:  # noqa: ANN401
    yield Mention(("access",), work.access, (*key, "access"))
    yield from _each(("cautions",), work.cautions, (*key, "cautions"))
    yield from _each(("observations",), getattr(work, "observe_again", ()), (*key, "observe_again"))
    yield from _each(("observations",), getattr(work, "reveals", ()), (*key, "reveals"))


def _in_consequence(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    yield from _in_links(model.links, (), ())
    if model.remedy:
        yield from _in_work(model.remedy, ("remedy",))


def _in_rule(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    end = model.concludes
    for kind, name, field in (
        ("observations", end.observation, "observation"),
        ("causes", end.ruled_out, "ruled_out"),
        ("cautions", end.caution, "caution"),
    ):
        if name:
            yield Mention((kind,), name, ("concludes", field))
    yield from _each(("rules",), model.over, ("over",))


def _in_whole(model: Any) -> Iterator[Mention]:  # noqa: ANN401
    for name, members in getattr(model, "sets", {}).items():
        yield from _each(("causes",), members, ("sets", name))
    for number, together in enumerate(getattr(model, "together", ())):
        for at, pair in enumerate(together.pairs):
            key: Key = ("together", number, "pairs", at)
            yield from _each(("causes",), pair.causes, (*key, "causes"))
            yield from _each(("observations",), [link.to for link in pair.links], (*key, "links"), last="to")
    for act, lines in getattr(model, "acts", {}).items():
        yield from _each(("cautions",), lines, ("acts", act))
    if isinstance(model, Access):
        yield from _in_access(model)
    if isinstance(model, AcceptedFindings):
        yield from _in_accepted(model)


def _in_accepted(model: AcceptedFindings) -> Iterator[Mention]:
    for number, pair in enumerate(model.correlated):
        yield from _each(("observations",), pair.observations, ("correlated", number, "observations"))
    for number, rule in enumerate(model.subsumed):
        yield Mention(("rules",), rule.rule, ("subsumed", number, "rule"))
        yield Mention(("rules",), rule.by, ("subsumed", number, "by"))
    for number, link in enumerate(model.direct_links):
        yield Mention(("causes",), link.cause, ("direct_links", number, "cause"))
        yield Mention(("observations",), link.observation, ("direct_links", number, "observation"))
    for number, alike in enumerate(model.look_alikes):
        names = [name.partition(".")[0] for name in alike.causes]
        yield from _each(("causes",), names, ("look_alikes", number, "causes"))


def _in_access(model: Access) -> Iterator[Mention]:
    yield Mention(("access",), model.start, ("start",))
    for value, states in model.reach.items():
        yield from _each(("access",), states, ("reach", value))
    for number, change in enumerate(model.changes):
        yield Mention(("access",), change.start, ("changes", number, "start"))
        yield Mention(("access",), change.end, ("changes", number, "end"))


def _each(
    kinds: tuple[str, ...], names: Iterable[str], key: Key, last: str | None = None, *, by_name: bool = False
) -> Iterator[Mention]:
    for number, name in enumerate(names):
        yield Mention(kinds, name, (*key, name if by_name else number, *((last,) if last else ())))


_READERS: dict[str, Any] = {
    "observations": _in_observation,
    "circumstances": _in_circumstance,
    "readings": _in_reading,
    "computed": _in_computed,
    "causes": _in_cause,
    "consequences": _in_consequence,
    "inspections": lambda model: _in_work(model, ()),
    "families": lambda model: _each(("observations",), model.opens, ("opens",)),
    "groups": lambda model: _each(("observations",), model.members, ("members",)),
    "rules": _in_rule,
}


def _conditions(section: str, model: Any) -> Iterator[tuple[Condition, Key]]:  # noqa: ANN401
    """Walk every condition of a model with its key."""
    match section:
        case "conditions":
            yield from ((c, ("fails_when", n)) for n, c in enumerate(model.fails_when))
        case "rules":
            yield model.when, ("when",)
        case "inspections":
            yield from ((c, ("excluded_when", n)) for n, c in enumerate(model.excluded_when))
        case "causes":
            yield from _in_cause_conditions(model)
        case "consequences" if model.remedy:
            yield from _in_remedy_conditions(model.remedy, ("remedy",))
        case "whole":
            for name, line in getattr(model, "lines", {}).items():
                if line.needless_where:
                    yield line.needless_where, ("lines", name, "needless_where")
            for name, state in getattr(model, "states", {}).items():
                yield from (
                    (c, ("states", name, "excluded_when", n)) for n, c in enumerate(state.excluded_when)
                )


def _in_cause_conditions(model: Cause) -> Iterator[tuple[Condition, Key]]:
    yield from ((shift.when, ("circumstances", n, "when")) for n, shift in enumerate(model.circumstances))
    yield from ((out.when, ("ruled_out", n, "when")) for n, out in enumerate(model.ruled_out))
    yield from _in_remedy_conditions(model.remedy, ("remedy",))
    for name, mode in model.modes.items():
        if mode.remedy:
            yield from _in_remedy_conditions(mode.remedy, ("modes", name, "remedy"))


def _in_remedy_conditions(remedy: Remedy, key: Key) -> Iterator[tuple[Condition, Key]]:
    yield from ((c, (*key, "only_after", n)) for n, c in enumerate(remedy.only_after))
    yield from ((c, (*key, "excluded_when", n)) for n, c in enumerate(remedy.excluded_when))
