"""What to practise next: the published schedule, confusions, parts, and the order of the grounds."""

from datetime import timedelta

import pytest
from training_records import NOON, make_kept

from diagnose.training.practice import (
    Playable,
    list_confusions,
    rate_outcome,
    schedule_causes,
    suggest_practice,
)

CASES = tuple(Playable(f"part/{cause}-0{n}", cause, "part") for cause in "abcd" for n in (1, 2))


def test_intervals_grow_as_published():
    """Named perfectly whenever due: 1 day, 6 days, then times the easiness, which grows by 0.1 each time.

    Wozniak, Optimization of learning (1990), the algorithm known as SM-2: 6 x 2.7 = 16.2 and 17 x 2.8 = 47.6,
    each rounded up.
    """
    lessons, days, intervals = [], 0, []
    for number in range(4):
        lessons.append(make_kept(number, "a", "a", days=days, total=95))
        review = schedule_causes(lessons)["a"]
        intervals.append(review.days)
        days += review.days

    assert [1, 6, 17, 48] == intervals
    assert 2.9 == pytest.approx(review.easiness)


def test_a_failure_starts_the_cause_anew_and_keeps_its_easiness():
    """After a wrong cause the interval is one day again, and the easiness is left alone."""
    good = [make_kept(1, "a", "a", total=95), make_kept(2, "a", "a", days=1, total=75)]
    failed = [*good, make_kept(3, "a", "b", days=7)]
    before, after = schedule_causes(good)["a"], schedule_causes(failed)["a"]

    assert (6, 2) == (before.days, before.repetitions)
    assert (1, 0, before.easiness) == (after.days, after.repetitions, after.easiness)
    assert NOON + timedelta(days=8) == after.due


def test_easiness_has_a_floor():
    """Quality 3 again and again lowers the easiness to 1.3 and no further."""
    lessons, days = [], 0
    for number in range(12):
        lessons.append(make_kept(number, "a", "a", days=days, total=72))
        days += schedule_causes(lessons)["a"].days

    assert 1.3 == schedule_causes(lessons)["a"].easiness


def test_cramming_does_not_lengthen_the_interval():
    """The same cause named well three times in one hour is due tomorrow, as after the first time."""
    lessons = [make_kept(n, "a", "a", days=n / 100, total=95) for n in range(3)]

    assert schedule_causes(lessons[:1])["a"] == schedule_causes(lessons)["a"]


@pytest.mark.parametrize(
    ("named", "total", "unsafe", "quality"),
    [
        ("a", 95, 1, 0),
        ("b", 95, 0, 1),
        ("a", 60, 0, 2),
        ("a", 72, 0, 3),
        ("a", 85, 0, 4),
        ("a.worn", 95, 0, 5),
    ],
)
def test_a_lesson_is_rated_by_safety_then_cause_then_total(named, total, unsafe, quality):
    """An unsafe choice rates 0, a wrong cause 1, no pass 2, passes 3 to 5."""
    outcome = make_kept(1, "a", "a", total=total, unsafe=unsafe).outcome
    assert outcome is not None

    assert quality == rate_outcome(outcome.model_copy(update={"named": named}))


def test_a_confusion_offers_both_causes_until_each_was_named_rightly():
    """After b was named for a both come first; each leaves when it was named rightly since."""
    lessons = [make_kept(1, "a", "b"), make_kept(2, "c", "c", total=95)]
    now = NOON + timedelta(hours=1)
    first = [s.cause for s in suggest_practice(lessons, CASES, now) if s.ground == "confused"]
    lessons.append(make_kept(3, "a", "a", days=0.01))
    then = [s.cause for s in suggest_practice(lessons, CASES, now) if s.ground == "confused"]

    assert ["a", "a", "b", "b"] == first
    assert ["b", "b"] == then
    assert ("b", "a", 1, ("b",)) == tuple(list_confusions(lessons)[0].model_dump(exclude={"last"}).values())


def test_what_is_due_comes_before_what_is_new_and_that_before_what_is_not_due():
    """Of a cause due, causes never met and one not due, this is the order; the most overdue first."""
    lessons = [
        make_kept(1, "a", "a", total=95),
        make_kept(2, "b", "b", days=-3, total=95),
        make_kept(3, "c", "c", days=1.9, total=95),
    ]
    order = suggest_practice(lessons, CASES, NOON + timedelta(days=2))

    assert ["b", "b", "a", "a", "d", "d", "c", "c"] == [s.cause for s in order]
    assert ["due"] * 4 + ["new"] * 2 + ["later"] * 2 == [s.ground for s in order]


def test_the_case_played_least_comes_first():
    """Of the two cases of a due cause the one not played yet is offered."""
    lessons = [make_kept(1, "a", "a")]

    assert "part/a-02" == suggest_practice(lessons, CASES, NOON + timedelta(days=2))[0].case


def test_new_causes_come_from_the_weakest_part():
    """Where one part was graded low, its causes not met yet come before those of other parts."""
    cases = (*CASES, Playable("weak/w-01", "w", "weak"), Playable("weak/v-01", "v", "weak"))
    failed = make_kept(1, "w", "w", total=40)
    assert failed.outcome is not None
    lesson = failed.lesson.model_copy(update={"case": "weak/w-01"})
    outcome = failed.outcome.model_copy(update={"lesson": lesson})
    lessons = [failed.model_copy(update={"lesson": lesson, "outcome": outcome})]
    order = suggest_practice(lessons, cases, NOON)

    assert "weak/v-01" == next(s.case for s in order if s.ground == "new")


def test_a_new_learner_is_led_through_all_parts():
    """The first suggestions are one case of each part, not all cases of one."""
    cases = tuple(Playable(f"{part}/{part}_{c}-01", f"{part}_{c}", part) for part in "xyz" for c in "abc")
    order = suggest_practice([], cases, NOON)

    assert ["x", "y", "z"] * 3 == [s.case[0] for s in order]


def test_a_part_may_be_asked_for():
    """Only cases of the part named are suggested."""
    cases = (*CASES, Playable("other/x-01", "x", "other"))

    assert ("other/x-01",) == tuple(s.case for s in suggest_practice([], cases, NOON, part="other"))


def test_no_reason_gives_the_cause_away():
    """What a learner reads does not name the cause of the case."""
    cases = (Playable("limits/open_cam_early-01", "open_cam_early", "limits"),)
    for lessons in (
        [],
        [make_kept(1, "open_cam_early", "b")],
        [make_kept(1, "open_cam_early", "open_cam_early")],
    ):
        (said,) = suggest_practice(lessons, cases, NOON)

        assert "cam" not in said.reason
