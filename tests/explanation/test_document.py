"""The document itself: read back without the rules, and true to what answering would do."""

import pytest

from diagnose.explanation.document import Explanation
from diagnose.explanation.prospects import answer_evidence
from diagnose.explanation.text import render_text
from diagnose.facts.case_file import evidence_of_case, load_case
from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State
from diagnose.knowledge.shipped import cases_directory

CASES = ("limits/open_cam_early-01", "drive/mounting_misaligned-02", "card/card_deadband_narrow-02")


@pytest.fixture(scope="module", params=CASES)
def told(request, knowledge) -> Evidence:
    """What one shipped case tells."""
    return evidence_of_case(load_case(cases_directory() / f"{request.param}.yaml", knowledge), knowledge)


@pytest.fixture(scope="module")
def document(told, reasoner) -> Explanation:
    """The explanation of one shipped case."""
    return reasoner.explain(told, "case", "A case")


def small_facts(**states: str) -> Evidence:
    """Tell observations of the small base."""
    pairs = {"present": (1.0, 0.0), "absent": (0.0, 1.0)}
    return Evidence(
        tuple(Fact(name, State(s), Origin(OriginKind.ANSWER), pairs[s]) for name, s in states.items())
    )


def test_json_reads_back_equal_and_renders_without_rules(document):
    """A saved document is equal to what was saved and gives the same text at every verbosity."""
    again = Explanation.model_validate_json(document.model_dump_json())

    assert document == again
    assert [render_text(document, v) for v in range(3)] == [render_text(again, v) for v in range(3)]


def ensure_outcomes_hold(reasoner, evidence: Evidence) -> int:
    """Answer each outcome, explain again, compare; give how many were compared."""
    view = reasoner.explain(evidence, "case", "A case").next
    step = reasoner.choose(evidence)
    outcomes = {o.evidence: o for o in step.outcomes}
    by_chance = sorted(outcomes.values(), key=lambda o: (-o.probability, o.evidence))
    for shown, outcome in zip(view.outcomes, by_chance, strict=False):
        after = reasoner.explain(
            answer_evidence(reasoner.knowledge, evidence, outcome.evidence), "case", "A case"
        )
        says = f"{after.next.says[0].lower()}{after.next.says[1:]}"
        expected = f"{after.next.kind}: {says}" if after.next.kind in {"inspection", "repair"} else says

        assert after.causes[0].cause == shown.first_cause
        assert after.causes[0].probability == pytest.approx(shown.first_probability, abs=1e-12)
        assert expected.startswith(shown.then)
        assert outcome.probability == shown.chance
    assert len(step.outcomes) == len(view.outcomes) + view.more_outcomes
    return len(view.outcomes)


def test_each_outcome_says_what_answering_it_gives(told, reasoner):
    """First cause, its probability and the next step of an outcome equal those after giving that answer."""
    ensure_outcomes_hold(reasoner, told)


def test_outcomes_hold_on_the_small_base(small_reasoner):
    """The same over the small base, where a look is surely proposed."""
    compared = [
        ensure_outcomes_hold(small_reasoner, evidence)
        for evidence in (Evidence(), small_facts(stops_short="present"), small_facts(current_high="present"))
    ]

    assert sum(compared) >= 4


def test_chances_of_the_outcomes_add_up(small_reasoner):
    """The outcomes of a look exclude each other and leave nothing out."""
    step = small_reasoner.choose(small_facts(stops_short="present"))

    assert "inspection" == step.kind.value
    assert 1 == pytest.approx(sum(outcome.probability for outcome in step.outcomes), abs=1e-9)


def test_causes_are_ranked_and_none_is_lost(document, knowledge):
    """Every cause stands once, among the ranked in falling order or among the ruled out."""
    ranked = [cause.cause for cause in document.causes]
    probabilities = [cause.probability for cause in document.causes]

    assert sorted(knowledge.causes) == sorted(ranked + [out.cause for out in document.ruled_out])
    assert sorted(probabilities, reverse=True) == probabilities


def test_weight_is_prior_to_posterior_with_one_fact(small_reasoner):
    """With one fact its leave-one-out weight is the whole way from prior to total."""
    document = small_reasoner.explain(small_facts(current_high="present"), "case", "A case")
    first = document.causes[0]

    assert ["current_high"] == [weight.observation for weight in first.weights]
    assert first.total_decibans - first.prior_decibans == pytest.approx(first.weights[0].decibans, abs=1e-9)


def test_a_cause_ruled_out_keeps_its_reason(small_reasoner):
    """What the unit cannot have is listed apart, with the sentence that says why."""
    from diagnose.facts.model import CircumstanceFact

    duty = CircumstanceFact("duty", "modulating", True, Origin(OriginKind.UNIT_RECORD))
    document = small_reasoner.explain(Evidence(circumstances=(duty,)), "case", "A case")

    assert [("stop_out", "A positioning unit here has a fixed stop")] == [
        (out.cause, out.reason) for out in document.ruled_out
    ]


def test_a_contradiction_is_told(small_reasoner):
    """An observation told both ways by two origins is named among the notes."""
    meter = Fact("current_high", State.ABSENT, Origin(OriginKind.METER), (0.0, 1.0))
    both = Evidence((*small_facts(current_high="present").facts, meter))

    notes = small_reasoner.explain(both, "case", "A case").notes

    assert any(note.startswith("Told both ways, ask again first") for note in notes)


def test_explaining_twice_gives_the_same(small_base):
    """Explaining changes nothing it is given."""
    from diagnose.explanation.reasoner import Reasoner

    evidence = small_facts(stops_short="present")

    assert Reasoner(small_base).explain(evidence, "c", "t") == Reasoner(small_base).explain(
        evidence, "c", "t"
    )
