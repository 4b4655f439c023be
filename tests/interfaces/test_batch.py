"""Scoring a backlog: the same answers as one by one, no row lost or doubled, files whole or not there."""

import csv
import io
import json
import os
import shlex
import signal
import subprocess
import sys
import time

import openpyxl
import pexpect
import polars as pl
import pytest

from diagnose.errors import InputFaulty
from diagnose.explanation.prospects import list_open_observations, list_questions
from diagnose.facts.model import Evidence
from diagnose.interfaces import batch
from diagnose.interfaces.batch import Job, ensure_complete, journal_path, run_score
from diagnose.interfaces.scoring import Plan, Scorer, strip_words
from diagnose.interfaces.tickets.answer import keep_askable
from diagnose.interfaces.tickets.flatten import disarm
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.unit import UnitRecord

TEXTS = [
    "motor hums but does not turn",
    "torque switch trips half way, stops at 50 percent",
    "hunts around mid travel on a steady signal",
    "no power at the terminals, everything dead",
    "runs past open and hits the stop",
    "position reads 4 mA all the time",
    "water in the cover, heater dead",
    "nothing moves. Swapped the card, same",
    "",
    "centrifugal pump seal leaking, impeller worn, pump bearing noisy",
]
RULES = rules_directory()
FAST = Plan(RULES, with_next=False)


@pytest.fixture(scope="module")
def scorer():
    """Make one scorer with next steps ready."""
    return Scorer(Plan(RULES))


def write_tickets(path, count, texts=TEXTS):
    """Write tickets, every seventh without an id."""
    with path.open("w", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["id", "text", "duty", "site"])
        for n in range(count):
            name = "" if n % 7 == 6 else f"T-{n}"
            writer.writerow([name, texts[n % len(texts)], ["on_off", "modulating", ""][n % 3], "Harrow Fen"])


def read_lines(path):
    """Read a file of JSON Lines."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def run(*arguments, **options):
    """Run the command as people do."""
    command = [sys.executable, "-m", "diagnose", "score", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)


@pytest.mark.parametrize("number", range(len(TEXTS) - 1))
def test_a_row_says_what_the_reasoner_says(scorer, reasoner, number):
    """Status, causes, next step and questions of a row are those of the same evidence by itself."""
    row = Row(1, {"id": "1", "text": TEXTS[number], "duty": "modulating"})
    line = json.loads(scorer.score([row])[0][1:])
    evidence = scorer.read(row)[1].evidence
    ranking, step = reasoner.rank(evidence), reasoner.choose(evidence)
    still_open = list_open_observations(reasoner.knowledge, ranking)
    if ranking.status.value == "ask_first":
        still_open = keep_askable(reasoner.knowledge, still_open)
    questions = list_questions(reasoner.knowledge, ranking, still_open)

    assert (ranking.status.value, ranking.reason or None) == (line["status"], line["reason"])
    chances = {ranked.cause: ranked.probability for ranked in ranking.causes}
    assert pytest.approx([r.probability for r in ranking.causes[:10]], abs=1e-6) == [
        c["probability"] for c in line["causes"]
    ]
    assert all(chances[c["cause"]] == pytest.approx(c["probability"], abs=1e-6) for c in line["causes"])
    assert (step.kind.value, step.minutes, step.says) == tuple(
        line["next"][k] for k in ("kind", "minutes", "says")
    )
    assert list(reasoner.say_cautions(step.cautions)) == line["next"]["cautions"]
    assert [q.observation for q in questions[:2]] == [q["observation"] for q in line["ask"]]
    for fact in line["facts"]:
        assert fact["from"] == row.values["text"][fact["start"] : fact["end"]]


def test_a_caller_is_asked_what_can_be_said_from_beside_the_unit(scorer, knowledge):
    """A ticket that tells too little is asked back; nothing need be opened to answer."""
    line = json.loads(scorer.score([Row(1, {"id": "1", "text": "actuator fault, please attend"})])[0][1:])

    assert "ask_first" == line["status"]
    assert 2 == len(line["ask"])
    assert {"as_found", "at_unit"} >= {knowledge.observations[q["observation"]].access for q in line["ask"]}


def test_words_change_no_answer(reasoner):
    """Evidence without its words ranks to the very same numbers."""
    said = Scorer(FAST).read(Row(1, {"id": "1", "text": ". ".join(TEXTS[:4])}))[1].evidence

    assert said.facts
    assert reasoner.rank(said).causes == reasoner.rank(strip_words(said)).causes


def test_an_empty_complaint_asks_and_another_device_is_turned_away(scorer):
    """Nothing told gives questions; another device gives its reason and no causes."""
    empty, other = (
        json.loads(line[1:])
        for line in scorer.score([Row(1, {"id": "1", "text": ""}), Row(2, {"id": "2", "text": TEXTS[-1]})])
    )

    assert ("ask_first", 2) == (empty["status"], len(empty["ask"]))
    assert ("not_covered", "other_equipment", []) == (other["status"], other["reason"], other["causes"])


def test_the_unit_record_joins_by_asset():
    """A nameplate counts as certain and takes the place of what the ticket says."""
    unit = UnitRecord(asset="V-12", duty="on_off")
    scorer = Scorer(Plan(RULES, with_next=False, units={"V-12": unit}))
    row = Row(1, {"id": "1", "text": "hums", "asset": "V-12", "duty": "modulating"})
    evidence: Evidence = scorer.read(row)[1].evidence

    assert [("on_off", True)] == [
        (c.value, c.certain) for c in evidence.circumstances if c.circumstance == "duty"
    ]
    assert ("no unit record for V-9",) == scorer.read(Row(1, {"id": "1", "text": "", "asset": "V-9"}))[
        0
    ].notes


def test_rows_are_scored_or_rejected_and_counts_add_up(tmp_path):
    """Every row is in one file, in order; the exit code says that some were rejected."""
    write_tickets(tmp_path / "t.csv", 40)
    done = run(tmp_path / "t.csv", "--out", tmp_path / "o.jsonl", "--no-next", "--json")
    counts = json.loads(done.stdout)
    rows = [line["row"] for line in read_lines(tmp_path / "o.jsonl")]
    rejected = read_lines(tmp_path / "o.jsonl.rejects.jsonl")

    assert (5, 40, 35, 5) == (done.returncode, counts["read"], counts["scored"], counts["rejected"])
    assert list(range(1, 41)) == sorted(rows + [line["row"] for line in rejected])
    assert sorted(rows) == rows
    assert {"the row has no id"} == {line["reason"] for line in rejected}
    assert ["o.jsonl", "o.jsonl.rejects.jsonl", "t.csv"] == sorted(p.name for p in tmp_path.iterdir())


def test_workers_give_the_same_file_as_one_process(tmp_path, monkeypatch):
    """Two processes write byte for byte what one writes."""
    monkeypatch.setattr(batch, "CHUNK", 7)
    write_tickets(tmp_path / "t.csv", 60)
    for processes in (1, 2):
        job = Job(str(tmp_path / "t.csv"), str(tmp_path / f"{processes}.jsonl"), FAST, processes=processes)
        run_score(job)

    assert (tmp_path / "1.jsonl").read_bytes() == (tmp_path / "2.jsonl").read_bytes()


def test_killed_runs_go_on_without_losing_or_doubling_a_row(tmp_path):
    """After kill -9, as often as it takes, the output is that of a run left alone."""
    write_tickets(tmp_path / "t.csv", 1_600, [f"{a}. {b}" for a in TEXTS[:8] for b in TEXTS[:8]])
    command = [sys.executable, "-m", "diagnose", "score", tmp_path / "t.csv", "--no-next", "--processes", "1"]
    out, part = tmp_path / "o.jsonl", tmp_path / "o.jsonl.part"
    seen = []
    for _ in range(2):
        begun = part.stat().st_size if part.exists() else 0
        worker = subprocess.Popen([*command, "--out", out, "--resume"], stderr=subprocess.DEVNULL)
        while worker.poll() is None and (not part.exists() or part.stat().st_size <= max(begun, 400)):
            time.sleep(0.01)
        os.kill(worker.pid, signal.SIGKILL)
        worker.wait()
        assert not out.exists()
        seen.append(part.stat().st_size)
    with part.open("ab") as stream:
        stream.write(b'+{"row":')  # a torn line, as a kill in the middle of a write leaves it
    last = subprocess.run([*command, "--out", out, "--resume"], capture_output=True, text=True, check=False)
    subprocess.run([*command, "--out", tmp_path / "whole.jsonl", "--quiet"], check=False)

    assert seen[0] < seen[1]
    assert 5 == last.returncode
    assert "by an earlier run" in last.stderr
    assert (tmp_path / "whole.jsonl").read_bytes() == out.read_bytes()
    rejects = [tmp_path / f"{name}.jsonl.rejects.jsonl" for name in ("whole", "o")]
    assert rejects[0].read_bytes() == rejects[1].read_bytes()
    assert not part.exists()


def test_work_on_other_tickets_is_not_gone_on_with(tmp_path, monkeypatch):
    """A journal of another file or other options is refused."""
    write_tickets(tmp_path / "t.csv", 20)
    job = Job(str(tmp_path / "t.csv"), str(tmp_path / "o.jsonl"), FAST, resume=True)
    monkeypatch.setattr(batch, "write_output", lambda *_: (_ for _ in ()).throw(KeyError("ends here")))
    with pytest.raises(KeyError):
        run_score(job)
    write_tickets(tmp_path / "t.csv", 21)

    assert journal_path(tmp_path / "o.jsonl").exists()
    with pytest.raises(InputFaulty, match=r"\[other-work\]"):
        run_score(job)


def test_a_lost_row_is_never_passed_over():
    """Counts that do not add up end the run as a fault of the program."""
    with pytest.raises(RuntimeError, match="10 rows were read, but 8 scored and 1 rejected"):
        ensure_complete(10, 8, 1)


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".xlsx"])
def test_tables_hold_the_same_as_the_lines(tmp_path, suffix):
    """The flat forms hold the same rows, causes and passed columns."""
    write_tickets(tmp_path / "t.csv", 12)
    for name in ("o.jsonl", f"o{suffix}"):
        assert 5 == run(tmp_path / "t.csv", "--out", tmp_path / name, "--quiet", "--no-next").returncode
    lines = read_lines(tmp_path / "o.jsonl")
    path = tmp_path / f"o{suffix}"
    if suffix == ".csv":
        table = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    elif suffix == ".parquet":
        table = pl.read_parquet(path).to_dicts()
    else:
        header, *cells = openpyxl.load_workbook(path).active.iter_rows(values_only=True)
        table = [dict(zip(header, row, strict=True)) for row in cells]

    expected = [[str(x) for x in (o["row"], o["ticket"], o["status"], o["given"]["site"])] for o in lines]
    assert expected == [[str(row[c]) for c in ("row", "ticket", "status", "site")] for row in table]
    for line, row in zip(lines, table, strict=True):
        for number, ranked in enumerate(line["causes"], start=1):
            assert ranked["cause"] == row[f"cause_{number}"]
            assert ranked["probability"] == pytest.approx(float(row[f"probability_{number}"]))


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "-x", "@sum", "\t=1", " =1", "\r=1"])
def test_formulas_are_disarmed(tmp_path, cell):
    """Text that a spreadsheet would take for a formula is written as text; numbers stay."""
    assert f"'{cell}" == disarm(cell)
    assert ["-5", "+1.5e3", -5.0, "a=b", None] == [disarm(c) for c in ["-5", "+1.5e3", -5.0, "a=b", None]]
    with (tmp_path / "t.jsonl").open("w") as stream:
        stream.write(json.dumps({"id": cell, "text": "", "note": cell}) + "\n")
    for suffix in (".csv", ".xlsx"):
        run_score(Job(str(tmp_path / "t.jsonl"), str(tmp_path / f"o{suffix}"), FAST, quiet=True))
    written = next(csv.DictReader(io.StringIO((tmp_path / "o.csv").read_bytes().decode(), newline="")))
    sheet = openpyxl.load_workbook(tmp_path / "o.xlsx").active

    assert f"'{cell}" == written["note"]
    assert "f" not in {c.data_type for row in sheet.iter_rows() for c in row}


def test_an_output_that_cannot_be_written_is_told_before_the_work(tmp_path):
    """A missing directory or an unknown kind of file ends the run at once."""
    write_tickets(tmp_path / "t.csv", 2)
    for name in ("nowhere/o.csv", "o.doc"):
        done = run(tmp_path / "t.csv", "--out", tmp_path / name)
        assert 4 == done.returncode
        assert "Traceback" not in done.stderr


def test_a_stream_in_and_out_is_silent(tmp_path):
    """Lines come out in a pipe, nothing else does; rejected rows go to the other stream."""
    done = run("-", "--out", "-", "--no-next", "--quiet", input='{"id":1,"text":"hums"}\n{"text":"x"}\n')

    assert ["1"] == [json.loads(line)["ticket"] for line in done.stdout.splitlines()]
    assert [{"row": 2, "ticket": None, "reason": "the row has no id"}] == [json.loads(done.stderr)]
    assert 5 == done.returncode


def test_a_fault_of_the_program_costs_one_row(scorer, monkeypatch):
    """A ticket that breaks the reasoning is rejected with a reason, the others are scored."""
    whole = scorer._reader.read
    monkeypatch.setattr(
        scorer._reader, "read", lambda values: 1 / 0 if values["id"] == "2" else whole(values)
    )
    lines = scorer.score([Row(n, {"id": str(n), "text": "hums"}) for n in (1, 2, 3)])

    assert ["+", "-", "+"] == [line[0] for line in lines]
    assert "please report it (ZeroDivisionError" in json.loads(lines[1][1:])["reason"]


def test_a_terminal_shows_how_far_the_work_is(tmp_path):
    """On a terminal a bar with count and rate stands on stderr; the counts follow it."""
    write_tickets(tmp_path / "t.csv", 30)
    command = [
        "-m",
        "diagnose",
        "score",
        str(tmp_path / "t.csv"),
        "--out",
        str(tmp_path / "o.jsonl"),
        "--no-next",
    ]
    shown = pexpect.run(
        shlex.join([sys.executable, *command]), env={**os.environ, "TERM": "xterm"}, timeout=120
    )
    text = shown.decode()

    assert "30 tickets" in text
    assert "/s" in text
    assert "30 rows read: 26 scored, 4 rejected" in text


def test_a_directory_of_columns_is_read_in_order(tmp_path):
    """A directory of Parquet files is one file of tickets."""
    (tmp_path / "parts").mkdir()
    for number in range(3):
        table = pl.DataFrame({"id": [f"{number}-{n}" for n in range(4)], "text": [""] * 4})
        table.write_parquet(tmp_path / "parts" / f"{number}.parquet")
    run_score(Job(str(tmp_path / "parts"), str(tmp_path / "o.jsonl"), FAST, quiet=True))

    expected = [f"{number}-{n}" for number in range(3) for n in range(4)]
    assert expected == [line["ticket"] for line in read_lines(tmp_path / "o.jsonl")]


def test_measures_are_printed_with_confirmed_causes(tmp_path):
    """Closed tickets give the figures on stdout, open ones do not count."""
    with (tmp_path / "t.jsonl").open("w") as stream:
        for n, cause in enumerate(["valve_seized", "gremlins", ""]):
            stream.write(json.dumps({"id": n, "text": TEXTS[n], "confirmed_cause": cause}) + "\n")
    done = run(tmp_path / "t.jsonl", "--out", tmp_path / "o.jsonl", "--no-next", "--measure", "--quiet")

    assert done.stdout.startswith(
        "1 tickets with a confirmed cause; 1 more name a cause that is not in the rules"
    )
    assert "" == done.stderr
    assert 0 == done.returncode
