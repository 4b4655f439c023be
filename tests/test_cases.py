"""What the shipped rules make of the shipped cases: where the confirmed cause stands.

The limits are requirements on the rule base; the figures of today stand in DEVELOPERS.md.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import pytest
from case_places import Placed, answer_wrongly, find_place, order_causes, place_shipped

from diagnose.explanation.reasoner import Reasoner


@pytest.fixture(scope="module")
def placed(reasoner: Reasoner) -> tuple[Placed, ...]:
    """Rank all shipped cases once."""
    return place_shipped(reasoner)


def share_within(cases: Sequence[Placed], places: int) -> float:
    """Give the part of the cases whose confirmed cause is among so many."""
    return sum(case.place <= places for case in cases) / len(cases)


def test_all_cases_find_their_cause(placed: tuple[Placed, ...]) -> None:
    """Over all cases the confirmed cause is first in 85 % and within three in 98 %."""
    assert share_within(placed, 1) >= 0.85
    assert share_within(placed, 3) >= 0.98


def test_misleading_cases_find_their_cause(placed: tuple[Placed, ...]) -> None:
    """On the misleading half alone it is first in 65 % and within three in 95 %."""
    misleading = [case for case in placed if not case.is_plain]

    assert share_within(misleading, 1) >= 0.65
    assert share_within(misleading, 3) >= 0.95


def test_every_cause_has_a_plain_and_a_misleading_case(
    reasoner: Reasoner, placed: tuple[Placed, ...]
) -> None:
    """Each cause is confirmed by at least one plain case, and by one that says what misleads."""
    plain = Counter(case.confirmed.cause for case in placed if case.is_plain)
    misleading = Counter(
        case.confirmed.cause for case in placed if not case.is_plain and case.confirmed.misleading
    )

    assert set(reasoner.knowledge.causes) == set(plain)
    assert set(reasoner.knowledge.causes) == set(misleading)


def test_case_that_is_not_first_says_why(placed: tuple[Placed, ...]) -> None:
    """Where another cause stands first, the case names that cause and says why it may."""
    silent = [
        (case.case.case, case.first)
        for case in placed
        if case.place > 1 and case.first not in (case.confirmed.misleading or "")
    ]

    assert [] == silent


@pytest.mark.parametrize("question", ["duty", "motor"])
def test_one_wrong_answer_leaves_the_cause_within_five(
    reasoner: Reasoner, placed: tuple[Placed, ...], question: str
) -> None:
    """Each other duty or motor, merely said, leaves the confirmed cause of every plain case within five."""
    lost = [
        (case.case.case, value)
        for case in placed
        if case.is_plain
        for value, evidence in answer_wrongly(case.case, reasoner.knowledge, question)
        if find_place(order_causes(reasoner, evidence), case.confirmed.cause) > 5
    ]

    assert [] == lost


def test_wrong_answers_are_given_and_felt(reasoner: Reasoner, placed: tuple[Placed, ...]) -> None:
    """A wrong duty moves the confirmed cause of some card case down, so the test above tests something."""
    moved = [
        value
        for case in placed
        if case.is_plain and case.part == "card"
        for value, evidence in answer_wrongly(case.case, reasoner.knowledge, "duty")
        if find_place(order_causes(reasoner, evidence), case.confirmed.cause) > case.place
    ]

    assert "on_off" in moved
