"""The posterior against an exact-inference library (pyAgrum) over whole rule bases.

The library's network is built from the rule base's words, not from our arrays: a root with one
value for each mode of each cause of an exclusive set, noisy-OR nodes in the net form (Pearl 1988)
for states and observations, and the unlisted cause. What the library does not know, D, is taken
out by arithmetic: P(e, D) = P(e) - P(e, none). Evidence stays within the library's reach: tables
of more than nine parents, and networks with large cliques, are left to the integer reference (test_quickscore).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

import numpy as np
import pyagrum as gum
import pytest
from ranking_builder import make_small

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.reasons import Link
from diagnose.ranking.building import compile_network
from diagnose.ranking.counted import CountedObservation
from diagnose.ranking.posterior import compute_posterior

MOST_PARENTS = 9
LARGEST_CLIQUE = 1 << 16
Faces = dict[str, tuple[str, float, dict[str, float]]]  # label: cause, odds, links to both layers


@dataclass
class Words:
    """A rule base read afresh from its words."""

    roots: dict[str, Faces]
    pairs: list[tuple[tuple[str, str], dict[str, float]]]
    states: dict[str, tuple[float, dict[str, float]]]
    leaks: dict[str, float]


def read_words(knowledge: Knowledge) -> Words:
    """Read roots, pairs, states and leaks, without the program's own network."""
    settings = knowledge.settings
    total = sum(c.share for c in knowledge.causes.values()) + settings.unlisted.share

    def chances(*links: Link) -> dict[str, float]:
        return {x.to: settings.strengths[x.strength] for x in links}

    def faces(name: str) -> Faces:
        cause = knowledge.causes[name]
        p = settings.prior_scale * cause.share / total
        own = {**chances(*cause.links), **chances(*cause.brings_about)}
        if not cause.modes:
            return {name: (name, p / (1 - p), own)}
        return {
            f"{name}__{mode}": (
                name,
                record.portion * p / (1 - p),
                {**own, **chances(*record.links), **chances(*record.brings_about)},
            )
            for mode, record in cause.modes.items()
        }

    sets = {f"set_{name}": members for name, members in knowledge.exclusives.sets.items()}
    inside = {m for members in sets.values() for m in members}
    sets |= {f"root_{name}": (name,) for name in knowledge.causes if name not in inside}
    roots = {name: {k: v for m in members for k, v in faces(m).items()} for name, members in sets.items()}
    states = {
        name: (settings.backgrounds[c.background], chances(*c.links))
        for name, c in knowledge.consequences.items()
    }
    words = Words(
        roots,
        [(pair.causes, chances(*pair.links)) for t in knowledge.exclusives.together for pair in t.pairs],
        states,
        {o: settings.backgrounds[record.background] for o, record in knowledge.observations.items()},
    )
    p = settings.prior_scale * settings.unlisted.share / total
    words.roots["root_unlisted"] = {"unlisted": ("unlisted", p / (1 - p), average_links(knowledge, words))}
    return words


def average_links(knowledge: Knowledge, words: Words) -> dict[str, float]:
    """Give the unlisted cause the mean of what the listed ones show, states looked through."""
    listed = sum(c.share for c in knowledge.causes.values())
    average = dict.fromkeys(words.leaks, 0.0)
    for faces in words.roots.values():
        for cause, odds, links in faces.values():
            whole = sum(o for c, o, _ in faces.values() if c == cause)
            for o in average:
                dark = (1 - links.get(o, 0)) * prod(
                    1 - links.get(s, 0) * shows.get(o, 0) for s, (_, shows) in words.states.items()
                )
                average[o] += knowledge.causes[cause].share / listed * odds / whole * (1 - dark)
    return {o: q for o, q in average.items() if q > 0}


def parents_of(words: Words, target: str) -> int:
    """Count the boolean parents of an observation or state."""
    faces = sum(links.get(target, 0) > 0 for root in words.roots.values() for _, _, links in root.values())
    return faces + sum(shows.get(target, 0) > 0 for _, shows in words.states.values())


def build_library_network(words: Words, observations: list[str]) -> tuple[gum.BayesNet, list[str]]:
    """Build the library's network of everything that touches the observations."""
    states = [s for s, (_, shows) in words.states.items() if any(shows.get(o, 0) > 0 for o in observations)]
    targets = [*states, *observations]
    pairs = [(causes, links) for causes, links in words.pairs if any(links.get(t, 0) > 0 for t in targets)]
    paired = {cause for causes, _ in pairs for cause in causes}
    bn = gum.BayesNet()
    for state in states:
        bn.addNoisyORNet(gum.LabelizedVariable(state, state, 2), words.states[state][0])
    for o in observations:
        bn.addNoisyORNet(gum.LabelizedVariable(o, o, 2), words.leaks[o])
    for state in states:
        for o in observations:
            if words.states[state][1].get(o, 0) > 0:
                bn.addWeightedArc(state, o, words.states[state][1][o])
    used = []
    for root, faces in words.roots.items():
        touching = any(links.get(t, 0) > 0 for _, _, links in faces.values() for t in targets)
        if touching or any(cause in paired for cause, _, _ in faces.values()):
            add_root(bn, root, faces, targets)
            used.append(root)
    for causes, links in pairs:
        add_pair(bn, words, causes, {t: q for t, q in links.items() if t in targets and q > 0})
    return bn, used


def add_root(bn: gum.BayesNet, root: str, faces: Faces, targets: list[str]) -> None:
    """Add one multi-valued root and a yes/no child for each value that shows something."""
    bn.add(gum.LabelizedVariable(root, root, ["none", *faces]))
    weights = np.array([1.0, *(odds for _, odds, _ in faces.values())])
    bn.cpt(root).fillWith((weights / weights.sum()).tolist())
    for place, (face, (_, _, links)) in enumerate(faces.items(), start=1):
        shown = {t: links[t] for t in targets if links.get(t, 0) > 0}
        if shown:
            bn.add(gum.LabelizedVariable(face, face, 2))
            bn.addArc(root, face)
            for value in range(len(weights)):
                bn.cpt(face)[{root: value}] = [0, 1] if value == place else [1, 0]
            for target, chance in shown.items():
                bn.addWeightedArc(face, target, chance)


def add_pair(bn: gum.BayesNet, words: Words, causes: tuple[str, str], links: dict[str, float]) -> None:
    """Add the yes/no node "both are there" of two causes, and what only both show."""
    name = "__and__".join(causes)
    bn.add(gum.LabelizedVariable(name, name, 2))
    owners = [
        next(r for r, f in words.roots.items() if any(c == cause for c, _, _ in f.values()))
        for cause in causes
    ]
    for owner in owners:
        bn.addArc(owner, name)
    firsts, seconds = (
        [i for i, (c, _, _) in enumerate(words.roots[owner].values(), start=1) if c == cause]
        for owner, cause in zip(owners, causes, strict=True)
    )
    for a in range(len(words.roots[owners[0]]) + 1):
        for b in range(len(words.roots[owners[1]]) + 1):
            both = a in firsts and b in seconds
            bn.cpt(name)[{owners[0]: a, owners[1]: b}] = [0, 1] if both else [1, 0]
    for target, chance in links.items():
        bn.addWeightedArc(name, target, chance)


def is_within_reach(bn: gum.BayesNet) -> bool:
    """Tell whether the library can solve the network in a moment: by its largest clique."""
    tree = gum.JunctionTreeGenerator().junctionTree(bn)
    sizes = [prod(bn.variable(i).domainSize() for i in tree.clique(n)) for n in tree.nodes()]
    return max(sizes) <= LARGEST_CLIQUE


def solve(
    words: Words, bn: gum.BayesNet, used: list[str], told: dict[str, list[float]]
) -> tuple[float, dict[str, float]]:
    """Give P(e, D) and P(cause | e, D) of every cause, by the library and arithmetic for D."""
    engine = gum.LazyPropagation(bn)
    engine.setEvidence(told)
    engine.makeInference()
    evidence = engine.evidenceProbability()
    shut = gum.LazyPropagation(bn)
    shut.setEvidence({**told, **dict.fromkeys(used, 0)})
    others = [faces for root, faces in words.roots.items() if root not in used]
    none = shut.evidenceProbability() / prod(1 + sum(o for _, o, _ in f.values()) for f in others)
    found: dict[str, float] = {}
    for root, faces in words.roots.items():
        if root in used:
            chances = engine.posterior(root).tolist()[1:]
        else:
            chances = [odds / (1 + sum(o for _, o, _ in faces.values())) for _, odds, _ in faces.values()]
        for (cause, _, _), chance in zip(faces.values(), chances, strict=True):
            found[cause] = found.get(cause, 0.0) + chance
    return evidence - none, {cause: p * evidence / (evidence - none) for cause, p in found.items()}


def draw_told(knowledge: Knowledge, words: Words, seed: int) -> dict[str, tuple[float, float]]:
    """Draw up to eight observations, certain or not, at most one a group and that one seen."""
    rng = np.random.default_rng(seed)
    able = sorted(o for o in words.leaks if 1 <= parents_of(words, o) <= MOST_PARENTS)
    told: dict[str, tuple[float, float]] = {}
    for o in rng.permutation(able)[: int(rng.integers(1, 9))].tolist():
        group = knowledge.group_of(o)
        kinds = [(1.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.0, 1.0), (0.95, 0.05)]
        if group and not told.keys() & set(group) and set(group) <= set(able):
            told[o] = (1.0, 0.0)
        elif not group:
            told[o] = kinds[int(rng.integers(0, 5))]
    return told


def spell_out(knowledge: Knowledge, told: dict[str, tuple[float, float]]) -> dict[str, list[float]]:
    """Write evidence for the library: a group member seen makes the earlier members absent."""
    spelled = {}
    for o, (present, absent) in told.items():
        group = knowledge.group_of(o)
        spelled.update({earlier: [1.0, 0.0] for earlier in group[: group.index(o) if group else 0]})
        spelled[o] = [absent, present]
    return spelled


def check_sets(knowledge: Knowledge, number: int) -> None:
    """Compare a number of drawn evidence sets."""
    words, network = read_words(knowledge), compile_network(knowledge)
    compared = 0
    for seed in range(3 * number):
        told = draw_told(knowledge, words, seed)
        spelled = spell_out(knowledge, told)
        bn, used = build_library_network(words, list(spelled))
        if not told or compared == number or not is_within_reach(bn):
            continue
        posterior = compute_posterior(network, [CountedObservation(o, pair) for o, pair in told.items()])
        evidence, expected = solve(words, bn, used, spelled)
        assert evidence == pytest.approx(posterior.evidence, rel=1e-9), told
        assert expected == pytest.approx(posterior.all_causes, abs=1e-9), told
        assert expected == pytest.approx(posterior.all_causes, rel=1e-7), told
        compared += 1
    assert number == compared


def test_hand_made_base_equals_library() -> None:
    """Over the hand-made base 100 drawn sets of evidence give the library's posteriors."""
    check_sets(make_small(), 100)


def test_rule_base_equals_library(knowledge: Knowledge) -> None:
    """Over the shipped base 220 drawn sets of evidence give the library's posteriors."""
    check_sets(knowledge, 220)
