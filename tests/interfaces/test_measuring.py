"""Figures of confirmed tickets, held against scikit-learn on the same numbers."""

import numpy as np
import pytest
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, confusion_matrix, log_loss, top_k_accuracy_score

from diagnose.interfaces.measuring import measure, render_measures
from diagnose.interfaces.tickets.answer import Answer
from diagnose.interfaces.tickets.priority import Priority
from diagnose.interfaces.tickets.record import weigh_confirmed
from diagnose.interfaces.tickets.row import Row

CLASSES = [f"cause_{n}" for n in range(8)]


def draw(seed, count=400):
    """Draw shares and confirmed causes, the likelier ones more often."""
    rng = np.random.default_rng(seed)
    shares = rng.dirichlet(np.full(len(CLASSES), 0.3), count)
    shares = (shares + 1e-6) / (shares + 1e-6).sum(axis=1, keepdims=True)
    truth = np.array([rng.choice(len(CLASSES), p=row) for row in shares])
    return shares, truth


def scored(shares, truth, **more):
    """Make scored tickets as the journal holds them."""
    for row, cause in zip(shares, truth, strict=True):
        answer = Answer("", Priority(None, ""), "", "", dict(zip(CLASSES, row.tolist(), strict=True)))
        confirmed = weigh_confirmed(Row(1, {"confirmed_cause": CLASSES[cause]}), answer)
        yield {"confirmed": confirmed, "reason": None, "next": None, "given": {}, **more}


@pytest.mark.parametrize("seed", range(3))
def test_scores_agree_with_scikit_learn(seed):
    """Hits, Brier score and log score are those that scikit-learn computes."""
    shares, truth = draw(seed)
    found = measure(scored(shares, truth))
    labels = range(len(CLASSES))

    for place, hits in found.within.items():
        assert hits / found.count == top_k_accuracy_score(truth, shares, k=place, labels=labels)
    assert found.log_score == pytest.approx(log_loss(truth, shares, labels=labels), rel=1e-12)
    brier = brier_score_loss(truth, shares, labels=list(labels), scale_by_half=False)
    assert found.brier == pytest.approx(brier, rel=1e-12)


def test_reliability_and_confusion_agree_with_scikit_learn():
    """The reliability table and the confusions are those that scikit-learn computes."""
    shares, truth = draw(9)
    found = measure(scored(shares, truth))
    first = shares.argmax(axis=1)
    right, mean = calibration_curve(first == truth, shares.max(axis=1), n_bins=10, strategy="uniform")
    matrix = confusion_matrix(truth, first, labels=range(len(CLASSES)))

    assert pytest.approx(right.tolist()) == [b.right / b.count for b in found.bins if b.count]
    assert pytest.approx(mean.tolist()) == [b.shares / b.count for b in found.bins if b.count]
    expected = {
        (CLASSES[i], CLASSES[j]): matrix[i, j]
        for i in range(len(CLASSES))
        for j in range(len(CLASSES))
        if i != j and matrix[i, j]
    }
    assert expected == dict(found.confused)


def test_minutes_saved_count_tickets_with_both_numbers():
    """Minutes are compared on tickets that say what was spent and have a plan."""
    shares, truth = draw(1, count=1)
    one = {"next": {"plan_minutes": 40.0}}
    tickets = [
        *scored(shares, truth, **one, given={"minutes_spent": "100"}),
        *scored(shares, truth, **one, given={"minutes_spent": "all day"}),
        *scored(shares, truth, given={"minutes_spent": "70"}),
    ]
    found = measure(tickets)

    assert (1, 100.0, 40.0) == (found.timed, found.spent, found.planned)
    assert "60 saved, 60.0 a ticket" in render_measures(found)


def test_causes_outside_the_rules_and_tickets_turned_away_are_counted_apart():
    """What cannot be measured is counted, not hidden."""
    outside = {"cause": "gremlins", "place": None}
    tickets = [
        {"confirmed": outside, "reason": None},
        {"confirmed": outside, "reason": "other_equipment"},
        {"reason": None},
    ]
    found = measure(tickets)

    assert (0, 1, 1) == (found.count, found.unknown, found.not_ranked)
    assert "0 tickets with a confirmed cause; 1 more name" in render_measures(found)
