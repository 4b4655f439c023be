"""The command `calc`: options with units, nearest names, questions at a terminal, one line for what is wrong."""

import json
import shlex
import subprocess
import sys

import pexpect
import pytest
from typer.testing import CliRunner

from diagnose.errors import UsageWrong
from diagnose.explanation.calculation_text import say_example
from diagnose.interfaces.calc import find_calculation, read_values, run_calc
from diagnose.interfaces.cli import app
from diagnose.trade.catalogue.every import CALCULATIONS

DROP = "cable-drop --supply single_phase --voltage 230V --current 1.2A"


def call(line):
    """Call the command line inside this process."""
    return CliRunner().invoke(app, ["calc", *shlex.split(line)])


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=[c.id for c in CALCULATIONS])
def test_the_example_of_every_calculation_works(calculation):
    """What the help shows as a call is a call that gives a result."""
    done = call(say_example(calculation).removeprefix("diagnose calc "))

    assert 0 == done.exit_code, done.output
    assert done.stdout.startswith(calculation.title)


@pytest.mark.parametrize(
    "rest", ["--length 120m --size 1.5mm2", "--length=120m --size=1.5mm2", "--size 1.5 mm2 --length 0.12 km"]
)
def test_ways_to_write_an_option(rest):
    """An equals sign, a space inside a value and another unit give the same result."""
    found = {
        part["name"]: part["value"] for part in json.loads(call(f"{DROP} {rest} --json").stdout)["found"]
    }

    assert pytest.approx(3.4848) == found["drop"]


def test_negative_values_are_values():
    """A value that begins with a minus sign is no option."""
    answer = json.loads(call("travel-from-current --current -5mA --json").stdout)

    assert -5 == next(given["value"] for given in answer["given"] if given["name"] == "current")


def test_list_and_help():
    """Without a name all are listed; with --help a calculation tells what it needs."""
    assert call("").stdout == call("--help").stdout
    assert len(CALCULATIONS) == len(json.loads(call("--json").stdout))
    assert "--length  length of the cable, one way (0 to 5000 m)" in call("cable-drop --help").stdout


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("cabel-drop", "no calculation 'cabel-drop'; nearest: cable-drop"),
        ("zzzz", "`diagnose calc` lists them"),
        (f"{DROP} --lenth 3m", "cable-drop has no --lenth; it takes --supply"),
        (f"{DROP} --current 2A", "--current is given twice"),
        ("cable-drop 120m", "'120m' stands before any option"),
        (f"{DROP} --length", "--length has no value; wanted: 0 to 5000 m"),
        (
            f"{DROP} --length 120",
            "--length: '120' has no unit; write for example '120 m'; wanted: 0 to 5000 m",
        ),
        (f"{DROP} --length nanm", "wanted: 0 to 5000 m"),
        (f"{DROP} --length -1m", "--length: -1 m is out of range; wanted: 0 to 5000 m"),
        (DROP, "cable-drop also needs --length (0 to 5000 m), --size (0.05 to 400 mm2)"),
        (f"{DROP} --length 5km --size 0.5mm2 --voltage 3V".replace("--voltage 230V ", ""), "uses up the 3 V"),
        ("torque-margin --available 48ft-lb", "say lbf ft"),
    ],
)
def test_what_is_wrong_is_one_line(line, told):
    """A call that cannot be followed raises one line with what is wanted, and the exit code of usage."""
    name, *words = shlex.split(line)
    with pytest.raises(UsageWrong) as refused:
        run_calc(name, words, as_json=False)

    assert told in str(refused.value)
    assert "\n" not in str(refused.value)
    assert 2 == refused.value.exit_code


def test_missing_in_a_pipe_ends_with_usage():
    """In a pipe nothing is asked: one line on stderr, nothing on stdout, exit code 2."""
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "calc", "duty", "--run", "1s"],
        input="3 s\n",
        capture_output=True,
        text=True,
        check=False,
    )

    assert (2, "", "duty also needs --rest (0 to 86400 s)\n") == (done.returncode, done.stdout, done.stderr)


def test_missing_at_a_terminal_is_asked_for():
    """At a terminal each missing input is asked for until the answer will do."""
    child = pexpect.spawn(sys.executable, ["-m", "diagnose", "calc", "duty"], timeout=30, encoding="utf-8")
    child.expect("mean run time, for example 1 s: ")
    child.sendline("-1 s")
    child.expect("wanted: 0.01 to 3600 s")
    child.expect("mean run time, for example 1 s: ")
    child.sendline("1 s")
    child.expect("mean rest between runs, for example 3 s: ")
    child.sendline("3 s")
    child.expect("duty factor: 25 %")
    child.expect(pexpect.EOF)
    child.close()

    assert 0 == child.exitstatus


def test_values_are_read_in_the_input_s_unit():
    """Options become values by the function's names, in its units."""
    assert {"run": 60.0, "rest": 0.5} == read_values(
        find_calculation("duty"), ["--run", "1min", "--rest", "500", "ms"]
    )


@pytest.mark.parametrize(
    "name",
    ["contact-pair", "wiper-contact", "winding-balance", "reversing-windings", "winding-at-20", "insulation"],
)
def test_a_measured_resistance_says_that_the_supply_is_off(name):
    """Whatever is worked out from a measured resistance says how it is measured."""
    said = call(say_example(find_calculation(name)).removeprefix("diagnose calc ")).stdout

    assert "supply off, proved dead" in " ".join(said.split())


@pytest.mark.parametrize("kind", ["4-20mA", "4-20 mA", "4..20 mA", "ma_4_20"])
def test_a_kind_is_taken_as_the_trade_writes_it(kind):
    """A span or a supply is read as people write it, and printed so."""
    said = call(f"travel-from-current --kind '{kind}' --current 12mA").stdout

    assert "kind of signal: 4-20 mA (allowed: 4-20 mA, 0-20 mA)" in " ".join(said.split())


def test_an_open_contact_is_read_as_the_meter_shows_it():
    """OL is an open contact; where no open reading can be right it is refused."""
    said = call("contact-pair --normally-closed 0.1ohm --normally-open OL --cam free").stdout

    assert "common to normally open: open" in said
    with pytest.raises(UsageWrong, match="'OL' is not a number"):
        read_values(find_calculation("winding-balance"), ["--first", "OL"])
