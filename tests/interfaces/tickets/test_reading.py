"""Files of tickets become rows: kinds, encodings, broken pieces, and nothing lost."""

import csv
import gzip
import io
import json
import zipfile

import openpyxl
import polars as pl
import pytest
import zstandard
from hypothesis import example, given
from hypothesis import strategies as st

from diagnose.errors import InputFaulty
from diagnose.interfaces.tickets import sheet_rows
from diagnose.interfaces.tickets.columns import arrange_rows, read_mapping
from diagnose.interfaces.tickets.comma_rows import read_comma_rows
from diagnose.interfaces.tickets.json_rows import read_json_rows
from diagnose.interfaces.tickets.lines import MAX_LINE, read_lines
from diagnose.interfaces.tickets.reading import TicketFile
from diagnose.interfaces.tickets.row import Row
from diagnose.interfaces.tickets.seen import SeenIds

TABLE = [
    {"id": "1", "text": 'stops "short", at 75 %\nsecond line'},
    {"id": "2", "text": "brummt, läuft nicht an"},
]


def as_commas(rows, **options):
    """Write rows as comma separated text."""
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]), **options)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def lines_of(data):
    """Read bytes as lines."""
    return read_lines(io.BufferedReader(io.BytesIO(data)))


def rows_of(text):
    """Read the rows of a text of comma separated values."""
    return list(read_comma_rows(lines_of(text.encode() if isinstance(text, str) else text), "t.csv"))


def values_of(path, mapping=None):
    """Read the values of all rows of a file."""
    return [row.values for row in TicketFile(str(path), mapping or {}).rows()]


COMMAS = as_commas(TABLE)


@pytest.mark.parametrize(
    "data",
    [
        COMMAS.encode(),
        COMMAS.encode("utf-8-sig"),
        COMMAS.encode("utf-16"),
        COMMAS.encode("utf-16-le"),
        COMMAS.encode("utf-32"),
        COMMAS.encode("cp1252"),
        as_commas(TABLE, delimiter=";").encode(),
        as_commas(TABLE, delimiter="\t", lineterminator="\n").encode(),
    ],
    ids=["utf8", "mark", "utf16", "utf16 bare", "utf32", "cp1252", "semicolon", "tab"],
)
def test_every_encoding_and_delimiter_gives_the_same_rows(data):
    """A table reads the same in every usual encoding and with every usual delimiter."""
    assert TABLE == [row.values for row in rows_of(data)]


@pytest.mark.parametrize(
    "suffix", [".csv", ".csv.gz", ".csv.zst", ".jsonl", ".jsonl.gz", ".parquet", ".xlsx"]
)
def test_every_kind_of_file_gives_the_same_rows(tmp_path, suffix):
    """A table reads the same from every kind of file."""
    path = tmp_path / f"tickets{suffix}"
    objects = "".join(f"{json.dumps(row)}\n" for row in TABLE)
    plain = (objects if "jsonl" in suffix else COMMAS).encode()
    if suffix == ".parquet":
        pl.DataFrame(TABLE).write_parquet(path)
    elif suffix == ".xlsx":
        book = openpyxl.Workbook()
        for cells in (TABLE[0].keys(), *(row.values() for row in TABLE)):
            book.active.append(list(cells))
        book.save(path)
    elif suffix.endswith(".gz"):
        path.write_bytes(gzip.compress(plain))
    elif suffix.endswith(".zst"):
        path.write_bytes(zstandard.compress(plain))
    else:
        path.write_bytes(plain)

    assert TABLE == values_of(path)


def test_columns_are_renamed_and_unknown_ones_kept(tmp_path):
    """Mapped columns take our names, known ones any case, unknown ones pass."""
    path = tmp_path / "t.csv"
    path.write_text("Order,TEXT,id,colour\n7,hums,old,red\n")

    expected = [{"id": "7", "text": "hums", "id (theirs)": "old", "colour": "red"}]
    assert expected == values_of(path, read_mapping(["Order=id"]))


@pytest.mark.parametrize("pairs", [["id"], ["=id"], ["a=b"], ["a=id", "b=id"]])
def test_a_wrong_mapping_is_refused(pairs):
    """A mapping names one column of ours for each of theirs."""
    with pytest.raises(ValueError, match=r"map|theirs"):
        read_mapping(pairs)


def test_a_missing_column_is_one_clear_error():
    """A file without the text column says which columns it has."""
    with pytest.raises(InputFaulty, match=r"no column text \(columns: id, words\); name it, as in --map"):
        list(arrange_rows([Row(1, {"id": "1", "words": "x"})], {}, "t.csv"))


@pytest.mark.parametrize(
    ("middle", "reason"),
    [
        ('2,"never closed', "broken quotation marks"),
        ('2,"closed" badly', "broken quotation marks"),
        ("2,a,b", "3 fields where the header has 2"),
        ("2", "1 fields where the header has 2"),
    ],
)
def test_a_broken_row_costs_itself_alone(middle, reason):
    """The rows around a broken one are read as if it were not there."""
    rows = rows_of(f'id,text\n1,"good, one"\n{middle}\n3,"fine"\n4,8" butterfly\n')

    assert ["1", "3", "4"] == [row.values["id"] for row in rows if not row.fault]
    assert [2] == [row.number for row in rows if reason in row.fault]
    assert "fine" == rows[2].values["text"]
    assert '8" butterfly' == rows[3].values["text"]


def test_a_quotation_mark_never_closed_at_the_end_loses_no_row():
    """Unclosed text up to the end of the file costs the row it opens in."""
    rows = rows_of('id,text\n1,"open\n2,plain\n3,plain\n')

    assert ["", "2", "3"] == [row.values.get("id", "") for row in rows]
    assert "line 2: a quotation mark is opened and not closed" == rows[0].fault


def test_encodings_may_be_mixed():
    """A line that is not UTF-8 is read as Windows-1252 with a note; one that is neither is rejected."""
    rows = rows_of(b"id,text\n1,caf\xc3\xa9\n2,caf\xe9\n3,\x81\xff\n4,ok\n")

    assert ["café", "café", "", "ok"] == [row.values.get("text", "") for row in rows]
    assert [(), ("not UTF-8, read as Windows-1252",), (), ()] == [row.notes for row in rows]
    assert "line 4 is neither UTF-8 nor Windows-1252" == rows[2].fault


def test_nul_characters_and_halves_of_characters_are_made_good():
    """What no output may hold is replaced and noted."""
    rows = list(arrange_rows(read_json_rows(lines_of(b'{"id":1,"text":"a\\u0000b\\ud800"}\n')), {}, "t"))

    assert {"id": "1", "text": "a b\ufffd"} == rows[0].values
    assert ("NUL characters read as blanks",) == rows[0].notes


def test_long_text_is_noted_and_an_endless_line_rejected():
    """A text of 1 MB is read to its limit; a line beyond 8 MB is one bad row."""
    data = b"id,text\n1," + b"hum " * 250_000 + b"\n2," + b"x" * (2 * MAX_LINE + 5) + b"\n3,ok\n"
    rows = list(arrange_rows(rows_of(data), {}, "t.csv"))

    assert ["only the first 20000 characters of the text were read"] == list(rows[0].notes)
    assert "line 3 is longer than 8 MB" == rows[1].fault
    assert "ok" == rows[2].values["text"]


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("{", "is not JSON"),
        ("[1]", "holds no JSON object"),
        ("[" * 100_000, "nested too deep"),
        ('{"text":"x"}', "no id"),
    ],
)
def test_a_bad_json_line_is_rejected_with_its_reason(line, reason):
    """Lines that hold no ticket say why; the next one is read."""
    data = f'{{"id":1,"text":"a"}}\n{line}\n{{"id":3,"text":"b"}}\n'.encode()
    rows = list(arrange_rows(read_json_rows(lines_of(data)), {}, "t.jsonl"))

    assert [1, 3] == [row.number for row in rows if not row.fault]
    assert reason in rows[1].fault


@pytest.mark.parametrize("name", ["t.csv.gz", "t.csv.zst", "t.xlsx", "t.parquet"])
def test_a_broken_file_is_one_clear_error(tmp_path, name):
    """Bytes that are not what the name says give one located fault."""
    path = tmp_path / name
    path.write_bytes(b"id,text\n1,x\n")

    with pytest.raises(InputFaulty, match=rf"{name}:1:1: \[broken-file\]"):
        values_of(path)


def test_a_compressed_file_cut_short_is_told():
    """The end of a packed file that is missing is not taken for the end of the tickets."""
    from diagnose.interfaces.tickets.lines import ensure_whole

    packed = gzip.compress(b"id,text\n" + b"1,x\n" * 1000)[:-20]
    with pytest.raises(InputFaulty, match="cut short"), ensure_whole("t.csv.gz"):
        list(read_lines(io.BufferedReader(gzip.GzipFile(fileobj=io.BytesIO(packed)))))


def test_a_workbook_that_unpacks_to_too_much_is_refused(tmp_path):
    """A small workbook with a huge sheet in it is never unpacked."""
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * (sheet_rows.HARMLESS + 1))

    with pytest.raises(InputFaulty, match="unpacks to 32 MB"):
        values_of(path)


def test_numbers_and_dates_of_a_sheet_read_as_typed(tmp_path):
    """A whole number stays one, an empty cell is empty, an empty row is none."""
    book = openpyxl.Workbook()
    for cells in (["id", "text", "minutes_spent"], [12, "hums", 7.5], [None, None, None], [13.0, None, True]):
        book.active.append(cells)
    book.save(tmp_path / "t.xlsx")

    expected = [
        {"id": "12", "text": "hums", "minutes_spent": "7.5"},
        {"id": "13", "text": "", "minutes_spent": "true"},
    ]
    assert expected == values_of(tmp_path / "t.xlsx")


def test_ids_seen_before_are_known_across_calls():
    """Doubles are told within a call and across calls, whatever the sizes of the calls."""
    seen = SeenIds()
    found = [seen.add(ids) for ids in (["a", "b", "a"], ["c"], [], ["b", "d", "c", "e"])]

    assert [[False, False, True], [False], [], [True, False, True, False]] == found


TICKET_TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), min_size=1)


@given(st.lists(st.tuples(TICKET_TEXT, TICKET_TEXT), min_size=1))
def test_whatever_is_written_is_read_back(pairs):
    """Rows written by the standard library come back cell by cell, in order."""
    rows = [{"id": one, "text": other} for one, other in pairs]
    read = rows_of(as_commas(rows, quoting=csv.QUOTE_ALL, lineterminator="\n"))

    assert rows == [row.values for row in read]


@given(
    st.binary(max_size=300), st.sampled_from([read_json_rows, lambda lines: read_comma_rows(lines, "t.csv")])
)
@example(b"id,text\n" + b'"\n' * 200, lambda lines: read_comma_rows(lines, "t.csv"))
def test_any_bytes_give_rows_or_one_fault(data, read):
    """Whatever the bytes, every row is numbered in turn and good or bad, or the file has one fault."""
    rows, faults = [], ()
    try:
        rows = list(arrange_rows(read(lines_of(data)), {}, "t"))
    except InputFaulty as error:
        faults = error.faults

    assert len(faults) <= 1
    assert list(range(1, len(rows) + 1)) == [row.number for row in rows]
    assert all(row.fault or row.values["id"] for row in rows)


LINE = st.text(st.sampled_from('1,"x\té '), min_size=1, max_size=12).filter(lambda text: text.strip())


@given(st.lists(LINE, max_size=12))
def test_no_line_of_a_broken_file_is_lost(lines):
    """Every line under the header belongs to exactly one row, good or bad."""
    source = "\n".join(["id,text", *lines])
    rows = rows_of(source)
    taken = sum(1 if row.fault else 1 + sum(v.count("\n") for v in row.values.values()) for row in rows)

    assert len(lines) == taken
