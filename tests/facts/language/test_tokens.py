"""Text becomes tokens that know their place; tags, numbers and sentence ends are told apart."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.facts.language.tokens import MAX_CHARACTERS, fold_word, split_sentences


def pieces(text):
    """Give (kind, typed) of every token."""
    return [(token.kind, token.text) for sentence in split_sentences(text) for token in sentence]


def stems(text, **how):
    """Give the stems by sentence."""
    return [[token.stem for token in sentence] for sentence in split_sentences(text, **how)]


@pytest.mark.parametrize("tag", ["V-12", "FCV-3", "MOV36", "v-29", "V 7", "No 3", "No. 12", "no.4", "NO 1"])
def test_tags_are_one_token(tag):
    """A unit's name, or its number behind "No", is one token of kind tag."""
    assert [("tag", tag), ("word", "sticks")] == pieces(f"{tag} sticks")


@pytest.mark.parametrize(
    "said", ["no 5 V", "no 4-20", "no 3-phase", "no 12 V", "no 9 volts", "no 2.5 mA", "no 230"]
)
def test_no_before_a_quantity_is_a_word(said):
    """A quantity behind "no" leaves it the denial it is."""
    assert ("word", "no") == pieces(said)[0]


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("4-20 mA", ["4", "20"]),
        ("4 -20 mA", ["4", "20"]),
        ("4–20 mA", ["4", "20"]),
        ("-3.2 mA", ["-3.2"]),
        ("reads -25 %", ["-25"]),
        ("+0,4 V", ["+0,4"]),
        ("20mA", ["20"]),
        ("12.5.", ["12.5"]),
    ],
)
def test_dash_in_a_range_is_no_sign(text, numbers):
    """A dash behind a number makes a range; before a number alone it is a sign."""
    assert numbers == [typed for kind, typed in pieces(text) if kind == "number"]


def test_full_stop_in_a_number_ends_no_sentence():
    """A full stop ends a sentence, inside a number it does not."""
    assert 2 == len(split_sentences("Draws 2.5 amps. Then trips"))


def test_line_end_ends_a_sentence():
    """A line is a sentence even without a full stop."""
    assert [["motor", "hum"], ["no", "water"]] == stems("motor hums\nno water")


def test_two_words_of_an_abbreviation_keep_its_place():
    """An abbreviation spelled out as two words gives two tokens at the place of the one typed."""
    (sentence,) = split_sentences("bad ls", {"bad": "bad", "ls": "limit switch"}.__getitem__)

    assert [("bad", 0, 3), ("limit", 4, 6), ("switch", 4, 6)] == [(t.stem, t.start, t.end) for t in sentence]


def test_apostrophes_do_not_part_words():
    """Won't, won’t and wont are one word."""
    assert 1 == len({fold_word(word) for word in ("won't", "won’t", "wont", "WONT")})


def test_only_the_first_part_of_a_huge_text_is_read():
    """Nothing behind the limit is read."""
    assert [] == pieces(" " * MAX_CHARACTERS + "stuck")


@given(st.text(max_size=400))
def test_every_token_stands_where_it_says(text):
    """Any text is split without error, tokens in order, each the very characters at its place."""
    tokens = [token for sentence in split_sentences(text) for token in sentence]

    assert all(text[token.start : token.end] == token.text for token in tokens)
    assert sorted(token.start for token in tokens) == [token.start for token in tokens]
