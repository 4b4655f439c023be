"""The lesson at a terminal: what may be typed, and a scripted learner on a pipe."""

import pytest
from training_scenes import CASE, make_shipped_scene

from diagnose.interfaces.lesson import LessonConsole
from diagnose.interfaces.lesson_words import read_typed
from diagnose.training.choices import list_choices
from diagnose.training.lesson import start_lesson
from diagnose.training.records import Lesson


@pytest.fixture(scope="module")
def scene(reasoner):
    """Set the stage of an early open cam."""
    return make_shipped_scene(reasoner, CASE)


class Script:
    """Types prepared lines, then the input ends."""

    def __init__(self, *lines: str) -> None:
        """Take the lines."""
        self.lines = list(lines)

    def __call__(self, hint: str) -> str:
        """Type the next line."""
        del hint
        if not self.lines:
            raise EOFError
        return self.lines.pop(0)


def play(scene, *lines: str, lesson: Lesson | None = None) -> tuple[Lesson, list[Lesson]]:
    """Play typed lines; give the lesson and what was kept after each move."""
    kept: list[Lesson] = []
    console = LessonConsole(scene, lesson or start_lesson(scene, 1), kept.append, Script(*lines))
    return console.run(), kept


def test_a_whole_lesson_by_numbers_words_and_commands(scene):
    """A learner asks by number, looks by words, suspects, takes a hint and closes."""
    lesson, kept = play(
        scene, "1", "limit or stop first at the open end", "1", "suspect open_cam_early 60", "hint 1",
        "close open_cam_early 90 open_cam_early",
    )  # fmt: skip

    assert ["ask_circumstance", "inspect", "suspect", "hint", "close", "repair", "leave"] == [
        move.kind for move in lesson.moves
    ]
    assert lesson == kept[-1]


def test_the_end_of_the_input_leaves_a_lesson_that_goes_on(scene):
    """Input that ends in the middle loses no move, and what was kept goes on to the same end."""
    half, kept = play(scene, "1", "2")
    again = Lesson.model_validate_json(kept[-1].model_dump_json())
    done, _ = play(scene, "close open_cam_early 80", lesson=again)
    whole, _ = play(scene, "1", "2", "close open_cam_early 80")

    assert half.closing is None
    assert whole == done


def test_words_that_match_nothing_give_the_nearest_choices(scene, capsys):
    """Text without a known word is answered with choices by number, and costs nothing."""
    lesson, _ = play(scene, "qqq zzz", "quit")
    said = capsys.readouterr().out

    assert "Nothing has words like 'qqq zzz'" in said
    assert () == lesson.moves


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("99", "There is no choice 99"),
        ("suspect opn_cam_early 60", "nearest: open_cam_early"),
        ("suspect open_cam_early", "type for example suspect open_cam_early 60"),
        ("suspect open_cam_early 160", "0 to 100 per cent"),
        ("hint", "which is why"),
        ("hint 7", "hint 1, 2 or 3"),
        ("close open_cam_early 80 nothing", "No remedy for 'nothing'"),
    ],
)
def test_what_is_wrong_is_said_and_costs_nothing(scene, capsys, line, message):
    """A wrong line is answered with what to type, and the lesson stays as it was."""
    lesson, _ = play(scene, line, "quit")
    said = " ".join(capsys.readouterr().out.split())

    assert ("Which hint? Type hint 1" if message == "which is why" else message) in said
    assert () == lesson.moves


def test_cautions_are_shown_whole(scene, capsys):
    """Every caution of a look inside is on the screen with the deferring sentence."""
    lesson, _ = play(scene, "limit_and_stop_at_open_end", "quit")
    said = " ".join(capsys.readouterr().out.split())

    assert all(" ".join(line.split()) in said for line in lesson.moves[-1].says)


def test_notes_show_what_was_told_without_the_safety_lines(scene, capsys):
    """Notes repeat answers and suspicions, not cautions."""
    play(scene, "limit_and_stop_at_open_end", "suspect open_cam_early 60", "notes", "quit")
    notes = capsys.readouterr().out.rpartition("Written down")[2]

    assert "suspected open_cam_early, 60 %" in notes
    assert "CAUTION" not in notes
    assert "at 65 degrees" in notes


def test_causes_are_found_by_words_and_by_part(scene, capsys):
    """A learner finds the id of a cause by its words, or lists a part."""
    play(scene, "causes cam loose", "causes limits", "quit")
    said = capsys.readouterr().out

    assert "cam_loose: " in said
    assert "limit_switch_failed: " in said


@pytest.mark.parametrize(
    ("line", "confidence", "remedies"),
    [
        ("close open_cam_early 80", 0.8, ()),
        ("close open_cam_early 80%", 0.8, ()),
        ("close open_cam_early 7,5 % a, b.c", 0.075, ("a", "b.c")),
        ("close open cam early 80 a", 0.8, ("a",)),
    ],
)
def test_a_closing_line_is_read_in_the_ways_people_type_it(line, confidence, remedies):
    """Per cent sign, decimal comma, commas between remedies and spaces in the cause are understood."""
    typed = read_typed(line)

    assert (confidence, remedies) == (pytest.approx(typed.confidence), typed.remedies)
    assert "open_cam_early" == typed.words.replace(" ", "_")


def test_after_a_stop_the_cautions_are_the_last_thing_said(scene, capsys):
    """An unsafe choice shows its cautions and no new list that would push them off the screen."""
    risky = next(
        n for n, c in enumerate(list_choices(scene, start_lesson(scene, 1)), 1) if c.kind == "shortcut"
    )
    lesson, _ = play(scene, str(risky))
    said = capsys.readouterr().out.split("STOPPED")[-1]

    assert "unsafe" == lesson.moves[-1].kind
    assert "type list for the choices" in said
    assert " 1  Ask:" not in said


def test_a_choice_that_is_a_question_ends_like_one(scene, capsys):
    """A question keeps its mark before the bracket and has no semicolon after it."""
    play(scene, "does the stroke stop before the open end")
    said = " ".join(capsys.readouterr().out.split())

    assert "Does an opening stroke stop before the open end? (" in said
    assert "Ask: Is the unit on/off or modulating? 1 min" in said
    assert "?;" not in said
