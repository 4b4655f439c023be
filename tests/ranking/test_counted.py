"""What counts as evidence: no entered fact twice, groups as one variable, absence only if seen."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ranking_builder import make_rule, make_small, replace_settings
from ranking_networks import make_chained

from diagnose.facts.combine import combine_facts
from diagnose.facts.model import Belief, Fact, Origin, OriginKind, State
from diagnose.knowledge.base import Knowledge
from diagnose.ranking.building import compile_network
from diagnose.ranking.counted import Counted, NoCount, count_evidence

YES, NO, SAID, DENIED = (1.0, 0.0), (0.0, 1.0), (0.95, 0.05), (0.05, 0.95)
SMALL = make_small()
NETWORK = compile_network(SMALL)
TOLD = sorted(o for o, record in SMALL.observations.items() if not record.derived)


def make_beliefs(**pairs: tuple[float, float]) -> tuple[Belief, ...]:
    """Make one belief for each observation."""
    return combine_facts(
        Fact(o, State.PRESENT if p[0] > p[1] else State.ABSENT, Origin(OriginKind.ANSWER), p)
        for o, p in pairs.items()
    )


def count(beliefs: tuple[Belief, ...], knowledge: Knowledge = SMALL, **concluded) -> Counted:
    """Count evidence over the hand-made rule base."""
    atoms = {f"{b.observation}={b.state}" for b in beliefs}
    return count_evidence(knowledge, NETWORK, beliefs, make_chained(atoms=atoms, **concluded))


def pairs_of(counted: Counted) -> dict[str, tuple[float, float]]:
    """Give the likelihood of each counted observation."""
    return {item.observation: item.likelihood for item in counted.items}


def reasons_of(counted: Counted) -> dict[str, tuple[NoCount, str]]:
    """Give the reason of each observation that does not count."""
    return {note.observation: (note.reason, note.by) for note in counted.not_counted}


def test_pattern_replaces_what_it_rests_on() -> None:
    """A derived observation that fired counts in place of its support, with the least trust in it."""
    counted = count(
        make_beliefs(hum=YES, cutout_warm=SAID, smell=YES),
        derived={"jam_pattern": ("cutout_warm=present", "hum=present")},
    )

    assert {"jam_pattern": SAID, "smell": YES} == pairs_of(counted)
    assert {
        "hum": (NoCount.ABSORBED, "jam_pattern"),
        "cutout_warm": (NoCount.ABSORBED, "jam_pattern"),
    } == reasons_of(counted)


def test_pattern_that_did_not_fire_is_unknown() -> None:
    """A derived observation that did not fire counts neither way."""
    assert {"hum": YES} == pairs_of(count(make_beliefs(hum=YES)))


def test_trust_of_a_pattern_on_an_absence() -> None:
    """An absence in a support lends its trust, the right way round."""
    counted = count(
        make_beliefs(hum=YES, smell=DENIED), derived={"jam_pattern": ("hum=present", "smell=absent")}
    )

    assert {"jam_pattern": SAID} == pairs_of(counted)


def test_pattern_no_cause_shows_replaces_nothing() -> None:
    """A derived observation that nothing is linked to leaves its inputs counted."""
    counted = count(make_beliefs(hum=YES), derived={"wide_pattern": ("hum=present",)})

    assert {"hum": YES} == pairs_of(counted)


def test_pattern_on_circumstances_alone_does_not_count() -> None:
    """Circumstances move priors; they are no evidence."""
    counted = count(make_beliefs(smell=YES), derived={"jam_pattern": ("duty=modulating",)})

    assert {"smell": YES} == pairs_of(counted)


@pytest.fixture(scope="module")
def patterned() -> Knowledge:
    """Give the rule base with three linked patterns, one of them over another."""
    cause = SMALL.causes["line_stuck"]
    extra = SMALL.causes["supply_off"].links[:1]
    links = tuple(extra[0].model_copy(update={"to": o}) for o in ("wide_pattern", "other_pattern"))
    changed = cause.model_copy(update={"links": cause.links + links})
    rule = make_rule("other", {"hum": "present"}, over=["jam"], observation="other_pattern")
    return replace(
        SMALL, causes={**SMALL.causes, "line_stuck": changed}, rules={**SMALL.rules, "other": rule}
    )


def count_patterns(knowledge: Knowledge, beliefs: tuple[Belief, ...], **derived) -> Counted:
    """Count evidence over the rule base with three patterns."""
    atoms = {f"{b.observation}={b.state}" for b in beliefs}
    network = compile_network(knowledge)
    return count_evidence(knowledge, network, beliefs, make_chained(atoms=atoms, derived=derived))


def test_larger_of_nested_patterns_wins(patterned: Knowledge) -> None:
    """Of nested supports the larger one counts."""
    counted = count_patterns(
        patterned,
        make_beliefs(hum=YES, smell=YES, cutout_warm=YES),
        jam_pattern=("hum=present", "cutout_warm=present"),
        wide_pattern=("hum=present", "smell=present", "cutout_warm=present"),
    )

    assert {"wide_pattern": YES} == pairs_of(counted)


def test_rule_over_another_wins(patterned: Knowledge) -> None:
    """Of overlapping supports the one whose rule is `over` the other counts; what is left counts alone."""
    counted = count_patterns(
        patterned,
        make_beliefs(hum=YES, smell=YES, cutout_warm=YES),
        jam_pattern=("hum=present", "cutout_warm=present"),
        other_pattern=("hum=present", "smell=present"),
    )

    assert {"other_pattern": YES, "cutout_warm": YES} == pairs_of(counted)


@given(
    told=st.dictionaries(st.sampled_from(TOLD), st.sampled_from([YES, NO, SAID, DENIED, (1.0, 1.0)])),
    supports=st.dictionaries(
        st.sampled_from(["jam_pattern", "wide_pattern", "other_pattern"]),
        st.sets(st.sampled_from(TOLD), min_size=1),
    ),
)
def test_no_fact_counts_twice(patterned: Knowledge, told: dict, supports: dict) -> None:
    """No entered fact stands behind two counted observations, whatever was told and whatever fired."""
    beliefs = make_beliefs(**told)
    states = {b.observation: b.state for b in beliefs}
    derived = {
        name: tuple(f"{o}={states[o]}" for o in sorted(support))
        for name, support in supports.items()
        if all(states.get(o, State.UNKNOWN) is not State.UNKNOWN for o in support)
    }
    counted = count_patterns(patterned, beliefs, **derived)
    used = [fact for item in counted.items for fact in item.basis]

    assert len(set(used)) == len(used)
    assert set(told) == {f.observation for f in used} | (set(reasons_of(counted)) & set(told))


def test_certain_member_implies_the_rest_of_its_group() -> None:
    """A member beyond doubt settles its group; absent members are implied and do not count."""
    counted = count(make_beliefs(dead=NO, slow=YES, normal=NO))

    assert {"slow": YES} == pairs_of(counted)
    assert {"dead": (NoCount.IMPLIED, "slow"), "normal": (NoCount.IMPLIED, "slow")} == reasons_of(counted)


def test_most_trusted_member_of_a_group_wins() -> None:
    """Two members told present contradict each other; the more trusted one counts."""
    counted = count(make_beliefs(dead=SAID, slow=YES))

    assert {"slow": YES} == pairs_of(counted)
    assert {"dead": (NoCount.GROUP_CONFLICT, "slow")} == reasons_of(counted)


def test_more_drastic_member_wins_at_equal_trust() -> None:
    """At equal trust the more drastic member counts."""
    assert {"dead": SAID} == pairs_of(count(make_beliefs(dead=SAID, normal=SAID)))


def test_absence_counts_only_where_presence_could_be_seen() -> None:
    """A dead unit does not argue against hunting; a unit that moves does."""
    assert {"hunting": NO} == pairs_of(count(make_beliefs(hunting=NO)))
    assert {"dead": YES} == pairs_of(count(make_beliefs(hunting=NO, dead=YES)))
    assert {"hunting": (NoCount.UNSEEN, "moves")} == reasons_of(count(make_beliefs(hunting=NO, dead=YES)))


def test_contradiction_and_silence_do_not_count() -> None:
    """An equal yes and no counts as nothing said, and is reported as a contradiction."""
    facts = [
        Fact("hum", State.PRESENT, Origin(OriginKind.TICKET), SAID),
        Fact("hum", State.ABSENT, Origin(OriginKind.TICKET), DENIED),
        Fact("smell", State.UNKNOWN, Origin(OriginKind.ANSWER), (1.0, 1.0)),
    ]
    counted = count(combine_facts(facts))

    assert () == counted.items
    assert {"hum": (NoCount.CONTRADICTED, ""), "smell": (NoCount.SAYS_NOTHING, "")} == reasons_of(counted)


def test_weakest_are_set_aside_beyond_the_limit() -> None:
    """Beyond the bits allowed the least trusted go first, then the commonest by themselves, and are named."""
    beliefs = make_beliefs(lamp_dark=YES, comes_and_goes=YES, smell=SAID, winding_open=YES, light_early=NO)
    knowledge = replace_settings(SMALL, undecided_bits=2)

    counted = count(beliefs, knowledge)

    assert ("comes_and_goes", "smell") == counted.set_aside
    assert {"lamp_dark": YES, "winding_open": YES, "light_early": NO} == pairs_of(counted)
