"""The instructor's view of a class, and lessons as a table that a spreadsheet opens safely."""

import csv
import io

import pytest
from training_records import make_kept

from diagnose.training.class_summary import (
    LESSON_COLUMNS,
    render_class,
    sum_up_class,
    write_class_table,
    write_lessons_table,
)
from diagnose.training.tables import write_commas

CLASS = (
    make_kept(1, "a", "a", total=90, confidence=0.9, minutes=(60, 30)),
    make_kept(2, "a", "b", total=40, confidence=0.7, unsafe=2, days=1),
    make_kept(3, "b", None, days=2),
    make_kept(4, "a", "b", learner="ben", total=50, confidence=0.6),
    make_kept(5, "c", "c.worn", learner="ben", total=80, confidence=0.8, minutes=(45, 30)),
)


def test_each_learner_has_a_line_with_figures_that_can_be_worked_out_by_hand():
    """Lessons, stops, right causes, the ratio of minutes, Brier and overconfidence are those of the lessons."""
    ada, ben = sum_up_class(CLASS).learners

    assert ("ada", 2, 1, 1, 2, 1) == (
        ada.learner,
        ada.lessons,
        ada.open,
        ada.passed,
        ada.safety_stops,
        ada.right,
    )
    assert (65.0, 2.0) == (ada.mean_total, ada.minutes_ratio)
    assert pytest.approx((0.1**2 + 0.7**2) / 2) == ada.brier
    assert pytest.approx(((0.9 - 1) + 0.7) / 2) == ada.overconfidence
    assert ("ben", 1, 1.5) == (ben.learner, ben.right, ben.minutes_ratio)


def test_pairs_are_counted_over_the_class():
    """Two learners who named b where it was a make one pair of two."""
    (pair,) = sum_up_class(CLASS).confusions

    assert ("b", "a", 2) == (pair.named, pair.confirmed, pair.times)
    assert "2 times b named where it was a" in render_class(sum_up_class(CLASS))


def test_the_summary_fits_a_terminal():
    """The table and what its heads mean stay within 80 columns."""
    lines = render_class(sum_up_class(CLASS)).splitlines()

    assert any("stops: unsafe choices" in line for line in lines)
    assert [] == [line for line in lines if len(line) > 80]


def test_the_text_has_a_line_for_each_learner_within_80_columns_or_so():
    """Names and figures stand in columns; nothing closed is a dash."""
    text = render_class(sum_up_class((*CLASS, make_kept(6, "a", None, learner="cy"))))
    lines = text.splitlines()

    assert ["learner", "ada", "ben", "cy"] == [line.split()[0] for line in lines[:4]]
    assert "-" == lines[3].split()[-1]
    assert all(len(line) <= 100 for line in lines)


def test_a_class_without_lessons_says_so():
    """An empty class is one sentence."""
    assert "No lessons are kept yet.\n" == render_class(sum_up_class(()))


def test_the_tables_read_back():
    """Both tables have one row each under their heads; an open lesson has no grade."""
    lessons = list(csv.DictReader(io.StringIO(write_lessons_table(CLASS))))
    learners = list(csv.DictReader(io.StringIO(write_class_table(sum_up_class(CLASS)))))

    assert (5, LESSON_COLUMNS) == (len(lessons), tuple(lessons[0]))
    assert ("1", "90.0", "30.0") == (lessons[0]["right"], lessons[0]["total"], lessons[0]["program_minutes"])
    assert ("", "") == (lessons[2]["total"], lessons[2]["named"])
    assert ["ada", "ben"] == [row["learner"] for row in learners]


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", "＝1"])
def test_no_name_runs_as_a_formula(name):
    """A learner's name that a spreadsheet would run has an apostrophe in front, in both tables."""
    lessons = (make_kept(1, "a", "a", learner=name),)
    for text in (write_lessons_table(lessons), write_class_table(sum_up_class(lessons))):
        (row,) = csv.DictReader(io.StringIO(text))

        assert f"'{name}" == row["learner"]


def test_negative_numbers_stay_numbers():
    """A figure below zero is no text."""
    lessons = (make_kept(1, "a", "a", confidence=0.8),)
    (row,) = csv.DictReader(io.StringIO(write_class_table(sum_up_class(lessons))))

    assert -0.2 == pytest.approx(float(row["overconfidence"]))


@pytest.mark.parametrize("cell", ["\t=1", "\r=1", "\n=1", '"=1"', "a,b", "plain"])
def test_any_text_comes_back_in_one_cell(cell):
    """Separators, quotes and line breaks stay in their cell, and what would run is held back."""
    rows = list(csv.reader(io.StringIO(write_commas(("x", "y"), [(cell, 1)]), newline="")))
    held = f"'{cell}" if cell.lstrip().startswith("=") else cell

    assert [["x", "y"], [held, "1"]] == rows
