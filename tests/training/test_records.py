"""The records of a lesson: whole in JSON, frozen, and counted from the moves."""

import pytest
from pydantic import ValidationError

from diagnose.training.records import Lesson, Move, Shown

LESSON = Lesson(
    case="limits/open_cam_early-01",
    seed=7,
    rules_version="v",
    moves=(
        Move(kind="ask_circumstance", id="duty", minutes=1, values=("modulating",)),
        Move(
            kind="inspect",
            id="look",
            minutes=4,
            access_minutes=10,
            access=("as_found", "at_unit"),
            shown=(Shown(observation="torque_trip", state="absent", says="no trip", drawn=True),),
        ),
        Move(kind="unsafe", id="other", says=("caution",)),
        Move(kind="suspect", id="open_cam_early", confidence=0.6),
    ),
)


def test_a_lesson_reads_back_from_json_as_it_was():
    """A lesson written as JSON reads back equal."""
    assert LESSON == Lesson.model_validate_json(LESSON.model_dump_json())


def test_a_lesson_counts_its_moves():
    """Minutes, place and unsafe choices come from the moves."""
    assert (15.0, "at_unit", 1, None) == (LESSON.minutes, LESSON.at, LESSON.unsafe, LESSON.closing)


def test_a_confidence_is_a_probability():
    """A confidence above one is refused."""
    with pytest.raises(ValidationError):
        Move(kind="suspect", id="x", confidence=60)
