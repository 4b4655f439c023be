"""Denial, doubt and other times reach as far as the trade's words carry them, and no further."""

import pytest

from diagnose.facts.language.senses import read_sense
from diagnose.facts.language.tokens import split_sentences


@pytest.fixture
def sense(sense_words):
    """Give the sense of a term, marked by stars, in a sentence."""

    def read(marked):
        (sentence,) = split_sentences(marked.replace("*", " "))
        starred = {place for start, end in _stars(marked) for place in range(start, end)}
        used = [n for n, token in enumerate(sentence) if token.start in starred]
        return read_sense(sentence, used, sense_words)

    return read


def _stars(marked):
    places = [place for place, letter in enumerate(marked) if letter == "*"]
    return zip(places[::2], places[1::2], strict=True)


@pytest.mark.parametrize(
    "marked",
    [
        "no *water inside*",
        "has never *tripped* today",
        "without any *backlash*",
        "it doesnt *hum*",
        "neither *lamp* is lit",
        "*water in the gearbox* not found",
        "*motor* no sign of *burning*",
    ],
)
def test_denied(sense, marked):
    """A denial within five words before, right behind, or inside denies."""
    assert sense(marked).denied


def test_what_the_phrase_asks_for_denies_nothing(sense_words):
    """A denial inside a match that the phrase itself asks for is none; any other still is."""
    (sentence,) = split_sentences("no sound no movement")

    assert read_sense(sentence, [0, 3], sense_words).denied
    assert not read_sense(sentence, [0, 3], sense_words, asked=[2]).denied


@pytest.mark.parametrize(
    "marked",
    [
        "no fault at the panel, *motor hums*",
        "no heat but *motor hums*",
        "not the card and *motor hums*",
        "not that anyone has ever touched the *gland*",
        "*motor*, no heat and *hums*",
        "*motor* with no heat, *hums*",
        "No 3 *hums*",
        "no idea why it *hums*",
        "not only does it *hum*",
        "no doubt *flooded*",
    ],
)
def test_not_denied(sense, marked):
    """A comma, 'and' or 'but' ends a denial, before a match as inside it; so does distance; pseudo phrases deny nothing."""
    assert not sense(marked).denied


@pytest.mark.parametrize(
    "marked",
    [
        "operator says it *hums*",
        "the lad on nights said it *hums*",
        "says the fitter it *hums*",
        "Says it *hums*",
        "it might be *flooded*",
        "*flooded* he reckons",
    ],
)
def test_hearsay(sense, marked):
    """A guess, or what a person says, is hearsay."""
    assert sense(marked).doubted


@pytest.mark.parametrize(
    "marked", ["plate says *24 V*", "the panel says *open*", "screen said *open* all day", "it *hums*"]
)
def test_what_a_plate_says_is_no_hearsay(sense, marked):
    """A plate, a panel or a screen does not gossip."""
    assert not sense(marked).doubted


@pytest.mark.parametrize("marked", ["last year it *hummed*", "*flooded* years ago"])
def test_other_times(sense, marked):
    """What was so last year is not so today."""
    assert sense(marked).of_another_time
