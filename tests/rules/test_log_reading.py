"""Reading a log by a layout: what is taken, and what is told by row and column."""

import csv
import io
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locates.logs.rules import reading
from locates.logs.rules.layout import DELIMITERS, LONLAT, NOWHERE, SITE, How
from locates.logs.rules.reading import MOST_FAULTS, headed, marked, read, readable, sample

ZONE = ZoneInfo("Pacific/Auckland")
HEADER = ("when", "what", "strength", "east", "north")
TOP = ",".join(HEADER)
PLAIN = How("utf-8", "comma", 0, HEADER, False, 0, "epoch", "", 1, SITE, None, 2, 3, 4)
AT = 1_804_129_530


def file(*lines, header=TOP, encoding="utf-8"):
    return io.BytesIO("\r\n".join([header, *lines]).encode(encoding))


def found(*lines, how=PLAIN, place=None, **given):
    return read(file(*lines, **given), how, ZONE, place)


def told(rows):
    return [(one.row, one.column, one.says.split(":")[0]) for one in rows.faults]


def test_a_row_gives_its_time_mode_reading_and_place():
    rows = found(f"{AT},P,12.5,3,4", f"{AT + 1},R,,,")
    assert (list(rows.at), list(rows.mode), rows.words) == ([AT * 1000, AT * 1000 + 1000], [0, 1], {"P": 0, "R": 1})
    assert (rows.value[0], rows.x[0], rows.y[0]) == (12.5, 3, 4)
    assert all(one != one for one in (rows.value[1], rows.x[1], rows.y[1]))
    assert rows.counts() == {"P": 1, "R": 1}


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ("now,P,1,2,3", ("1: when", "'now' is not such a time")),
        (",P,1,2,3", ("1: when", "it is empty")),
        (f"{AT},P,one,2,3", ("3: strength", "'one' is not a number")),
        (f"{AT},P,1_0,2,3", ("3: strength", "'1_0' is not a number")),
        (f"{AT},P,nan,2,3", ("3: strength", "'nan' is out of bounds")),
        (f"{AT},P,1,2,", ("4: east", "only one half of the position is filled")),
        (f"{AT},P,1,2000000,3", ("4: east", "2000000 3 is out of the site's grid")),
        (f"{AT},P,1,2,3,4", ("", "it has 6 cells")),
        (f"{AT},P\x07,1,2,3", ("2: what", "the control character U+0007 is in it")),
        (f"{AT},{'P' * 201},1,2,3", ("2: what", "it has 201 characters")),
    ],
)
def test_a_cell_that_cannot_be_read_is_told_by_row_and_column(line, where):
    rows = found(f"{AT},P,1,2,3", "", line, f"{AT},P,1,2,3,,")
    assert told(rows) == [(4, *where)]
    assert len(rows) == 2


def test_all_that_is_wrong_in_a_row_is_told_and_of_very_many_the_first():
    assert told(found("now,P,x,2,y")) == [
        (2, "1: when", "'now' is not such a time"),
        (2, "3: strength", "'x' is not a number"),
        (2, "5: north", "'y' is not a number"),
    ]
    rows = found(*["now,P,1,2,3"] * (MOST_FAULTS + 5))
    assert (len(rows.faults), rows.more) == (MOST_FAULTS, 5)


def test_a_decimal_comma_is_read_where_the_layout_says_so_and_only_there():
    comma = replace(PLAIN, delimiter="semicolon", decimal_comma=True)
    rows = found(f"{AT};P;12,5;3;4", how=comma, header=";".join(HEADER))
    assert rows.value[0] == 12.5
    assert told(found(f"{AT};P;12.5;3;4", how=comma)) == [(2, "3: strength", "'12.5' is not a number")]
    assert told(found(f'{AT},P,"12,5",3,4')) == [(2, "3: strength", "'12,5' is not a number")]


def test_a_date_that_stands_apart_goes_with_its_time_of_day():
    how = How("utf-8", "comma", 0, ("time", "date", "what"), False, 0, "day_first", "UTC", 2, NOWHERE, day=1)
    rows = found("03:05:30,04/03/2027,P", "03:05:30,,P", how=how)
    assert list(rows.at) == [AT * 1000]
    assert [(one.row, one.column) for one in rows.faults] == [(3, "1: time")]


def test_longitude_and_latitude_are_placed_and_told_where_nobody_can():
    how = replace(PLAIN, position=LONLAT)
    assert list(found(f"{AT},P,1,174.7,-36.8", how=how, place=lambda lon, lat: (lon - 174, lat + 37)).x) == [pytest.approx(0.7)]
    assert told(found(f"{AT},P,1,190,-36.8", how=how)) == [(2, "4: east", "190 -36.8 is no longitude and latitude")]
    assert told(found(f"{AT},P,1,174,-36.8", how=how))[0][2].startswith("it is a longitude and latitude, and nobody has said")


def test_lines_above_the_header_are_left_out():
    how = replace(PLAIN, above=2)
    rows = read(io.BytesIO(f"made by\n;;\n{','.join(HEADER)}\n{AT},P,1,2,3".encode()), how, ZONE)
    assert (len(rows), rows.faults) == (1, [])
    assert headed(io.BytesIO(f"a\nb\n{','.join(HEADER)}\n".encode()), how)


@pytest.mark.parametrize(
    ("encoding", "how"), [("utf-8", "utf-8"), ("utf-8-sig", "utf-8"), ("utf-16", "utf-16"), ("utf-16-be", "utf-16"), ("latin-1", "latin-1")]
)
def test_every_encoding_reads_what_is_written_in_it(encoding, how):
    content = ("\ufeff" if encoding == "utf-16-be" else "") + f"{','.join(HEADER)}\n{AT},Übersicht,1,2,3\n"
    rows = read(io.BytesIO(content.encode(encoding)), replace(PLAIN, encoding=how), ZONE)
    assert (list(rows.words), rows.faults) == (["Übersicht"], [])


def test_bytes_that_are_not_of_the_encoding_are_told_where_they_stand():
    rows = read(file(f"{AT},P,1,2,3", f"{AT},Übersicht,1,2,3", encoding="latin-1"), PLAIN, ZONE)
    assert told(rows) == [(3, "2: what", "the byte 0xDC is not UTF-8")]
    rows = read(io.BytesIO(file(f"{AT},P,1,2,3").getvalue() + b"\xff"), replace(PLAIN, encoding="utf-16"), ZONE)
    assert rows.faults


@pytest.mark.parametrize(("head", "encoding"), [(b"\xef\xbb\xbfa", "utf-8"), (b"\xff\xfea", "utf-16"), (b"\xfe\xffa", "utf-16"), (b"when", ""), (b"", "")])
def test_a_mark_at_the_begin_tells_the_encoding(head, encoding):
    assert marked(head) == encoding


def test_a_quote_that_is_never_closed_breaks_the_file_off():
    rows = found(f"{AT},P,1,2,3", f'{AT},"P,1,2,3')
    assert [one.row for one in rows.faults] == [0]
    assert "breaks off after 1 readings" in rows.faults[0].says


def test_a_file_without_rows_and_one_of_too_many_are_told(monkeypatch):
    assert [one.row for one in found().faults] == [0]
    monkeypatch.setattr(reading, "MOST_ROWS", 2)
    assert told(found(*[f"{AT},P,1,2,3"] * 3)) == [(4, "", "the file has more than 2 rows")]


def test_a_column_of_too_many_words_is_no_mode():
    rows = found(*(f"{AT},{number},1,2,3" for number in range(61)))
    assert told(rows) == [(62, "2: what", "'60' is one word more than 60")]


def test_a_sample_is_shown_without_what_no_page_can_show():
    assert sample(io.BytesIO(b"a,b\x00\n1,\xff\n"), "utf-8", "comma", 0) == [["a", "b\ufffd"], ["1", "\ufffd"]]
    assert sample(io.BytesIO(b'a,"b"c\n'), "utf-8", "comma", 0) == []
    assert readable("\x1b[1m a ") == "\ufffd[1m a"


CELLS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), min_size=1, max_size=8).map(str.strip)


@given(
    st.sampled_from(list(DELIMITERS)),
    st.sampled_from(["utf-8", "utf-16"]),
    st.booleans(),
    st.lists(st.tuples(st.integers(700_000_000, 4_000_000_000), CELLS, st.integers(-99_999_999, 99_999_999)), min_size=1, max_size=9),
)
def test_what_any_layout_writes_it_reads_back(delimiter, encoding, comma, rows):
    how = How(encoding, delimiter, 0, ("t", "m", "v"), comma, 0, "epoch", "", 1, NOWHERE, None, 2)
    text = io.StringIO(newline="")
    out = csv.writer(text, delimiter=DELIMITERS[delimiter])
    out.writerow(how.header)
    out.writerows((at, word, f"{value / 1000:.3f}".replace(".", "," if comma else ".")) for at, word, value in rows)
    back = read(io.BytesIO(text.getvalue().encode(encoding)), how, ZONE)
    assert back.faults == []
    assert list(back.at) == [at * 1000 for at, _, _ in rows]
    assert list(back.value) == [value / 1000 for _, _, value in rows]
