"""What the tickets of one site need, and which of them one visit can serve.

Takes the knowledge base and scored tickets, gives visits, tools and parts; may import next_step and above.

Joined are tickets of one site whose work needs the same access, the same permit and as many persons, most
urgent first, until a shift is full. Saved are the minutes that are then spent once: travel, permit, and the
way into the access and back where two tickets are of one asset.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from sys import intern
from typing import Any

from diagnose.explanation.triage import Stock, Stop, VisitRow
from diagnose.explanation.triage_lists import Shortlist
from diagnose.knowledge.acting import Work
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.access import compile_access
from diagnose.next_step.cautions import collect_cautions

# Common practice, no source: what one shift holds.
SHIFT_MINUTES = 480.0
# Tickets of one site and kind that are looked at for joining; more would not fit in a week.
MOST_OF_GROUP = 60
# A part is taken along when its cause has at least one chance in five. Common practice, no source.
WORTH_TAKING = 0.2
_NO_TOOL = "none"
# Work, what it says, and its safety lines.
Found = tuple[Work, str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Needed:
    """What one ticket's next work needs."""

    stop: Stop
    access: str
    persons: int
    tools: tuple[str, ...]
    parts: tuple[str, ...]
    cautions: tuple[str, ...]


class VisitGather:
    """Gathers the work of open tickets, one by one."""

    def __init__(self, knowledge: Knowledge) -> None:
        """Reckon the ways into each access and back."""
        self._knowledge = knowledge
        ways = compile_access(knowledge, tuple(knowledge.access.states))
        there, back = ways.minutes[ways.home], ways.minutes[:, ways.home]
        self._way = {state: float(there[n] + back[n]) for n, state in enumerate(ways.states)}
        self._groups: dict[tuple[str, str, int], Shortlist[Needed]] = {}
        self._tools: Counter[str] = Counter()
        self._parts: Counter[str] = Counter()
        self._expected: defaultdict[str, float] = defaultdict(float)
        self.by_call = 0

    def add(self, scored: Mapping[str, Any], place: str, key: tuple[object, ...]) -> None:
        """Add an open ticket that was ranked.

        Args:
            scored: The ticket.
            place: Its site, or else its asset; empty where neither is told.
            key: How urgent it is, for sorting.
        """
        self._add_stock(scored)
        needed = self._find_needed(scored)
        if needed and place and needed.access != self._knowledge.access.start:
            group = (place, needed.access, needed.persons)
            self._groups.setdefault(group, Shortlist(MOST_OF_GROUP)).add(key, needed)

    def _add_stock(self, scored: Mapping[str, Any]) -> None:
        chances: defaultdict[str, float] = defaultdict(float)
        for cause, probability in _list_likely(scored):
            for part in self._knowledge.remedy(cause).parts:
                chances[part] += probability
        self._parts.update(dict.fromkeys(chances, 1))
        for part, chance in chances.items():
            self._expected[part] += chance

    def _find_needed(self, scored: Mapping[str, Any]) -> Needed | None:
        """Find what the next visit is for: the planned step, or else the repair of the first cause.

        A step that needs nobody at the unit is counted; the visit after it is taken to be for the repair.
        """
        knowledge = self._knowledge
        found = _find_planned(knowledge, scored)
        if found and found[0].access == knowledge.access.start:
            self.by_call += 1
            found = _find_repair(knowledge, scored)
        elif scored["next"] is None:
            found = _find_repair(knowledge, scored)
        if found is None:
            return None
        work, says, cautions = found
        remedies = [knowledge.remedy(cause) for cause, _ in _list_likely(scored)]
        tools = dict.fromkeys(tool for one in (work, *remedies) for tool in one.tools if tool != _NO_TOOL)
        parts = dict.fromkeys(part for remedy in remedies for part in remedy.parts)
        self._tools.update(tools.keys())
        stop = Stop(
            ticket=scored["ticket"],
            asset=scored["given"].get("asset", "").strip(),
            level=scored["priority"]["level"] or "",
            work=says,
            minutes=work.minutes,
        )
        return Needed(stop, work.access, work.persons, tuple(tools), tuple(parts), cautions)

    def list_visits(self) -> list[VisitRow]:
        """Join tickets to visits of two or more, those that save most first."""
        joined = [
            self._build_visit(group, stops)
            for group, kept in self._groups.items()
            for stops in self._fill_shifts(group, kept.entries())
            if len(stops) > 1
        ]
        return sorted(joined, key=lambda visit: (-visit.saved, visit.site, visit.stops[0].ticket))

    def _fill_shifts(self, group: tuple[str, str, int], waiting: list[Needed]) -> Iterator[list[Needed]]:
        visit: list[Needed] = []
        for needed in waiting:
            if visit and self._count_minutes(group, [*visit, needed]) > SHIFT_MINUTES:
                yield visit
                visit = []
            visit.append(needed)
        yield visit

    def _count_minutes(self, group: tuple[str, str, int], stops: Sequence[Needed]) -> float:
        """Count the minutes of one visit: what is spent once, the way to each asset, and the work."""
        work = sum(needed.stop.minutes for needed in stops)
        return self._once(group[1]) + _count_assets(stops) * self._way[group[1]] + work

    def _once(self, access: str) -> float:
        backlog = self._knowledge.settings.backlog
        return backlog.travel_minutes + (backlog.permit_minutes if self._needs_permit(access) else 0.0)

    def _needs_permit(self, access: str) -> bool:
        """Tell whether the access itself is an act with safety lines, which no site allows without a permit."""
        return bool(self._knowledge.access.states[access].acts)

    def _build_visit(self, group: tuple[str, str, int], stops: Sequence[Needed]) -> VisitRow:
        site, access, persons = group
        again = len(stops) - _count_assets(stops)
        saved = (len(stops) - 1) * self._once(access) + again * self._way[access]
        return VisitRow(
            site=site,
            access=access,
            needs_permit=self._needs_permit(access),
            persons=persons,
            stops=tuple(needed.stop for needed in stops),
            minutes=self._count_minutes(group, stops),
            saved=saved,
            arithmetic=f"{self._say_terms(access, len(stops) - 1, again)} = {saved:g} min",
            tools=tuple(dict.fromkeys(tool for needed in stops for tool in needed.tools)),
            parts=tuple(dict.fromkeys(part for needed in stops for part in needed.parts)),
            cautions=tuple(dict.fromkeys(line for needed in stops for line in needed.cautions)),
        )

    def _say_terms(self, access: str, times: int, again: int) -> str:
        backlog = self._knowledge.settings.backlog
        terms = [f"{times} × {backlog.travel_minutes:g} min travel"]
        if self._needs_permit(access):
            terms.append(f"{times} × {backlog.permit_minutes:g} min permit")
        if again:
            terms.append(f"{again} × {self._way[access]:g} min into {access.replace('_', ' ')} and back")
        return " + ".join(terms)

    def list_tools(self) -> list[Stock]:
        """List the tools that open tickets need, commonest first."""
        return [Stock(name=tool, tickets=n, expected=0.0) for tool, n in _order(self._tools)]

    def list_parts(self) -> list[Stock]:
        """List the parts that open tickets may need, most expected first."""
        return [
            Stock(name=part, tickets=self._parts[part], expected=round(expected, 3))
            for part, expected in _order(self._expected)
        ]


def _order(counts: Mapping[str, float]) -> list[tuple[str, Any]]:
    return sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))


def _count_assets(stops: Sequence[Needed]) -> int:
    """Count the assets of a visit; a ticket that names none stands for one of its own."""
    return len({needed.stop.asset or f"\0{needed.stop.ticket}" for needed in stops})


def _list_likely(scored: Mapping[str, Any]) -> list[tuple[str, float]]:
    return [(c["cause"], c["probability"]) for c in scored["causes"] if c["probability"] >= WORTH_TAKING]


def _find_planned(knowledge: Knowledge, scored: Mapping[str, Any]) -> Found | None:
    """Find the record of the planned step; nothing where the unit is to be handed over."""
    step = scored["next"]
    if step is None:
        return None
    work: Work | None = knowledge.looks.get(step["inspection"] or "")
    if step["repair"]:
        work = knowledge.named_remedy(step["repair"])
    # the same few lines come with every ticket: one copy of each is kept
    return (work, step["says"], tuple(map(intern, step["cautions"]))) if work else None


def _find_repair(knowledge: Knowledge, scored: Mapping[str, Any]) -> Found | None:
    """Find the repair of the first cause, with the safety lines of the work and of the way to it."""
    if not scored["causes"]:
        return None
    remedy = knowledge.remedy(scored["causes"][0]["cause"])
    names = collect_cautions(knowledge, remedy, (knowledge.access.start, remedy.access))
    return remedy, remedy.says, tuple(knowledge.cautions.lines[name].says for name in names)
