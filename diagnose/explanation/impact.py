"""What an edit of the rules does to known calls: first cause, status and next step before and after.

Takes two rule bases and case files, gives an Impact document; may import everything above interfaces.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from pathlib import Path

from diagnose.chaining.plain import run_plain
from diagnose.errors import FaultsFound
from diagnose.explanation.document import Part
from diagnose.explanation.edits import Edit, list_edits, put_back
from diagnose.explanation.reasoner import Reasoner
from diagnose.explanation.text import WIDTH, percent, wrap
from diagnose.facts.case_file import Case, evidence_of_case, load_call
from diagnose.facts.model import Evidence
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.rank import Prepared, Ranking, prepare_ranking, rank_evidence


class Verdict(Part):
    """What one rule base says of one call; `next` is empty where it was not asked.

    Attributes:
        leading: The likeliest causes, the first included.
    """

    status: str
    first: str
    probability: float
    leading: tuple[str, ...]
    next: str = ""


class Change(Part):
    """One call on which two rule bases differ.

    Attributes:
        because: Edits of what the call touches, each of which, put back alone, brings the earlier verdict back; where none does,
            `together` is true and they are the edits of the causes concerned.
    """

    case: str
    found: str
    before: Verdict
    after: Verdict
    because: tuple[str, ...]
    together: bool


class Impact(Part):
    """Everything an edit changed; `edits` counts the entries that differ."""

    before_version: str
    after_version: str
    cases: int
    edits: int
    right_before: int
    right_after: int
    confirmed: int
    changes: tuple[Change, ...]
    unreadable: tuple[str, ...]


# A cause further down would have to rise past all of these to matter.
_LEADING = 6
# Sections of few entries, any of which may move a ranking; the rest tell only what is done.
_MOVES_RANKING = {"consequences", "conditions", "groups", "rules", "settings", "exclusives", "computed"}
Judged = tuple[dict[str, Verdict], dict[str, str]]


def judge_calls(knowledge: Knowledge, paths: Iterable[Path], *, with_next: bool) -> Judged:
    """Rank calls under one rule base.

    Returns:
        Verdicts by path, and for those that cannot be read under these rules the first reason.
    """
    reasoner = Reasoner(knowledge)
    verdicts, unreadable = {}, {}
    for path in paths:
        try:
            case = load_call(path, knowledge)
        except FaultsFound as error:
            unreadable[str(path)] = str(error.faults[0])
            continue
        evidence = evidence_of_case(case, knowledge)
        verdict = _verdict(reasoner.rank(evidence))
        if with_next:
            step = reasoner.choose(evidence)
            verdict = verdict.model_copy(update={"next": f"{step.kind.value} {step.id}".strip()})
        verdicts[str(path)] = verdict
    return verdicts, unreadable


def judge_evidence(prepared: Prepared, evidence: Evidence) -> Verdict:
    """Say what one rule base says of what was understood of a ticket."""
    return _verdict(rank_evidence(prepared, evidence, run_plain))


def add_tickets(
    impact: Impact,
    edits: tuple[Edit, ...],
    old: Mapping[str, Verdict],
    new: Mapping[str, Verdict],
    found: Mapping[str, str],
) -> Impact:
    """Add the tickets on which two rule bases differ, with the edits of the causes concerned.

    Args:
        impact: What changed in the calls.
        edits: Everything that differs between the two.
        old: What the rules compared with say, by ticket.
        new: What the rules as they are now say.
        found: Confirmed cause by ticket, where there is one.
    """
    changes = tuple(
        Change(
            case=f"ticket {name}",
            found=found.get(name, ""),
            before=old[name],
            after=new[name],
            because=tuple(str(edit) for edit in _list_concerned(edits, old[name], new[name])),
            together=True,
        )
        for name in old
        if _differ(old[name], new[name])
    )
    confirmed = [name for name in old if found.get(name)]
    return impact.model_copy(
        update={
            "cases": impact.cases + len(old),
            "right_before": impact.right_before + sum(old[name].first == found[name] for name in confirmed),
            "right_after": impact.right_after + sum(new[name].first == found[name] for name in confirmed),
            "confirmed": impact.confirmed + len(confirmed),
            "changes": (*impact.changes, *changes),
        }
    )


def _verdict(ranking: Ranking) -> Verdict:
    possible = [ranked for ranked in ranking.causes if not ranked.ruled_out_by]
    return Verdict(
        status=ranking.status.value,
        first=possible[0].cause,
        probability=possible[0].probability,
        leading=tuple(ranked.cause for ranked in possible[:_LEADING]),
    )


def compare_judged(
    before: Knowledge, after: Knowledge, judged: tuple[Judged, Judged], found: Mapping[str, tuple[str, str]]
) -> Impact:
    """Compare the verdicts of two rule bases and trace each change to the edits behind it.

    Args:
        before: The rules compared with.
        after: The rules as they are now.
        judged: What each says of the calls.
        found: Id and confirmed cause of each call, by path; the cause may be empty.
    """
    (old, old_faults), (new, new_faults) = judged
    both = sorted(old.keys() & new.keys())
    edits = list_edits(before, after)
    tracer = _Tracer(before, after, edits)
    changes = [
        tracer.trace(path, found[path], old[path], new[path])
        for path in both
        if _differ(old[path], new[path])
    ]
    confirmed = [path for path in both if found[path][1]]
    faults = {**old_faults, **new_faults}
    return Impact(
        before_version=before.version,
        after_version=after.version,
        cases=len(both),
        edits=len(edits),
        right_before=sum(old[path].first == found[path][1] for path in confirmed),
        right_after=sum(new[path].first == found[path][1] for path in confirmed),
        confirmed=len(confirmed),
        changes=tuple(changes),
        unreadable=tuple(faults[path] for path in sorted(faults)),
    )


def _differ(old: Verdict, new: Verdict) -> bool:
    return (old.status, old.first, old.next) != (new.status, new.first, new.next)


class _Tracer:
    """Puts edits back one at a time, each base made ready once."""

    def __init__(self, before: Knowledge, after: Knowledge, edits: tuple[Edit, ...]) -> None:
        self._before, self._after, self._edits = before, after, edits
        self._prepared: dict[Edit, Prepared | None] = {}

    def trace(self, path: str, found: tuple[str, str], old: Verdict, new: Verdict) -> Change:
        case = load_call(Path(path), self._after)
        # a single edit needs no trial
        because: tuple[Edit, ...] = self._edits if len(self._edits) == 1 else ()
        if not because and (old.status, old.first) != (new.status, new.first):
            leading = {*old.leading, *new.leading}
            could = [edit for edit in self._edits if _could_matter(edit, case, leading)]
            because = tuple(edit for edit in could if self._brings_back(edit, case, old))
        alone = bool(because)
        return Change(
            case=found[0],
            found=found[1],
            before=old,
            after=new,
            because=tuple(str(edit) for edit in because or _list_concerned(self._edits, old, new)),
            together=not alone,
        )

    def _brings_back(self, edit: Edit, case: Case, old: Verdict) -> bool:
        prepared = self._prepare(edit)
        if prepared is None or _names_unknown(case, prepared.knowledge):
            return False
        evidence = evidence_of_case(case, prepared.knowledge)
        verdict = _verdict(rank_evidence(prepared, evidence, run_plain))
        return (verdict.status, verdict.first) == (old.status, old.first)

    def _prepare(self, edit: Edit) -> Prepared | None:
        if edit not in self._prepared:
            mixed = put_back(self._before, self._after, edit)
            self._prepared[edit] = None if mixed is None else prepare_ranking(mixed)
        return self._prepared[edit]


def _list_concerned(edits: tuple[Edit, ...], old: Verdict, new: Verdict) -> Iterator[Edit]:
    """Name the edits of the leading causes, of the two next steps, and of whole files."""
    names = {*old.leading, *new.leading, old.next.partition(" ")[2], new.next.partition(" ")[2], ""}
    return (edit for edit in edits if edit.name in names)


def _could_matter(edit: Edit, case: Case, leading: Collection[str]) -> bool:
    """Leave out edits of what the call does not touch: they would be tried in vain by the thousand."""
    told = {fact.observation for fact in case.facts}
    touched = {
        "causes": leading,
        "observations": told,
        "readings": {given.reading for given in case.readings},
        "circumstances": {*case.circumstances, *case.nameplate},
    }
    if edit.section in touched:
        return edit.name in touched[edit.section]
    return edit.section in _MOVES_RANKING


def _names_unknown(case: Case, knowledge: Knowledge) -> bool:
    """Tell whether a call names something that a mixed rule base lacks."""
    return not (
        {fact.observation for fact in case.facts} <= set(knowledge.observations)
        and {given.reading for given in case.readings} <= set(knowledge.readings)
        and {*case.circumstances, *case.nameplate} <= set(knowledge.circumstances)
        and all(knowledge.named_remedy(repair.cause) for repair in case.repairs)
    )


def render_impact(impact: Impact, width: int = WIDTH) -> str:
    """Render what an edit changed as text, changed calls only."""
    lines = wrap(
        f"Rules {impact.before_version} -> {impact.after_version}: {impact.edits} entries differ; "
        f"{len(impact.changes)} of {impact.cases} calls change.",
        width,
    )
    lines += wrap(
        f"Confirmed cause first: {impact.right_before} -> {impact.right_after} of {impact.confirmed}.", width
    )
    for change in impact.changes:
        lines += ["", *_render_change(change, width)]
    if impact.unreadable:
        lines += ["", "Calls that one of the two cannot read:"]
        lines += [line for fault in impact.unreadable for line in wrap(fault, width, 2)]
    return "\n".join(lines) + "\n"


def _render_change(change: Change, width: int) -> Iterator[str]:
    old, new = change.before, change.after
    found = f" (found: {change.found})" if change.found else ""
    yield from wrap(f"{change.case}{found}", width)
    if old.first != new.first:
        was, now = (f"{v.first} {percent(v.probability)}" for v in (old, new))
        yield from wrap(f"first cause  {was} -> {now}", width, 2, 13)
    if old.status != new.status:
        yield from wrap(f"status       {old.status} -> {new.status}", width, 2, 13)
    if old.next != new.next:
        yield from wrap(f"next step    {old.next} -> {new.next}", width, 2, 13)
    if change.together:
        word = "by no edit alone; edits of what is concerned:" if change.because else "by no edit alone"
        yield from wrap(word, width, 2)
    for text in change.because:
        yield from wrap(f"because of   {text}" if not change.together else text, width, 2, 13)
