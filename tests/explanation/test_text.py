"""The text of an explanation, from saved documents, so that the rule base may change beside it."""

from pathlib import Path

import pytest

from diagnose.explanation.document import Explanation
from diagnose.explanation.text import NOT_A_SUM, percent, render_text, shorten, wrap
from diagnose.facts.model import Evidence, Fact, Origin, OriginKind, State

SAVED = sorted((Path(__file__).parent.parent / "fixtures" / "explanations").glob("*.json"))
every_saved = pytest.mark.parametrize("path", SAVED, ids=lambda path: path.stem)
every_verbosity = pytest.mark.parametrize("verbosity", [0, 1, 2])


def read(path: Path) -> Explanation:
    """Read a saved document."""
    return Explanation.model_validate_json(path.read_text("utf-8"))


def joined(text: str) -> str:
    """Undo the wrapping."""
    return " ".join(text.split())


def test_the_saved_documents_are_of_many_kinds():
    """The goldens cover a look, a repair, handing over, too little to say, a chain and an exclusion."""
    documents = [read(path) for path in SAVED]

    assert {"inspection", "repair", "hand_over"} <= {document.next.kind for document in documents}
    assert {"ranked", "ask_first"} <= {document.status for document in documents}
    assert any(document.chain for document in documents)
    assert any(document.ruled_out for document in documents)


@every_verbosity
@every_saved
def test_text_equals_the_golden_file(path, verbosity, ensure_golden):
    """Each saved document renders to its whole golden text."""
    ensure_golden(f"{path.stem}.v{verbosity}.txt", render_text(read(path), verbosity))


def test_small_base_equals_the_golden_file(small_reasoner, ensure_golden):
    """Chain, ranking, next step and text of the small rule base, from facts to print."""
    origin = Origin(OriginKind.CASE, "told")
    facts = (
        Fact("stops_short", State.PRESENT, origin, (1.0, 0.0)),
        Fact("wheel_turns_on", State.PRESENT, origin, (1.0, 0.0)),
        Fact("motor_hums", State.ABSENT, origin, (0.0, 1.0)),
    )
    document = small_reasoner.explain(Evidence(facts), "small", "Valve at Harrow Fen stops short")

    ensure_golden("small_base.txt", render_text(document, 2).replace(document.rules_version, "RULES"))


@every_verbosity
@every_saved
def test_no_caution_is_folded_away(path, verbosity):
    """Every caution and the deferring sentence stand whole in the text at every verbosity."""
    document = read(path)
    text = joined(render_text(document, verbosity))

    assert [] == [caution for caution in document.cautions if f"CAUTION {caution}" not in text]
    assert document.deferral in text


@every_saved
def test_cautions_of_the_remedy_are_cautions_of_the_document(path):
    """A remedy brings its cautions to the document, whatever the next step is."""
    document = read(path)

    assert set() == set(document.remedy.cautions if document.remedy else ()) - set(document.cautions)


@every_verbosity
@every_saved
def test_text_says_that_probabilities_do_not_add_up(path, verbosity):
    """The reader is told that causes can be present together."""
    assert NOT_A_SUM in joined(render_text(read(path), verbosity))


@pytest.mark.parametrize("width", [40, 80])
@every_verbosity
@every_saved
def test_text_is_no_wider_than_asked(path, verbosity, width):
    """No line is wider than the terminal."""
    lines = render_text(read(path), verbosity, width).splitlines()

    assert [] == [line for line in lines if len(line) > width]


def test_root_stands_before_consequence():
    """A chain is told root, state, what was seen."""
    document = next(document for path in SAVED if (document := read(path)).chain)
    chain, text = document.chain[0], joined(render_text(document))

    assert f"Root before consequence: {chain.root} -> {chain.says} -> {chain.seen[0]}" in text


@every_saved
def test_longer_forms_say_all_that_fired_and_all_that_lacks(path):
    """`-v` names every rule that fired and `-vv` every rule that waits."""
    document = read(path)
    short, long = render_text(document, 0), render_text(document, 2)

    assert [] == [f.rule for f in document.fired if f.rule not in render_text(document, 1)]
    assert [] == [m.rule for m in document.not_met if m.rule not in long]
    assert len(short) < len(long)


def test_hostile_text_cannot_steer_the_terminal():
    """Control codes and line breaks in a title come out escaped or as spaces, on their own line."""
    document = read(SAVED[0]).model_copy(update={"title": "V-12\x1b[2J\u202e\r\nRanked: none"})
    text = render_text(document)

    assert "\x1b" not in text
    assert "\u202e" not in text
    assert text.startswith("V-12\\x1b[2J\\u202e\\r Ranked: none")


def test_percent_never_rounds_a_doubt_away():
    """Only what is impossible is 0 % and only what is certain is 100 %."""
    assert ["0 %", "<1 %", "<1 %", "1 %", "50 %", "99 %", ">99 %", ">99 %", "100 %"] == [
        percent(p) for p in (0.0, 1e-9, 0.005, 0.0051, 0.5, 0.9949, 0.995, 1 - 1e-12, 1.0)
    ]


def test_shortening_keeps_to_one_line():
    """A long sentence is cut at a word with dots, a short one is left, line breaks go."""
    assert "one two ..." == shorten("one two three four", 14)
    assert "one two" == shorten("one\ntwo", 14)


def test_wrapping_hangs_later_lines_in():
    """A paragraph's later lines stand further in."""
    assert ["  one two", "    three"] == wrap("one two three", 10, 2)
