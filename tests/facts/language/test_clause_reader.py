"""The second reader weighs the words of a clause by a linear model."""

import io
import math
from pathlib import Path

import numpy as np
import pytest

from diagnose.errors import RulesFaulty
from diagnose.facts.language.clause_features import expand, list_keys
from diagnose.facts.language.clause_reader import (
    OTHER_DEVICE,
    TOO_LITTLE,
    ClauseReader,
    Heard,
    load_clause_model,
)
from diagnose.facts.language.patterns import Lexicon
from diagnose.facts.language.tokens import split_sentences
from diagnose.facts.model import OriginKind, State

LEXICON = Lexicon({"motor": ("motor", "drive motor"), "full": ("#ma_full",)})
CLASSES = [f"o{number}={state}" for number in range(5) for state in ("present", "absent")]
TICKETS = ["quiet_one", "humming_one", OTHER_DEVICE, TOO_LITTLE]
FEATURES = {"w:hum": 0, "w:quiet": 1}


@pytest.fixture
def model_file(tmp_path: Path) -> Path:
    """Write a model in which "hums" says o0 present and points to a cause, and "quiet" says o0 is absent."""
    weights = np.zeros((2, len(CLASSES) + 1 + len(TICKETS)), dtype=np.int8)
    weights[0, 0], weights[1, 1], weights[0, -3] = 100, 100, 100
    weights[1, -2] = 100
    path = tmp_path / "clauses.npz"
    with path.open("wb") as file:
        np.savez_compressed(
            file,
            features=np.frombuffer("\n".join(FEATURES).encode(), dtype=np.uint8),
            classes=np.frombuffer("\n".join(CLASSES).encode(), dtype=np.uint8),
            weights=weights,
            tickets=np.frombuffer("\n".join(TICKETS).encode(), dtype=np.uint8),
            scales=np.full((2, 2), 0.1, dtype=np.float32),
            squares=np.ones(2, dtype=np.float32),
            bias=np.array([0.0] * len(CLASSES) + [3.0, 0.0, 0.0, 0.0, -9.0], dtype=np.float32),
            shares=np.array([0.6, 0.2, 0.1, 0.1], dtype=np.float32),
        )
    return path


def hear(reader: ClauseReader, text: str) -> Heard:
    """Read one text."""
    return reader.read([(text, split_sentences(text))])


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
    first, second = hear(ClauseReader(model, LEXICON), text).mentions
    assert (first.origin.kind, first.origin.words) == (OriginKind.READER, "It hums")
    assert max(first.chances, key=lambda c: c[2])[:2] == ("o0", State.PRESENT)
    assert max(second.chances, key=lambda c: c[2])[:2] == ("o0", State.ABSENT)


def test_unknown_words_say_nothing(model_file: Path) -> None:
    """A clause of words never met is left to the bias: it says nothing of the list."""
    model = load_clause_model(model_file)
    assert model is not None
    (mention,) = hear(ClauseReader(model, LEXICON), "Xyzzy").mentions
    assert mention.nothing > 0.6


def test_a_ticket_reads_like_those_of_its_cause(model_file: Path) -> None:
    """Likeness compares with how often a cause's tickets come: none of its words leaves both shares as they are."""
    model = load_clause_model(model_file)
    assert model is not None
    reader = ClauseReader(model, LEXICON)
    of_hum, of_none = (dict(hear(reader, text).likeness) for text in ("It hums.", "Xyzzy"))
    assert of_hum["humming_one"] > 1.3
    assert of_hum["quiet_one"] < 0
    expected = {"quiet_one": math.log(0.5 / 0.75), "humming_one": math.log(0.5 / 0.25)}
    assert of_none == pytest.approx(expected, abs=1e-3)


def test_other_devices_and_too_little_are_kept_apart_from_causes(model_file: Path) -> None:
    """The class of other devices becomes decibans; neither class is a cause."""
    model = load_clause_model(model_file)
    assert model is not None
    unknown, quiet = (hear(ClauseReader(model, LEXICON), text) for text in ("Xyzzy", "Quiet"))
    assert {"quiet_one", "humming_one"} == set(dict(unknown.likeness))
    assert unknown.other_device == pytest.approx(10 * math.log10(1 / 2), abs=1e-2)
    assert quiet.other_device > 30


def test_no_text_is_nothing_heard(model_file: Path) -> None:
    """A ticket without words has no mentions and no likeness."""
    model = load_clause_model(model_file)
    assert model is not None
    assert Heard() == hear(ClauseReader(model, LEXICON), "")


def test_what_is_remembered_changes_no_reading(model_file: Path) -> None:
    """Reading a text again after many others gives the same mentions."""
    model = load_clause_model(model_file)
    assert model is not None
    reader = ClauseReader(model, LEXICON)
    text = "Motor hums quiet, drive motor at 20 mA."
    before = hear(reader, text)
    for number in range(700):
        hear(reader, f"w{'x' * (number % 30)} hums")
    assert before == hear(reader, text)


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
