"""Comma-separated text: RFC 4180 and no looser."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as some

from records.rules import csvtext
from records.rules.csvtext import Malformed, records


def read(text):
    return list(records(io.StringIO(text, newline="")))


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("", []),
        ("a,b\n", [["a", "b"]]),
        ("a,b\r\nc,d", [["a", "b"], ["c", "d"]]),
        ("a,b\rc,d\r", [["a", "b"], ["c", "d"]]),
        ("a\n\nb\n", [["a"], [], ["b"]]),
        ('"a,""b""\r\nc",d\n', [['a,"b"\r\nc', "d"]]),
        ('"",\n', [["", ""]]),
        (",\n", [["", ""]]),
    ],
)
def test_it_reads(text, cells):
    assert read(text) == cells


@pytest.mark.parametrize(
    ("text", "cell"),
    [('a,b"c"\n', 1), ('a,"b"c\n', 1), ('a, "b"\n', 1), ('"a" ,b\n', 0), ('a,b,""c"\n"\n', 2)],
)
def test_a_quote_out_of_place_is_told_with_its_cell(text, cell):
    found = read(text)[0]
    assert (type(found), found.cell) == (Malformed, cell)
    assert "expected" in found.says


def test_reading_goes_on_after_a_quote_out_of_place():
    assert read('a"b"c\nd\n')[1] == ["d"]


def test_a_quote_never_closed_is_told_where_it_opened():
    found = read('a,b\nc,"d\ne,f\n')
    assert (found[0], found[1].cell, len(found)) == (["a", "b"], 1, 2)


def test_a_quote_never_closed_is_given_up_before_the_memory_is(monkeypatch):
    monkeypatch.setattr(csvtext, "LONGEST_RECORD", 100)
    lines = iter(['"a\n', *["b\n"] * 1000])
    assert len(list(records(lines))) == 1
    assert len(list(lines)) > 900


def test_a_row_that_does_not_end_is_given_up_in_the_cell_it_came_to(monkeypatch):
    monkeypatch.setattr(csvtext, "LONGEST_RECORD", 100)
    found = list(records([f"{'x' * 97},b\n", f"{'x' * 98},b\n", "c,d\n"]))
    assert (found[0][1], found[1].cell, len(found)) == ("b", 1, 2)
    assert "more than 100 characters" in found[1].says


@given(some.lists(some.lists(some.text(some.characters(codec="utf-8")), min_size=2, max_size=4), min_size=1, max_size=4))
def test_what_the_library_writes_is_read_the_same(rows):
    file = io.StringIO(newline="")
    csv.writer(file, lineterminator="\r\n").writerows(rows)
    assert read(file.getvalue()) == rows
