"""Misspelt trade words are mended, English words and short ones are left alone."""

import pytest

from diagnose.facts.language.spelling import build_mend


@pytest.fixture(scope="module")
def mend(language):
    """Build the mending function of the shipped language."""
    return build_mend(language)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("actuatr", "actuator"),
        ("poistion", "position"),
        ("positon", "position"),
        ("handwheal", "handwheel"),
        ("capacitior", "capacitor"),
        ("termnials", "terminals"),
        ("mtoor", "motor"),
        ("gearbx", "gearbox"),
        ("Intermitent", "intermittent"),
        ("posn", "position"),
        ("vlv", "valve"),
    ],
)
def test_misspelt_words_are_mended(mend, typed, meant):
    """One change in a word, two in a long one, and abbreviations are put right."""
    assert meant == mend(typed)


@pytest.mark.parametrize(
    "word",
    [
        "consultant",
        "contractor",
        "electrician",
        "programmer",
        "buried",
        "house",
        "master",
        "contract",
        "program",
        "chance",
        "brace",
        "whose",
        "trade",
        "collector",
    ],
)
def test_english_words_are_left_alone(mend, word):
    """A word of English near a word of the trade is no misspelling of it."""
    assert word == mend(word)


@pytest.mark.parametrize("word", ["motr", "xqzv", "strangewordindeed"])
def test_short_and_strange_words_are_left_alone(mend, word):
    """Too short a word, or one near none, stays as typed."""
    assert word == mend(word)


def test_known_words_stay(mend, language):
    """No word of the classes is changed into another, abbreviations apart."""
    words = {word for phrases in language.classes.values() for phrase in phrases for word in phrase.split()}
    plain = {word for word in words if word.isalpha() and word.lower() not in language.abbreviations}

    assert {} == {word: mend(word) for word in plain if mend(word) != word.lower()}
