"""Scoring on a Dask cluster gives the same rows as scoring here, and says plainly what is wrong with one."""

import csv

import polars as pl
import pytest
from distributed import LocalCluster

from diagnose.errors import InputFaulty
from diagnose.interfaces import batch, scoring
from diagnose.interfaces.batch import Job, run_score
from diagnose.interfaces.plan import Plan
from diagnose.interfaces.tickets import cluster as on_cluster
from diagnose.interfaces.tickets.cluster import RulesDiffer, score_on_cluster
from diagnose.interfaces.tickets.row import Row
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.unit import UnitRecord

TEXTS = [
    "motor hums, shaft stands still",
    "stops short of open",
    "water in the cover",
    "",
    "pump seal leaking",
]
PLAN = Plan(rules_directory(), with_next=False, units={"V-1": UnitRecord(asset="V-1", duty="on_off")})


@pytest.fixture(scope="module")
def address():
    """Start a cluster of two processes on this machine."""
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        yield cluster.scheduler_address


@pytest.fixture
def tickets(tmp_path, monkeypatch):
    """Write a directory of Parquet parts, and score it in small chunks."""
    monkeypatch.setattr(batch, "CHUNK", 7)
    folder = tmp_path / "tickets"
    folder.mkdir()
    for part in range(3):
        rows = [
            {"id": f"T-{part}-{n}" if n else "", "text": TEXTS[n % len(TEXTS)], "asset": f"V-{n % 3}"}
            for n in range(15)
        ]
        pl.DataFrame(rows).write_parquet(folder / f"{part}.parquet")
    return folder


def test_the_cluster_gives_the_same_rows(tickets, address, tmp_path):
    """Row by row and in order, from a directory of parts into a directory of parts."""
    here, there = tmp_path / "here", tmp_path / "there"
    for out in (here, there):
        out.mkdir()
    alone = run_score(Job(str(tickets), str(here), PLAN, quiet=True))
    shared = run_score(Job(str(tickets), str(there), PLAN, quiet=True, cluster=address))
    expected, found = pl.read_parquet(here / "*.parquet"), pl.read_parquet(there / "*.parquet")

    assert (45, 42, 3) == (alone.read, alone.scored, alone.rejected)
    assert (alone.read, alone.scored, alone.rejected) == (shared.read, shared.scored, shared.rejected)
    assert expected.equals(found)
    assert list(range(1, 46)) == sorted(found["row"].to_list() + [1, 16, 31])


def test_a_scheduler_that_does_not_answer_is_one_clear_fault(monkeypatch):
    """Nobody waits for a scheduler that is not there."""
    monkeypatch.setattr(on_cluster, "CONNECT_SECONDS", 1)
    with pytest.raises(InputFaulty, match="no scheduler answers there"):
        list(score_on_cluster(PLAN, [[Row(1, {"id": "1", "text": ""})]], "tcp://127.0.0.1:9"))


@pytest.mark.parametrize("address", ["nonsense", "host:8786", "tcp://host", "http://host:1", "tcp://a b:1"])
def test_what_is_no_address_is_refused_at_once(address):
    """Nothing is tried with what names no scheduler."""
    with pytest.raises(InputFaulty, match="no address of a scheduler"):
        list(score_on_cluster(PLAN, [], address))


def test_other_rules_on_a_worker_are_refused(address, monkeypatch):
    """A worker with other rules would score otherwise: nothing is scored."""

    class Other:
        version = "other"

    monkeypatch.setattr(on_cluster, "load_knowledge", lambda _: Other())
    with pytest.raises(InputFaulty, match="where other are wanted"):
        list(score_on_cluster(PLAN, [[Row(1, {"id": "1", "text": ""})]], address))


def test_a_worker_keeps_the_scorer_of_one_plan(monkeypatch):
    """A second chunk of the same plan makes no second scorer; another plan makes its own."""
    made = []

    class Counting:
        def __init__(self, plan):
            made.append(plan)

        def score(self, rows):
            return [str(row) for row in rows]

    monkeypatch.setattr(scoring, "Scorer", Counting)
    monkeypatch.setattr(on_cluster, "_scorers", {})
    version = on_cluster.load_knowledge(PLAN.rules).version
    for key in ("a", "a", "b"):
        on_cluster._score_chunk(PLAN, key, version, ["row"])
    with pytest.raises(RulesDiffer):
        on_cluster._score_chunk(PLAN, "c", "other", ["row"])

    assert 2 == len(made)


def test_a_directory_with_something_in_it_is_not_written_into(tmp_path):
    """Rows of two scores are never mixed."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "old.parquet").write_text("old")
    path = tmp_path / "tickets.csv"
    with path.open("w", newline="") as stream:
        csv.writer(stream).writerows([["id", "text"], ["1", "dead"]])
    with pytest.raises(InputFaulty, match="the directory is not empty"):
        run_score(Job(str(path), str(out), PLAN, quiet=True))

    assert ["old.parquet"] == [one.name for one in out.iterdir()]
