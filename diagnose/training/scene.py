"""One lesson's stage: the case, the world that answers, and what the learner's moves have told so far.

Takes a reasoner, a case and a seed, gives a Scene; may import explanation and above.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, Confirmed
from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.model import CircumstanceFact, Evidence, Fact, Origin, OriginKind, State
from diagnose.facts.readings import trust_pair
from diagnose.next_step.access import AccessMap, add_unknowns, compile_access, list_available
from diagnose.next_step.choose import NextStep
from diagnose.training.answering import World, build_world
from diagnose.training.policy import choose_step
from diagnose.training.records import Lesson, Move

# A learner and the program, and the debrief of both, ask for the same steps.
_REMEMBERED = 512


class Tutor:
    """A rule base made ready to teach: it reasons, and reads calls as they came in."""

    def __init__(self, reasoner: Reasoner, reader: TicketReader) -> None:
        """Take a reasoner and a reader of the same rule base."""
        self.reasoner = reasoner
        self.knowledge = reasoner.knowledge
        self.reader = reader
        self.choose = lru_cache(maxsize=_REMEMBERED)(self._choose)

    def _choose(self, evidence: Evidence, at: str) -> NextStep:
        """Choose the next step of the program's own policy, with the unit in an access state."""
        return choose_step(self.reasoner, evidence, at)


@dataclass(frozen=True, eq=False)
class Scene:
    """The stage of one lesson.

    Attributes:
        call: What the words of the call tell, as hearsay until somebody looks.
        ways: The ways between the access states that can really be had today.
        all_ways: The ways between all access states, as somebody reckons who has not asked yet.
    """

    tutor: Tutor
    case: Case
    confirmed: Confirmed
    world: World
    call: Evidence
    ways: AccessMap
    all_ways: AccessMap


def build_scene(tutor: Tutor, case: Case, seed: int) -> Scene:
    """Set the stage of a lesson.

    Args:
        tutor: The rule base made ready.
        case: The case to play.
        seed: Draws what the case does not state.

    Returns:
        The scene; the same case and seed always give the same one.

    Raises:
        InputFaulty: Nobody confirmed a cause in this case, so nothing can be learned from it.
    """
    knowledge = tutor.knowledge
    if case.confirmed is None:
        wrong, cure = "the case has no confirmed cause to learn from", "add `confirmed`, or pick another case"
        raise InputFaulty([fault_in_file(case.case, "lesson", wrong, cure)])
    world = build_world(tutor.reasoner, case, case.confirmed, seed)
    told = {f"{fact.circumstance}={fact.value}" for fact in world.circumstances}
    available = list_available(knowledge, add_unknowns(knowledge, told))
    call = Evidence(tuple(_read_call(tutor, case)), (), _repaired(case))
    ways, all_ways = (compile_access(knowledge, states) for states in (available, knowledge.access.states))
    return Scene(tutor, case, case.confirmed, world, call, ways, all_ways)


def _read_call(tutor: Tutor, case: Case) -> Iterator[Fact]:
    """Read the words of the call; a story told on the telephone is hearsay until somebody looks."""
    found = tutor.reader.read({"text": f"{case.title}.\n{case.call}"})
    for fact in found.evidence.facts:
        origin = Origin(OriginKind.HEARSAY, fact.origin.words)
        yield Fact(fact.observation, fact.state, origin,
                   trust_pair(tutor.knowledge, OriginKind.HEARSAY, fact.state))  # fmt: skip


def _repaired(case: Case) -> tuple[str, ...]:
    return tuple(repair.cause for repair in case.repairs if repair.still_faulty)


def gather_evidence(scene: Scene, moves: tuple[Move, ...]) -> Evidence:
    """Gather what the call and some moves have told; a repair in vain makes stale what it says.

    Args:
        scene: The stage.
        moves: What was done so far, in order.

    Returns:
        The evidence on which the program would reason at this moment.
    """
    knowledge = scene.tutor.knowledge
    facts = {fact.observation: fact for fact in scene.call.facts}
    circumstances: list[CircumstanceFact] = []
    repaired = list(scene.call.repaired)
    for move in moves:
        for shown in move.shown:
            state = State(shown.state)
            pair = trust_pair(knowledge, OriginKind.ANSWER, state)
            origin = Origin(OriginKind.ANSWER, shown.says)
            facts[shown.observation] = Fact(shown.observation, state, origin, pair)
        if move.kind == "ask_circumstance":
            circumstances += [f for f in scene.world.circumstances if f.circumstance == move.id]
        elif move.kind == "repair" and not is_cured_by(scene, move.id):
            repaired.append(move.id)
            for stale in knowledge.observe_again(move.id):
                facts.pop(stale, None)
    kept = tuple(facts[name] for name in sorted(facts))
    return Evidence(kept, tuple(dict.fromkeys(circumstances)), tuple(repaired))


def evidence_of(scene: Scene, lesson: Lesson) -> Evidence:
    """Gather what a lesson has told so far."""
    return gather_evidence(scene, lesson.moves)


def place_of(scene: Scene, lesson: Lesson) -> str:
    """Name the access state the unit is in."""
    return lesson.at or scene.tutor.knowledge.access.start


def is_cured_by(scene: Scene, name: str) -> bool:
    """Tell whether the remedy of a cause, or of a cause.mode, puts the confirmed cause right."""
    cause, _, mode = name.partition(".")
    if cause != scene.confirmed.cause:
        return False
    modes = scene.tutor.knowledge.causes[cause].modes if cause in scene.tutor.knowledge.causes else {}
    has_own = bool(mode) and modes[mode].remedy is not None
    return not has_own or mode == scene.world.mode
