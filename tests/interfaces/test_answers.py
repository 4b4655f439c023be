"""What may be typed at a prompt."""

import pytest

from diagnose.interfaces.answers import Answer, find_choice, read_answer, read_choices


@pytest.mark.parametrize(
    "line, said",
    [
        ("yes", "yes"),
        (" Y ", "yes"),
        ("NO", "no"),
        ("n", "no"),
        ("?", "unknown"),
        ("don't know", "unknown"),
        ("", "skip"),
        ("why", "why"),
        ("rank", "rank"),
        ("back", "back"),
        ("save", "save"),
        ("quit", "quit"),
        ("help", "help"),
        ("20.1 mA", "text"),
        ("it hums", "text"),
    ],
)
def test_a_line_is_read_as_one_kind_of_answer(line, said):
    """Case and space around a word do not matter; anything else is text."""
    assert Answer(said, line.strip()) == read_answer(line)


@pytest.mark.parametrize(
    "text, numbers",
    [
        ("2", (1,)),
        ("1, 3", (0, 2)),
        ("1 3,2", (0, 2, 1)),
        ("0", None),
        ("4", None),
        ("-1", None),
        ("1.5", None),
        ("", None),
        ("two", None),
        ("1 and 2", None),
        ("9999999999", None),
    ],
)
def test_choices_are_numbers_in_range(text, numbers):
    """Of three choices, only numbers from 1 to 3 are choices."""
    assert numbers == read_choices(text, 3)


@pytest.mark.parametrize(
    "text, found",
    [
        ("no hazardous area", (1,)),
        ("No", (1,)),
        ("hazardous", (0,)),
        ("nobody", (2,)),
        ("n", None),
        ("", None),
        ("area", None),
    ],
)
def test_a_choice_is_found_by_its_beginning(text, found):
    """The first letters of one choice name it; what fits several or none does not."""
    assert found == find_choice(text, ("Hazardous area", "No hazardous area", "Nobody knows"))


def test_a_beginning_that_several_share_names_none():
    """Two choices that begin alike need a number."""
    assert find_choice("wet", ("Wet weather", "Wet pit")) is None
