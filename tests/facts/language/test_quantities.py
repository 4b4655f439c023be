"""Numbers get the class a technician would give them."""

import pytest

from diagnose.facts.language.quantities import NUMBER_CLASSES, find_number_places, find_quantities
from diagnose.facts.language.tokens import split_sentences


def classes(text):
    """Give the number classes of a one-sentence text."""
    (sentence,) = split_sentences(text)
    return {name.removeprefix("@") for name in find_number_places(sentence)}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("20 mA", "ma_full"),
        ("19.98mA", "ma_full"),
        ("4.0 mA", "ma_zero"),
        ("12 milliamps", "ma_half"),
        ("7,5 mA", "ma_part"),
        ("0.0 mA", "ma_dead"),
        ("-3 mA", "ma_negative"),
        ("21.5 mA", "ma_over"),
        ("74 degrees", "deg_part"),
        ("90 deg", "deg_full"),
        ("minus 0 deg", "deg_zero"),
        ("-8 deg", "deg_under"),
        ("97 deg", "deg_over"),
        ("50 %", "pct_half"),
        ("-25 %", "pct_under"),
        ("230 V", "volts_mains"),
        ("24 VDC", "volts_extra_low"),
        ("0 volts", "volts_none"),
        ("0.2 ohm", "ohm_low"),
        ("3 k", "ohm_high"),
        ("0.1 megohm", "megohm_low"),
        ("200 meg", "megohm_good"),
        ("stuck at 70", "num_part"),
    ],
)
def test_number_has_its_class(text, name):
    """The unit and the size give the class."""
    assert name in classes(text)


def test_end_values_are_not_part_travel():
    """A number at an end of its range is not between the ends."""
    assert set() == {"ma_part", "pct_part", "deg_part"} & classes("20 mA, 100 %, 90 deg, 4 mA, 0 %, 0 deg")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("draws 4.2 amps, plate says 1.4 amps", "more_a"),
        ("stroke 44 s instead of 22 s", "more_s"),
        ("12 s where it was 30 s", "less_s"),
        ("25 Nm should be 60 Nm", "less_nm"),
    ],
)
def test_two_numbers_are_compared(text, name):
    """Of two numbers in one unit the second is how it should be, where a word says so."""
    assert name in classes(text)


@pytest.mark.parametrize("text", ["22 s and 44 s", "30 s, normal is 31 s", "44 s instead of 2 V"])
def test_two_numbers_are_not_compared(text):
    """Without such a word, nearly equal, or in two units there is nothing to compare."""
    assert not any(name.startswith(("more_", "less_")) for name in classes(text))


def test_unit_belongs_to_the_span():
    """A quantity spans its unit, a bare number only itself."""
    (sentence,) = split_sentences("20 mA at 74")

    assert [(20.0, "ma", (0, 2)), (74.0, "bare", (3, 4))] == [
        (q.value, q.unit, q.span) for q in find_quantities(sentence)
    ]


def test_every_class_given_is_a_known_one():
    """No number gets a class that phrases may not name."""
    text = "0 1 3 50 70 99 and -30 deg, 0 %, 150 %, 2 V, 12 V, 40 V, 400 V, 5 ohm, 5 k, 2 a was 1 a, 1 mm, 3 bar, 9 c"

    assert classes(text) <= NUMBER_CLASSES
