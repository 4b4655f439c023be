"""The second reader weighs the words of a clause by a linear model."""

import io
from pathlib import Path

import numpy as np
import pytest

from diagnose.errors import RulesFaulty
from diagnose.facts.language.clause_features import expand, list_keys
from diagnose.facts.language.clause_reader import ClauseReader, load_clause_model
from diagnose.facts.language.patterns import Lexicon
from diagnose.facts.language.tokens import split_sentences
from diagnose.facts.model import OriginKind, State

LEXICON = Lexicon({"motor": ("motor", "drive motor"), "full": ("#ma_full",)})
CLASSES = [f"o{number}={state}" for number in range(5) for state in ("present", "absent")]
FEATURES = {"w:hum": 0, "w:quiet": 1}


@pytest.fixture
def model_file(tmp_path: Path) -> Path:
    """Write a model in which "hums" says o0 present and "quiet" says it is absent."""
    weights = np.zeros((2, len(CLASSES) + 1), dtype=np.int8)
    weights[0, 0], weights[1, 1] = 100, 100
    path = tmp_path / "clauses.npz"
    with path.open("wb") as file:
        np.savez_compressed(
            file,
            features=np.frombuffer("\n".join(FEATURES).encode(), dtype=np.uint8),
            classes=np.frombuffer("\n".join(CLASSES).encode(), dtype=np.uint8),
            weights=weights,
            scales=np.full(2, 0.1, dtype=np.float32),
            squares=np.ones(2, dtype=np.float32),
            bias=np.append(np.zeros(len(CLASSES)), 3.0).astype(np.float32),
        )
    return path


def features(text: str) -> set[str]:
    """List what a clause brings, letters left out."""
    (sentence,) = split_sentences(text)
    found = {f for key in list_keys(sentence) for f in expand(key, LEXICON)}
    return {f for f in found if not f.startswith("g:")}


def test_words_pairs_classes_and_number_classes_are_features() -> None:
    """A clause brings its stems, pairs with the edges, classes of one and of two words, classes of numbers."""
    found = features("Drive motor at 20 mA")
    assert {"w:motor", "b:^_drive", "b:drive_motor", "c:@motor", "c:@ma_full", "c:@full"} <= found


def test_letters_make_a_mistyped_word_alike() -> None:
    """A misspelt word shares most of its letters in a row with the right one."""
    right, wrong = (set(expand((w, w), LEXICON)) for w in ("actuator", "actuatr"))
    assert len(right & wrong) > len(right) / 2


def test_a_clause_says_what_its_words_say(model_file: Path) -> None:
    """The likeliest class of each clause follows from its words, and the words are kept."""
    model = load_clause_model(model_file)
    assert model is not None
    text = "It hums. Quiet now."
    first, second = ClauseReader(model, LEXICON).read(text, split_sentences(text))
    assert (first.origin.kind, first.origin.words) == (OriginKind.READER, "It hums")
    assert max(first.chances, key=lambda c: c[2])[:2] == ("o0", State.PRESENT)
    assert max(second.chances, key=lambda c: c[2])[:2] == ("o0", State.ABSENT)


def test_unknown_words_say_nothing(model_file: Path) -> None:
    """A clause of words never met is left to the bias: it says nothing of the list."""
    model = load_clause_model(model_file)
    assert model is not None
    (mention,) = ClauseReader(model, LEXICON).read("Xyzzy", split_sentences("Xyzzy"))
    assert mention.nothing > 0.6


def test_what_is_remembered_changes_no_reading(model_file: Path) -> None:
    """Reading a text again after many others gives the same mentions."""
    model = load_clause_model(model_file)
    assert model is not None
    reader = ClauseReader(model, LEXICON)
    text = "Motor hums quiet, drive motor at 20 mA."
    before = reader.read(text, split_sentences(text))
    for number in range(700):
        reader.read(f"w{'x' * (number % 30)} hums", split_sentences(f"w{'x' * (number % 30)} hums"))
    assert before == reader.read(text, split_sentences(text))


def test_a_rule_base_may_lack_the_model(tmp_path: Path) -> None:
    """Without the file there is no second reader."""
    assert load_clause_model(tmp_path / "none.npz") is None


def test_the_file_holds_no_code(tmp_path: Path) -> None:
    """A file that holds objects is refused, for loading them would run code."""
    path = tmp_path / "clauses.npz"
    buffer = io.BytesIO()
    np.savez(buffer, features=np.array([{}], dtype=object))
    path.write_bytes(buffer.getvalue())
    with pytest.raises(RulesFaulty, match="no model of clauses"):
        load_clause_model(path)
