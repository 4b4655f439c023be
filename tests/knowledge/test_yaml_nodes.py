"""Reading hostile YAML: limits, tags, words that stay words, and the place of every node."""

import os
import threading

import pytest

from diagnose.errors import FaultsFound
from diagnose.knowledge.yaml_nodes import MAX_BYTES, MAX_DEPTH, parse_yaml, read_yaml


def refuse(text):
    """Parse what must be refused and give its faults."""
    with pytest.raises(FaultsFound) as caught:
        parse_yaml(text if isinstance(text, bytes) else text.encode(), "a.yaml")
    return [(fault.check, fault.line) for fault in caught.value.faults]


@pytest.mark.parametrize("word", ["yes", "no", "on", "off", "y", "n", "Yes", "NO", "On", "OFF"])
def test_yes_no_on_off_stay_words(word):
    """Words of the trade stay words, as values and as keys."""
    assert {"state": word, word: "state"} == parse_yaml(f"state: {word}\n{word}: state\n".encode(), "a").data


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("0", 0),
        ("-12", -12),
        ("0.98", 0.98),
        ("1.5e3", "1.5e3"),
        ("1.5e+3", 1500.0),
        ("'5'", "5"),
        ("010", "010"),
        ("0x1f", "0x1f"),
        ("1_000", "1_000"),
        ("1:30", "1:30"),
        ("2020-01-01", "2020-01-01"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("9" * 400, "9" * 400),
    ],
)
def test_only_plain_decimal_numbers_are_numbers(text, value):
    """Octal, sexagesimal and endless numbers, dates and infinities stay the text that was typed."""
    data = parse_yaml(f"a: {text}\n".encode(), "a").data

    assert {"a": value} == data
    assert type(value) is type(data["a"])


@pytest.mark.parametrize(
    "tagged",
    [
        "!!python/object/apply:os.system ['true']",
        "!!python/name:os.system x",
        "!!python/str x",
        "!!binary aGk=",
        "!!set {x, y}",
        "!!seq x",
        "!!str [x]",
        "!ours x",
        "!ours {x: y}",
        "{!ours key: 1}",
    ],
)
def test_typed_tags_are_refused(tagged):
    """Whatever asks for more than plain data is a fault, wherever it stands."""
    assert [("yaml", 2)] == refuse(f"a: 1\nb: {tagged}\n")


def test_tag_on_the_whole_file_runs_nothing(tmp_path):
    """A file that asks for a command to be run is refused and the command is not run."""
    made = tmp_path / "made"

    assert [("yaml", 1)] == refuse(f"!!python/object/apply:os.system ['touch {made}']\n")
    assert not made.exists()


def test_aliases_of_aliases_are_refused():
    """Nine levels of nine aliases would be 387 million nodes; the builder stops at its limit."""
    lines = ["a: &a [1, 1, 1, 1, 1, 1, 1, 1, 1]"]
    for before, name in zip("abcdefgh", "bcdefghi", strict=True):
        lines.append(f"{name}: &{name} [{', '.join(['*' + before] * 9)}]")

    assert ["too-deep"] == [check for check, _ in refuse("\n".join(lines))]


def test_alias_of_itself_is_refused():
    """A list that holds itself has no end."""
    assert [("too-deep", 1)] == refuse("a: &a [*a]\n")


def test_nesting_has_a_limit():
    """The deepest allowed level is read, one more is refused."""
    parse_yaml(f"a: {'[' * MAX_DEPTH}{']' * MAX_DEPTH}".encode(), "a")

    assert [("too-deep", 1)] == refuse(f"a: {'[' * (MAX_DEPTH + 1)}{']' * (MAX_DEPTH + 1)}")


def test_extreme_nesting_is_a_fault_not_a_crash():
    """A hundred thousand brackets end as a fault."""
    assert [("yaml", 1)] == refuse("a: " + "[" * 100_000)


@pytest.mark.parametrize("raw", [bytes(range(256)), "a: 80 °C".encode("latin-1"), "a: 1".encode("utf-16")])
def test_what_is_no_utf8_text_is_refused(raw):
    """A binary file or another encoding is told as such."""
    assert ["not-text"] == [check for check, _ in refuse(raw)]


def test_control_characters_are_refused():
    """A zero byte is valid UTF-8 and still no text."""
    assert [("yaml", 1)] == refuse(b"a: \x00b\n")


def test_doubled_keys_are_all_told():
    """Every doubled key is a fault, at the second one, in inner mappings too."""
    assert [("doubled-key", 3), ("doubled-key", 4)] == refuse("a: 1\nb: 2\na: 3\nc: {x: 1, x: 2}\n")


@pytest.mark.parametrize("text", ["? [a]\n: 1\n", "a: 1\n---\nb: 2\n", "a: *nowhere\n", "a: [1\n"])
def test_other_forms_are_syntax_faults(text):
    """Keys that are no words, several documents, unknown aliases and open brackets are refused."""
    assert ["yaml"] == [check for check, _ in refuse(text)]


def test_byte_order_mark_is_no_part_of_the_text():
    """A file saved with a byte order mark reads as without."""
    assert {"a": 1} == parse_yaml("\ufeffa: 1\n".encode(), "a").data


def test_empty_file_holds_nothing():
    """An empty file is no fault here; the reader of the file says what is missing."""
    document = parse_yaml(b"# nothing yet\n", "a")

    assert document.data is None
    assert (1, 1) == document.place(("a", 0))


def test_places_point_at_nodes():
    """Each node is found by its key; what is not there is placed at its nearest parent."""
    document = parse_yaml(b"a:\n  - {b: 1, c: 2}\n  - d: 3\n", "a")

    assert (2, 9) == document.place(("a", 0, "b"))
    assert (3, 8) == document.place(("a", 1, "d"))
    assert (2, 12) == document.key_place(("a", 0), "c")
    assert (3, 5) == document.place(("a", 1, "nowhere", 7))
    assert (2, 3) == document.place(("a", 5))


def test_file_over_the_limit_is_refused(tmp_path):
    """One byte over the limit is too much, the limit itself is not."""
    path = tmp_path / "a.yaml"
    path.write_text("a: " + "x" * 97, "utf-8")

    assert {"a": "x" * 97} == read_yaml(path, limit=100).data
    with pytest.raises(FaultsFound, match="too-large"):
        read_yaml(path, limit=99)


def test_endless_pipe_is_cut_at_the_limit(tmp_path):
    """A pipe tells no size; no more than the limit is taken from it."""
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    writer = threading.Thread(target=pour, args=(pipe,), daemon=True)
    writer.start()

    with pytest.raises(FaultsFound, match="too-large"):
        read_yaml(pipe, limit=1000)
    writer.join(timeout=5)
    assert not writer.is_alive()


def pour(pipe):
    """Write until the reader has had enough."""
    try:
        with pipe.open("wb") as end:
            for _ in range(100):
                end.write(b"x" * MAX_BYTES)
    except BrokenPipeError:
        pass


def test_missing_file_is_unreadable(tmp_path):
    """A path that leads nowhere is told by the name the user gave."""
    with pytest.raises(FaultsFound) as caught:
        read_yaml(tmp_path / "a.yaml", shown="mine.yaml")

    assert [("mine.yaml", "unreadable")] == [(f.path, f.check) for f in caught.value.faults]
