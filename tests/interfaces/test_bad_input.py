"""A backlog full of bad rows: each scored or rejected for one clear reason, none lost, never a traceback."""

import json
import subprocess
import sys
import zipfile
from collections import Counter

import openpyxl
import pytest

from diagnose.facts.language.tokens import MAX_CHARACTERS
from diagnose.interfaces.batch import Job, run_score
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets.sheet_rows import HARMLESS
from diagnose.knowledge.shipped import rules_directory

PLAN = Plan(rules_directory(), with_next=False)
LONG = "only the first 20000 characters of the text were read"
TWICE = "an earlier row has this id"
# Row by row: id and text as bytes, and what is to become of the row.
COMMAS = [
    (b'1,"motor hums, does not turn"', ""),
    (b"2,", ""),
    (b"3," + b"hum " * 262_144, LONG),
    (b"4,hums\0 and\0 stops", "NUL characters read as blanks"),
    (b'5,"never closed', "rejected: quotation"),
    (b'6,"closed" badly', "rejected: quotation"),
    (b"7,l\xe4uft nicht an", "not UTF-8, read as Windows-1252"),
    ("8,läuft nicht an".encode(), ""),
    (b"9,\x81\xff", "rejected: neither UTF-8 nor Windows-1252"),
    (b"1,valve stuck half way", TWICE),
    (b"=1+1,=cmd|' /C x'!A1", ""),
    (b"@x,+1 and -1", ""),
    (b",no id", "rejected: the row has no id"),
    (b"13,too,many", "rejected: 3 fields where the header has 2"),
]
OBJECTS = [
    ('{"id": 1, "text": "motor hums, does not turn"}', ""),
    ('{"id": 2, "text": null}', ""),
    ('{"id": 3, "text": "' + "hum " * 262_144 + '"}', LONG),
    (r'{"id": 4, "text": "hums\u0000 and \ud800 stops"}', "NUL characters read as blanks"),
    ('{"id": 5, "text": "never closed', "rejected: is not JSON"),
    ('{"id": 6}', "rejected: the row has no text column"),
    ('{"id": 1, "text": "stuck"}', TWICE),
    ('{"id": "-2+3", "text": "@sum"}', ""),
    ("[]", "rejected: holds no JSON object"),
    ("nothing", "rejected: is not JSON"),
]


def read_objects(path):
    """Read a file of one object a line."""
    return [json.loads(line) for line in path.read_text("utf-8").split("\n") if line]


def score(path):
    """Score a file; give the scored rows and the rejected ones by their numbers."""
    out = path.with_name("o.jsonl")
    counts = run_score(Job(str(path), str(out), PLAN, quiet=True))
    rejects = path.with_name("o.jsonl.rejects.jsonl")
    lines = read_objects(out)
    reasons = read_objects(rejects) if rejects.exists() else []
    return counts, {line["row"]: line for line in lines}, {line["row"]: line["reason"] for line in reasons}


@pytest.mark.parametrize(
    ("name", "head", "rows"),
    [("t.csv", [b"id,text"], COMMAS), ("t.jsonl", [], [(text.encode(), said) for text, said in OBJECTS])],
    ids=["commas", "objects"],
)
def test_every_bad_row_has_its_reason_and_none_is_lost(tmp_path, name, head, rows):
    """Rows come out scored, with what was made good, or rejected with the reason; the counts add up."""
    path = tmp_path / name
    path.write_bytes(b"\n".join([*head, *(line for line, _ in rows)]) + b"\n")
    counts, scored, rejected = score(path)

    assert (len(rows), len(scored), len(rejected)) == (counts.read, counts.scored, counts.rejected)
    assert set(range(1, len(rows) + 1)) == scored.keys() | rejected.keys()
    for number, (_, said) in enumerate(rows, start=1):
        if said.startswith("rejected: "):
            assert said.removeprefix("rejected: ") in rejected[number]
        else:
            notes = scored[number]["notes"]
            assert (not said and not notes) or any(said and said in note for note in notes), (number, notes)


def test_what_is_beyond_the_limit_of_a_text_changes_nothing(tmp_path):
    """Of a text of 1 MB the first part is read as if the rest were not there."""
    path = tmp_path / "t.jsonl"
    start = "motor hums and does not turn. " + "the site is far away. " * 1_000
    texts = [start[:MAX_CHARACTERS], start[:MAX_CHARACTERS] + "water inside. " * 80_000]
    path.write_text("".join(json.dumps({"id": str(n), "text": text}) + "\n" for n, text in enumerate(texts)))
    _, scored, _ = score(path)

    assert len(texts[1]) > 1_000_000
    assert 2 == len(scored)
    assert scored[1]["facts"]
    assert scored[1]["facts"] == scored[2]["facts"]
    assert scored[1]["causes"] == scored[2]["causes"]


def test_a_text_of_nothing_asks_first(tmp_path):
    """Rows with no text, with blanks or with marks alone are scored, and what to ask stands in them."""
    path = tmp_path / "t.jsonl"
    texts = ["", "   ", "\n\t", "...", "?!", "-", "\u200b"]
    path.write_text("".join(json.dumps({"id": str(n), "text": text}) + "\n" for n, text in enumerate(texts)))
    _, scored, rejected = score(path)

    assert {} == rejected
    assert Counter({"ask_first": len(texts)}) == Counter(line["status"] for line in scored.values())
    assert all(line["ask"] for line in scored.values())


def write_bomb(path):
    """Write a small workbook with a huge sheet in it."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * (HARMLESS + 1))


def write_sheet_without_text(path):
    """Write a workbook whose text column has another name."""
    book = openpyxl.Workbook()
    book.active.append(["id", "words"])
    book.active.append(["1", "hums"])
    book.save(path)


@pytest.mark.parametrize(
    ("name", "write", "reason"),
    [
        ("bomb.xlsx", write_bomb, "[too-large]"),
        ("t.xlsx", write_sheet_without_text, "there is no column text (columns: id, words)"),
        ("t.csv", lambda path: path.write_bytes(b"id,words\n1,hums\n"), "there is no column text"),
        ("t.csv", lambda path: path.write_bytes(b""), "[no-header]"),
        ("t.parquet", lambda path: path.write_bytes(b"id,text\n"), "[broken-file]"),
    ],
    ids=["bomb", "sheet without text", "commas without text", "nothing", "no such kind"],
)
def test_a_file_that_cannot_be_used_is_one_clear_error(tmp_path, name, write, reason):
    """The command says in one line what is wrong and ends as for faulty input, without a traceback or an output."""
    path = tmp_path / name
    write(path)
    command = [sys.executable, "-m", "diagnose", "score", str(path), "--out", str(tmp_path / "o.jsonl")]
    done = subprocess.run([*command, "--no-next"], capture_output=True, text=True, check=False)

    assert 4 == done.returncode
    assert reason in done.stderr
    assert "Traceback" not in done.stderr
    assert 1 == len(done.stderr.strip().splitlines())
    assert not (tmp_path / "o.jsonl").exists()
