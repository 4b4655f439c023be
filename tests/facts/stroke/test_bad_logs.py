"""Logs that are not as they should be: each is refused in one clear line, or made good with a note."""

import numpy as np
import polars as pl
import pytest
from stroke_simulation import Unit, simulate, write_csv

from diagnose.errors import InputFaulty
from diagnose.facts.stroke.cleaning import clean_log
from diagnose.facts.stroke.loading import LogOptions, load_log

HEADER = "time,command,position"


@pytest.fixture(scope="module")
def good():
    """Log a healthy unit over three steps."""
    return simulate(Unit(), [20, 60, 40, 50], 15, interval=0.05)


def trace_of(path, **options):
    """Read and clean a log."""
    return clean_log(load_log(path, LogOptions(**options)))


def fault_of(path, **options):
    """Give the one fault of a log that is refused."""
    with pytest.raises(InputFaulty) as error:
        trace_of(path, **options)
    (fault,) = error.value.faults
    return fault


def write(tmp_path, text, name="log.csv"):
    """Write a text as a log file."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def rows_of(count, separator=",", comma="."):
    """Write rows of a ramp."""
    cells = ((f"{i * 0.1:.2f}", f"{i % 7 * 10}.5", f"{i * 0.25:.2f}") for i in range(count))
    return "\n".join(separator.join(cell.replace(".", comma) for cell in row) for row in cells) + "\n"


def test_one_row_is_too_few(tmp_path):
    """A log of one row says so, with what a stroke needs."""
    fault = fault_of(write(tmp_path, f"{HEADER}\n0,50,50\n"))

    assert "1 row, 1 of them usable; a stroke needs at least 10" == fault.wrong


def test_a_header_without_rows_is_too_few(tmp_path):
    """A log of no rows is refused the same way."""
    assert "0 rows" in fault_of(write(tmp_path, f"{HEADER}\n")).wrong


def test_an_empty_file_is_refused(tmp_path):
    """An empty file is told as such."""
    assert "the log is empty" == fault_of(write(tmp_path, "")).wrong


def test_constant_time_is_refused(tmp_path):
    """A clock that stands still gives no log."""
    fault = fault_of(write(tmp_path, HEADER + "\n" + "5,50,50\n" * 20))

    assert "the time is the same in every row" == fault.wrong


def test_nothing_moving_is_a_finding_and_no_fault(run_log):
    """A unit that answers no command is reported as not moving, with every figure of movement untold."""
    report = run_log(Unit(dead_band=300), [20, 60, 40], 15)

    assert "Nothing moved although the command changed." in report.notes
    assert "not judged" == report.figure("dead_time").verdict
    assert [("no_movement", "present")] == [(fact.observation, fact.state.value) for fact in report.facts]


def test_neither_command_nor_travel_changing_tells_nothing(tmp_path, analyse_file):
    """A log in which nothing is asked and nothing moves decides no observation."""
    path = write(tmp_path, HEADER + "\n" + "".join(f"{i},50,50\n" for i in range(50)))
    report = analyse_file(path)

    assert "Nothing moved; the command never changed." in report.notes
    assert () == report.facts


@pytest.mark.parametrize(
    ("header", "told"),
    [
        ("zeit,soll,ist", "no column time and no column command"),
        ("time,command,pozition", "did you mean"),
        ("0,50,50", "the first line holds numbers, no names"),
        ("time,command,position,travel", "both mean position"),
        ("time,command,position,position", "both mean position"),
    ],
)
def test_a_wrong_header_names_what_is_there(tmp_path, header, told):
    """The fault names the columns missing and those found, and how to rename them."""
    fault = fault_of(write(tmp_path, header + "\n" + rows_of(20)))

    assert told in f"{fault.wrong}; {fault.cure}"


def test_renaming_makes_foreign_names_ours(tmp_path):
    """A header of other names is read by the names an option gives."""
    path = write(tmp_path, "when,wanted,is\n" + rows_of(30))

    trace = trace_of(path, renamed={"when": "time", "wanted": "command", "is": "position"})

    assert 30 == trace.rows


@pytest.mark.parametrize("separator", [";", "\t"])
def test_decimal_commas_are_read(tmp_path, separator):
    """A whole log of decimal commas is read like one of points."""
    path = write(tmp_path, separator.join(HEADER.split(",")) + "\n" + rows_of(30, separator, ","))

    trace = trace_of(path)

    assert 0.1 == pytest.approx(trace.interval)
    assert any("decimal comma" in note for note in trace.notes)


def test_mixed_decimal_commas_are_read_and_told(tmp_path):
    """Commas and points within one column are both decimals, and the note says so."""
    rows = rows_of(30, ";").splitlines()
    rows[5] = rows[5].replace(".", ",")
    trace = trace_of(write(tmp_path, HEADER.replace(",", ";") + "\n" + "\n".join(rows) + "\n"))

    assert any("mixed with points" in note for note in trace.notes)
    assert 0.5 == pytest.approx(trace.pieces[0].time[5])


def test_a_comma_that_may_part_thousands_is_refused_at_its_row(tmp_path):
    """1,250 in a column with points is ambiguous and is pointed at."""
    rows = rows_of(30, ";").splitlines()
    rows[7] = "0.7;50.5;1,250"
    fault = fault_of(write(tmp_path, HEADER.replace(",", ";") + "\n" + "\n".join(rows) + "\n"))

    assert (9, "'1,250' of position may be thousands or a decimal comma") == (fault.line, fault.wrong)


def test_decimal_commas_between_commas_are_refused_at_their_row(tmp_path):
    """A comma-separated log with decimal commas has too many fields; the row is pointed at."""
    fault = fault_of(write(tmp_path, HEADER + "\n0.1,50,50\n0,2,50,50\n"))

    assert 3 == fault.line
    assert "decimal commas need another separator" in fault.wrong


def test_gaps_part_the_log_and_are_told(tmp_path, good):
    """Nothing is joined across a pause of the log."""
    time = good["time"]
    keep = (time < 20) | (time > 27)
    path = write_csv(tmp_path / "gap.csv", {name: values[keep] for name, values in good.items()})

    trace = trace_of(path)

    assert 2 == len(trace.pieces)
    assert any(note.startswith("1 gap of up to 7") for note in trace.notes)


def test_jitter_is_told_and_evened_out(tmp_path, good):
    """Uneven times are read on an even clock, and figures stay what they are."""
    rng = np.random.default_rng(3)
    shaken = dict(good, time=good["time"] + rng.uniform(-0.02, 0.02, len(good["time"])))
    trace = trace_of(write_csv(tmp_path / "j.csv", shaken))

    assert any(note.startswith("Uneven sampling") for note in trace.notes)
    assert 0 == pytest.approx(np.ptp(np.diff(trace.pieces[0].time)), abs=1e-6)


def test_doubled_times_keep_the_last(tmp_path, good):
    """Rows that bear the time of another are left out and counted."""
    doubled = {name: np.repeat(values, 2) for name, values in good.items()}
    trace = trace_of(write_csv(tmp_path / "d.csv", doubled))

    assert any(
        f"{len(good['time']):,} rows with the time of another left out" in note for note in trace.notes
    )


def test_late_rows_are_put_in_order(tmp_path, good):
    """A few rows out of order are sorted in, and counted."""
    order = np.arange(len(good["time"]))
    order[100], order[103] = order[103], order[100]
    trace = trace_of(write_csv(tmp_path / "o.csv", {name: values[order] for name, values in good.items()}))

    assert any("out of order" in note for note in trace.notes)
    assert (np.diff(trace.pieces[0].time) > 0).all()


def test_a_clock_set_back_is_refused(tmp_path, good):
    """Two runs in one file with a clock that starts again are not mixed."""
    twice = {name: np.tile(values, 2) for name, values in good.items()}

    assert "time goes back near row" in fault_of(write_csv(tmp_path / "t.csv", twice)).wrong


def test_cells_without_a_number_are_left_out_and_counted(tmp_path):
    """A few words among the numbers cost their own rows only."""
    rows = rows_of(40).splitlines()
    rows[4] = "0.4,none,1.0"
    trace = trace_of(write(tmp_path, HEADER + "\n" + "\n".join(rows) + "\n"))

    assert "1 cell of command without a number left out." in trace.notes


def test_a_column_of_words_is_refused_at_its_first(tmp_path):
    """A column that mostly holds words is no column of numbers."""
    fault = fault_of(write(tmp_path, HEADER + "\n" + "".join(f"{i},half,50\n" for i in range(20))))

    assert "the first is 'half'" in fault.wrong


@pytest.mark.parametrize(
    ("column", "unit", "cell", "expected"),
    [
        ("command [mA]", None, 12, 50),
        ("command_mA", None, 8, 25),
        ("command (1-5 V)", None, 2, 25),
        ("command", "0-10 V", 2.5, 25),
        ("command", "2-10 V", 6, 50),
        ("command [deg]", None, 45, 50),
        ("command", None, 30, 30),
        ("command", "4..20 mA", 20, 100),
    ],
)
def test_units_come_from_header_or_option(tmp_path, column, unit, cell, expected):
    """A signal is read in per cent of the span that its header or an option names."""
    rows = "".join(f"{i},{cell},{i}\n" for i in range(20))
    path = write(tmp_path, f"time,{column.replace(',', '')},position\n{rows}")

    trace = trace_of(path, units={"command": unit} if unit else {})

    assert expected == pytest.approx(trace.pieces[0].command[0])


def test_a_bare_voltage_asks_for_its_span(tmp_path):
    """A voltage has several spans, so the fault asks which one."""
    fault = fault_of(write(tmp_path, "time,command [V],position\n" + rows_of(20)))

    assert "--column 'command=0-10 V'" in fault.cure


@pytest.mark.parametrize(("unit", "factor"), [("ms", 1e-3), ("min", 60), ("s", 1)])
def test_time_is_read_in_its_unit(tmp_path, unit, factor):
    """Times come out in seconds."""
    path = write(tmp_path, f"time [{unit}],command,position\n" + rows_of(20))

    assert 0.1 * factor == pytest.approx(trace_of(path).interval)


def test_a_time_in_volts_is_refused(tmp_path):
    """A unit of another dimension names the one wanted."""
    fault = fault_of(write(tmp_path, "time [V],command,position\n" + rows_of(20)))

    assert "give it in s" == fault.cure


def test_dates_become_seconds(tmp_path):
    """Times of day with a date are counted from the first row."""
    rows = "".join(f"2026-03-0{1 + i // 60} 23:{i % 60:02d}:00,50,{i}\n" for i in range(40))
    trace = trace_of(write(tmp_path, f"{HEADER}\n{rows}"))

    assert 60 == pytest.approx(trace.interval)


def test_parquet_is_read_like_text(tmp_path, good):
    """The same log gives the same arrays from either kind of file."""
    path = tmp_path / "log.parquet"
    pl.DataFrame(good).write_parquet(path)

    assert np.allclose(good["position"], trace_of(path).pieces[0].position)


def test_contacts_may_be_words(tmp_path):
    """Made and free, on and off, true and false are read as contacts."""
    rows = "".join(f"{i},50,{i},{'made' if i > 10 else 'free'}\n" for i in range(20))
    trace = trace_of(write(tmp_path, f"{HEADER},open_limit\n{rows}"))

    assert [0, 1] == [trace.pieces[0].values["open_limit"][i] for i in (5, 15)]


def test_stray_samples_are_smoothed_over_and_told(tmp_path, good):
    """Single samples far out of line do not pass for movement."""
    position = good["position"].copy()
    position[[50, 60, 70]] += 30
    trace = trace_of(write_csv(tmp_path / "s.csv", dict(good, position=position)))

    assert 3 == len(trace.spikes.places)
    assert np.allclose(good["position"], trace.pieces[0].position, atol=0.01)


def test_a_binary_file_is_refused(tmp_path):
    """A file that is no text is not read as one."""
    path = tmp_path / "log.csv"
    path.write_bytes(b"\x00\x01\x02" * 50)

    assert "the log is no plain text" == fault_of(path).wrong


def test_a_missing_file_is_told(tmp_path):
    """A log that is not there is a fault of the input."""
    assert "cannot be read" in fault_of(tmp_path / "none.csv").wrong


def test_a_million_rows_are_analysed_whole(tmp_path, good, analyse_file):
    """A log of a million rows gives the figures of its short model."""
    times = 1_000_000 // len(good["time"]) + 1
    long = {name: np.tile(values, times)[:1_000_000] for name, values in good.items()}
    long["time"] = np.arange(1_000_000) * 0.05
    path = tmp_path / "long.parquet"
    pl.DataFrame(long).write_parquet(path)
    report = analyse_file(path)

    assert 1_000_000 == report.rows
    assert report.figure("dead_time").low <= 0.3 <= report.figure("dead_time").high
    assert any("Only the first 200" in note for note in report.notes)
