"""Sentences are cut into clauses that together count once."""

from hypothesis import given
from hypothesis import strategies as st

from diagnose.facts.language.clauses import cut_clauses
from diagnose.facts.language.tokens import split_sentences


def cut(text: str) -> list[tuple[str, float]]:
    """Give the clauses of a text as typed, with their weights."""
    return [(text[c.start : c.end], c.weight) for c in cut_clauses(split_sentences(text))]


def test_a_sentence_of_one_clause_stays_whole() -> None:
    """A sentence with nothing to cut at counts whole."""
    assert cut("Motor hums and.") == [("Motor hums and", 1.0)]


def test_a_sentence_of_several_is_read_both_ways() -> None:
    """Whole and in pieces, each reading has half the word; what is too short is no piece."""
    assert cut("It hums loudly, but nothing turns, no.") == [
        ("It hums loudly, but nothing turns, no", 0.5),
        ("It hums loudly", 0.5),
        ("nothing turns", 0.5),
    ]


def test_a_dash_parts_only_where_it_stands_free() -> None:
    """The dash of a range or of a compound parts nothing."""
    assert cut("over-travel by 4-20 mA range") == [("over-travel by 4-20 mA range", 1.0)]


@given(st.text(max_size=200))
def test_every_clause_is_a_span_of_the_text(text: str) -> None:
    """Whatever was typed, a clause's places are inside the text and in order."""
    for clause in cut_clauses(split_sentences(text)):
        assert 0 <= clause.start < clause.end <= len(text)
