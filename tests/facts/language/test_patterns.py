"""Patterns match rows of stems within their gaps, classes stand for their words, set phrases stay whole."""

import time

import pytest

from diagnose.facts.language.patterns import Lexicon, PatternBook, compile_pattern, joined_words
from diagnose.facts.language.tokens import split_sentences

CLASSES = {
    "stop": ["stops", "parks", "gives up"],
    "rocking": ["rocks"],
    "firm": ["rock solid"],
    "any": ["@stop", "dies"],
}


def find(pattern, text, set_phrases=()):
    """Give the words from the first to the last token of each match."""
    lexicon = Lexicon({**CLASSES, **joined_words([pattern])}, set_phrases)
    book = PatternBook([compile_pattern(pattern, "it")])
    found = []
    for sentence in split_sentences(text):
        for match in book.find_matches(lexicon.find_places(sentence)):
            first, last = match.span
            found.append(text[sentence[first].start : sentence[last - 1].end])
    return found


@pytest.mark.parametrize(
    ("pattern", "text", "found"),
    [
        ("motor hums", "The motors humming loudly", "motors humming"),
        ("motor hums", "motor only just hums", "motor only just hums"),
        ("motor .. hums", "motor with the new card on it hums", "motor with the new card on it hums"),
        ("hums & motor", "motor, it was, hums", "motor, it was, hums"),
        ("valve|disc @stop", "disc gives up at once", "disc gives up"),
        ("@any early", "parks early", "parks early"),
        ("@stop|sits early", "sits early", "sits early"),
        ("jam_nut|bolt loose", "jam nut is loose", "jam nut is loose"),
        ("<tag> @stop", "V-12 stops", "V-12 stops"),
    ],
)
def test_pattern_matches(pattern, text, found):
    """A pattern finds its words by stem, in order, within its gaps; & lifts the order."""
    assert [found] == find(pattern, text)


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        ("motor hums", "motor is still there and hums"),
        ("motor hums", "hums, the motor"),
        ("motor .. hums", "motor one two three four five six seven hums"),
        ("motor hums", "Motor. Hums"),
        ("motor hums !softly", "motor hums softly"),
        ("jam_nut loose", "jam is nut loose"),
    ],
)
def test_pattern_does_not_match(pattern, text):
    """Too wide a gap, the wrong order, another sentence or a forbidden word give no match."""
    assert [] == find(pattern, text)


@pytest.mark.parametrize(
    ("pattern", "text", "asked"),
    [
        ("no|without .. hum|sound .. motor", "no sound, no hum from motor", ["no", "hum"]),
        ("motor hums", "motor just hums", []),
        ("hums & motor", "motor, it motor was, hums", ["motor"]),
    ],
)
def test_what_a_pattern_asks_for_twice_is_listed(pattern, text, asked):
    """Words between those used that an item of the pattern would have taken too are listed apart from them."""
    (sentence,) = split_sentences(text)
    book = PatternBook([compile_pattern(pattern, "it")])
    (match,) = book.find_matches(Lexicon({}).find_places(sentence))

    assert asked == [text[sentence[n].start : sentence[n].end] for n in match.asked]


def test_set_phrase_means_nothing_by_its_parts():
    """Words of a set phrase are found as the phrase alone."""
    phrases = ["rock solid"]

    assert ["rock solid"] == find("@firm", "it is rock solid", phrases)
    assert [] == find("@rocking", "it is rock solid", phrases)
    assert [] == find("solid", "it is rock solid", phrases)
    assert ["rocks"] == find("@rocking", "it rocks", phrases)


@pytest.mark.parametrize("text", ["", "..", "motor ..", "!motor", "&"])
def test_what_is_no_pattern_is_refused(text):
    """A pattern needs words, and a word behind every gap."""
    with pytest.raises(ValueError, match="no pattern"):
        compile_pattern(text, "it")


def test_class_that_contains_itself_is_refused():
    """Classes may not go round in a circle."""
    with pytest.raises(ValueError, match="contains itself"):
        Lexicon({"one": ["@two"], "two": ["@one"]})


def test_time_does_not_run_away():
    """A pattern that fails at its last item tries no way to get there twice."""
    start = time.process_time()

    assert [] == find(" .. ".join(["hum"] * 10 + ["never"]), "never, " + "hum " * 4000)
    assert time.process_time() - start < 2
