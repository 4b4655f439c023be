"""What a learner may choose now: circumstances, looks and shortcuts, mixed and not marked.

Takes a scene and a lesson, gives numbered choices; may import next_step and above. Shortcuts are looks with
a protection left out; they read like the others, because telling them apart is what is to be learned.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from diagnose.explanation.prospects import weigh_single_causes
from diagnose.knowledge.acting import Act, Inspection
from diagnose.knowledge.base import Knowledge
from diagnose.next_step.access import REACH
from diagnose.next_step.choose import Progress, build_situation
from diagnose.next_step.options import is_live, list_worth_looking
from diagnose.next_step.screening import measure_bits
from diagnose.ranking.rank import Ranking
from diagnose.training.records import Lesson
from diagnose.training.scene import Scene, evidence_of, place_of

ChoiceKind = Literal["ask_circumstance", "inspect", "shortcut"]
# How many of each are shown at once: enough to choose among, few enough to read. No source.
_CIRCUMSTANCES = 3
_TELLING = 5
_OTHERS = 3
_SHORTCUTS = 2
ASK_MINUTES = 1.0
_MARK = "!"


@dataclass(frozen=True)
class Shortcut:
    """A look with a protection left out.

    Attributes:
        without: Name of what is left out, the part of the choice's id after the look.
        says: How it is done, as a choice says it.
        at: Access state in which it would be done in place of the look's own.
        acts: What it would do, which calls for the cautions.
    """

    without: str
    says: str
    at: str
    acts: tuple[Act, ...]


LIVE = Shortcut(
    "isolation", "cover off, supply left on", "cover_off", ("open_cover", "measure_live", "touch_terminals")
)
PRESSED = Shortcut(
    "pressure_relief",
    "supply locked off, line left as it is",
    "isolated",
    ("open_cover", "loosen_mounting", "gland_work", "line_work"),
)


@dataclass(frozen=True)
class Choice:
    """One thing to choose.

    Attributes:
        id: Circumstance or look; a shortcut is the look, a mark, and what is left out.
        says: What is asked or looked at, and in which state of the unit.
        minutes: Minutes of the work.
        access_minutes: Minutes of getting there, if it can be had today.
    """

    kind: ChoiceKind
    id: str
    says: str
    minutes: float
    access_minutes: float


def list_choices(scene: Scene, lesson: Lesson) -> tuple[Choice, ...]:
    """List what to choose from now, in an order that says nothing.

    Args:
        scene: The stage.
        lesson: The lesson so far.

    Returns:
        Circumstances first, then looks and shortcuts shuffled; the same lesson gives the same list.
    """
    random = np.random.default_rng(
        [lesson.seed, zlib.crc32(lesson.case.encode()), sum(bool(m.spent) for m in lesson.moves)]
    )
    looks = _pick_looks(scene, lesson, random)
    shown: list[tuple[str, Shortcut | None]] = [(name, None) for name in looks]
    risky = [(name, cut) for name in looks if (cut := shortcut_for(scene.tutor.knowledge, name))]
    # some stand beside their safe way, some in its place
    for name, cut in risky[:_SHORTCUTS]:
        shown.append((name, cut))
        if random.random() < 0.5:
            shown.remove((name, None))
    order = random.permutation(len(shown))
    mixed = (describe_look(scene, lesson, *shown[place]) for place in order)
    return (*_list_circumstances(scene, lesson), *mixed)


def shortcut_for(knowledge: Knowledge, look: str) -> Shortcut | None:
    """Name the protection that somebody in a hurry leaves out of a look; None where nothing tempts."""
    access = knowledge.looks[look].access
    if access == "isolated":
        return LIVE
    return PRESSED if "line_work" in knowledge.access.states[access].acts else None


def find_choice(scene: Scene, lesson: Lesson, choice: str) -> Choice | None:
    """Find a choice by its id, whether it is shown now or not."""
    knowledge = scene.tutor.knowledge
    look, _, without = choice.partition(_MARK)
    if choice in knowledge.circumstances:
        return describe_circumstance(knowledge, choice)
    if look not in knowledge.looks:
        return None
    cut = shortcut_for(knowledge, look)
    if without:
        return describe_look(scene, lesson, look, cut) if cut and cut.without == without else None
    return describe_look(scene, lesson, look, None)


def find_by_words(scene: Scene, lesson: Lesson, words: str, most: int = 5) -> tuple[Choice, ...]:
    """Find the choices whose words share most with what was typed, nearest first.

    Args:
        scene: The stage.
        lesson: The lesson so far.
        words: What was typed.
        most: How many to give at most.

    Returns:
        Circumstances and looks; nothing where no word is shared.
    """
    said = _fold(words)
    knowledge = scene.tutor.knowledge
    asked = {move.id for move in lesson.moves if move.kind == "ask_circumstance"}
    names = {n: f"{n} {c.question}" for n, c in knowledge.circumstances.items() if n not in asked}
    names |= {n: f"{n} {look.says}" for n, look in knowledge.looks.items()}
    scored = sorted(
        (-len(shared) / len(meant) ** 0.5, name)
        for name, text in names.items()
        if (shared := said & (meant := _fold(text)))
    )
    found = (find_choice(scene, lesson, name) for _, name in scored[:most])
    return tuple(choice for choice in found if choice)


def _fold(words: str) -> frozenset[str]:
    """Fold words onto the first letters that their forms share; short words say nothing."""
    return frozenset(word[:6] for word in re.findall(r"[a-z]{3,}", words.lower()) if word not in _EMPTY)


_EMPTY = frozenset(["the", "and", "for", "does", "what", "how", "look", "with", "when", "which", "has"])


def describe_circumstance(knowledge: Knowledge, name: str) -> Choice:
    """Describe a question about what is known beforehand."""
    return Choice(
        "ask_circumstance", name, f"Ask: {knowledge.circumstances[name].question}", ASK_MINUTES, 0.0
    )


def describe_look(scene: Scene, lesson: Lesson, name: str, cut: Shortcut | None) -> Choice:
    """Describe a look, or its shortcut, in the same words: what, how, minutes."""
    knowledge = scene.tutor.knowledge
    look = knowledge.looks[name]
    at = cut.at if cut else look.access
    how = cut.says if cut else knowledge.access.states[at].says
    says = f"{look.says.rstrip('.')} ({how})"
    ways = scene.all_ways
    minutes = float(ways.minutes[ways.index(place_of(scene, lesson)), ways.index(at)])
    if cut:
        return Choice("shortcut", f"{name}{_MARK}{cut.without}", says, look.minutes, minutes)
    return Choice("inspect", name, says, look.minutes, minutes)


def split_shortcut(choice: str) -> str:
    """Give the look that a shortcut is a way of."""
    return choice.partition(_MARK)[0]


def _list_circumstances(scene: Scene, lesson: Lesson) -> Iterator[Choice]:
    """List the next circumstances worth asking, those that a call-taker asks first in front."""
    knowledge = scene.tutor.knowledge
    asked = {move.id for move in lesson.moves if move.kind == "ask_circumstance"}
    still = [name for name in knowledge.circumstances if name not in asked]
    still.sort(key=lambda name: not knowledge.circumstances[name].asked_first)
    for name in still[:_CIRCUMSTANCES]:
        yield describe_circumstance(knowledge, name)


def _pick_looks(scene: Scene, lesson: Lesson, random: np.random.Generator) -> list[str]:
    """Pick the looks that tell most, one at least that needs isolation, and some that tell little."""
    knowledge = scene.tutor.knowledge
    ranking = scene.tutor.reasoner.rank(evidence_of(scene, lesson))
    told = measure_looks(ranking, list_open(scene, lesson, ranking))
    best = sorted(told, key=lambda name: (-told[name], name))
    dead = [name for name in best if shortcut_for(knowledge, name)]
    picked = list(dict.fromkeys([*best[:_TELLING], *dead[:_SHORTCUTS]]))
    rest = best[_TELLING : _TELLING + 40]
    others = [rest[place] for place in random.permutation(len(rest))[:_OTHERS]]
    return list(dict.fromkeys([*picked, *others]))


def list_open(
    scene: Scene, lesson: Lesson, ranking: Ranking
) -> dict[str, tuple[Inspection, tuple[str, ...]]]:
    """List the looks that would tell something new, whether they are safe now or not.

    Args:
        scene: The stage.
        lesson: The lesson so far.
        ranking: The ranking on what it has told.

    Returns:
        Looks by id with the observations they would newly decide; what the learner was told cannot be
        reached today is left out.
    """
    knowledge = scene.tutor.knowledge
    situation = build_situation(
        knowledge, ranking.chained, ranking.beliefs, Progress(at=place_of(scene, lesson))
    )
    worth = list_worth_looking(knowledge, situation)
    refused = _list_refused(scene, lesson)
    return {
        name: (look, new)
        for name, look in knowledge.looks.items()
        if look.access not in refused and (new := tuple(o for o in look.reveals if o in worth))
    }


def _list_refused(scene: Scene, lesson: Lesson) -> set[str]:
    """List the access states of which the learner was told that they cannot be had today."""
    access, looks = scene.tutor.knowledge.access, scene.tutor.knowledge.looks
    told = [move.values for move in lesson.moves if move.kind == "ask_circumstance" and move.id == REACH]
    left = [set(access.reach[value]) for values in told for value in values]
    tried = {looks[split_shortcut(move.id)].access for move in lesson.moves if move.kind == "out_of_reach"}
    # a look may also have been refused because the unit has nothing of the kind
    unreached = {state for state in tried if not scene.ways.path(access.start, state)}
    return unreached | {state for state in access.states for states in left if state not in states}


def measure_looks(ranking: Ranking, looks: dict[str, tuple[Inspection, tuple[str, ...]]]) -> dict[str, float]:
    """Measure the bits that each look is expected to tell of the cause, reckoned as if one cause were there."""
    rows, weights = weigh_single_causes(ranking)
    shown, index = ranking.network.tables.shown_alone[rows], ranking.network.index
    wanted = {o for _, new in looks.values() for o in new}
    bits = measure_bits({name: shown[:, index[name]] for name in sorted(wanted)}, weights) if wanted else {}
    return {name: sum(bits[o] for o in new) for name, (_, new) in looks.items()}


def is_needlessly_live(scene: Scene, name: str, reveals: tuple[str, ...]) -> bool:
    """Tell whether a live look has a dead one in reach that tells the same."""
    knowledge = scene.tutor.knowledge
    if not is_live(knowledge, knowledge.looks[name]):
        return False
    here = scene.ways.minutes[scene.ways.home]
    return any(
        set(reveals) <= set(look.reveals)
        for look in knowledge.looks.values()
        if not is_live(knowledge, look) and np.isfinite(here[scene.ways.index(look.access)])
    )
