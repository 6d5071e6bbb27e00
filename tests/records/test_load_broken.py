"""Broken folders: each gives its listed problem, exit status 2, and a database as it was."""

import io
import json
import sys

import pytest
from django.core.management import CommandError, call_command

from locates.permits.models import Permit
from records.firm.models import Person, Site
from records.ledger.models import Entry
from tests.register import loaded, places, register, says, write

pytestmark = pytest.mark.django_db
PEOPLE = b"person,name\r\nP1,Ana\r\n"


def raw(folder, **files):
    """A folder of files with these bytes."""
    folder.mkdir(exist_ok=True)
    for name, data in files.items():
        (folder / name.replace("_csv", ".csv")).write_bytes(data)
    return folder


def refused(folder):
    """The problems that the command prints as JSON, when it ends with status 2 and nothing is written."""
    out = io.StringIO()
    with pytest.raises(CommandError) as ended:
        call_command("load", str(folder), "--json", stdout=out, stderr=io.StringIO())
    assert (ended.value.returncode, Site.objects.count(), Person.objects.count(), Permit.objects.count(), Entry.objects.count()) == (2, 0, 0, 0, 0)
    said = json.loads(out.getvalue())
    assert said["written"] == {}
    return [(problem["file"], problem["row"], problem["column"], problem["problem"]) for problem in said["problems"]]


BROKEN = {
    "a wrong column": (b"person,name,nickname\nP1,Ana,An\n", 1, "nickname", "'nickname' is not a column of people.csv"),
    "a doubled column": (b"person,name,name\nP1,Ana,Ana\n", 1, "name", "more than once"),
    "a column without a name": (b"person,name,\nP1,Ana,\n", 1, "cell 3", "'' is not a column"),
    "columns without a name": (b"person,,name,\nP1,,Ana,\n", 1, "cell 2", "'' is not a column of people.csv, 2 times"),
    "a wrong column, doubled": (b"person,nick,name,nick\nP1,,Ana,\n", 1, "nick", "'nick' is not a column of people.csv, 2 times"),
    "no identifying column": (b"name\nAna\n", 1, "person", "the column is missing"),
    "no starred column": (b"person\nP1\nP2\n", 1, "name", "P1 in row 2 is a new record"),
    "a bad date": (b"person,name,left_on\nP1,Ana,2027-02-29\n", 2, "left_on", "'2027-02-29' is not in the calendar"),
    "a date too early": (b"person,name,left_on\nP1,Ana,1899-12-31\n", 2, "left_on", "out of range"),
    "a duplicate identifier": (b"person,name\nP1,Ana\nP2,Bo\nP1,Ana\n", 4, "person", "P1 is in row 2 already"),
    "a 10 MB field": (b"person,name\nP1," + b"x" * 10_000_000 + b"\n", 2, "name", "it has 10000000 characters: 1 to 2000 were expected"),
    "a quoted 10 MB field": (b'person,name\nP1,"' + b"x\n" * 5_000_000 + b'"\n', 2, "name", "it has 9999999 characters"),
    "a row without an end": (b"person,name\nP1," + b"x" * 17_000_000, 2, "name", "more than 16000000 characters"),
    "a NUL byte": (b"person,name\nP1,A\0na\n", 2, "name", "U+0000"),
    "a tab": (b"person,name\nP1,Ana\tOrr\n", 2, "name", "U+0009"),
    "a formula in a date": (b"person,name,left_on\nP1,Ana,=TODAY()\n", 2, "left_on", "'=TODAY()' is not a date"),
    "Latin-1 bytes": ("person,name\nP1,André\n".encode("latin-1"), 2, "name", "the byte 0xE9 is not UTF-8"),
    "Latin-1 bytes in the header": ("person,name,prénom\nP1,Ana,x\n".encode("latin-1"), 1, "pr\\udce9nom", "the byte 0xE9 is not UTF-8"),
    "a row too short": (b"person,name\nP1\n", 2, "", "the row has 1 cells: 2 were expected"),
    "a row too long": (b"person,name\nP1,Ana,x\n", 2, "", "the row has 3 cells: 2 were expected"),
    "a quote within a cell": (b'person,name\nP1,5" pipe" Ana\nP2,Bo\n', 2, "name", "a quote stands where none may"),
    "a quote never closed": (b'person,name\nP1,Ana\nP2,"Bo\nP3,Cy\n', 3, "name", "never closed"),
    "a blank starred cell": (b"person,name\nP1,\xc2\xa0\n", 2, "name", "the cell is blank"),
    "a blank identifier": (b"person,name\n,Ana\n", 2, "person", "the cell is blank"),
    "an identifier with a space": (b"person,name\nP 1,Ana\n", 2, "person", "'P 1' is not an identifier"),
    "an identifier too long": (b"person,name\n" + b"P" * 41 + b",Ana\n", 2, "person", "is not an identifier"),
    "an empty file": (b"", 1, "person", "the column is missing"),
    "a file in UTF-16": ("person,name\nP1,Ana\n".encode("utf-16"), 1, "person", "the column is missing"),
}


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_register_gives_its_problem(tmp_path, what):
    data, line, column, text = BROKEN[what]
    found = refused(raw(tmp_path / "folder", people_csv=data))
    assert [problem[:3] for problem in found if text in problem[3]] == [("people.csv", line, column)], found


@pytest.mark.parametrize("what", sorted(set(BROKEN) - {"a file in UTF-16", "an empty file"}))
def test_and_no_other_problem(tmp_path, what):
    assert len(refused(raw(tmp_path / "folder", people_csv=BROKEN[what][0]))) == 1


def test_a_file_without_its_identifying_column_is_read_all_the_same(tmp_path):
    found = refused(raw(tmp_path / "folder", people_csv=b"persons,name,left_on\nP1,Ana,2027-02-29\nP2,,\n"))
    assert [problem[1:3] for problem in found] == [(1, "persons"), (1, "person"), (2, "left_on"), (3, "name")]


def test_a_file_without_any_column_that_is_known_is_not_read_on(tmp_path):
    found = refused(raw(tmp_path / "folder", people_csv=b"person;name\nP1;Orr, Ana\n"))
    assert [problem[1:3] for problem in found] == [(1, "person;name"), (1, "person")]


def test_a_header_of_nothing_but_commas_has_two_problems(tmp_path):
    found = refused(raw(tmp_path / "folder", people_csv=b"," * 1_000_000))
    assert [problem[:3] for problem in found] == [("people.csv", 1, "cell 1"), ("people.csv", 1, "person")]


def test_a_byte_order_mark_is_no_problem(tmp_path):
    call_command("load", str(raw(tmp_path / "folder", people_csv=b"\xef\xbb\xbf" + PEOPLE)), stdout=io.StringIO())
    assert Person.objects.get().name == "Ana"


def test_a_formula_in_free_text_is_text(tmp_path):
    call_command("load", str(raw(tmp_path / "folder", people_csv=b"person,name\nP1,=1+1\n")), stdout=io.StringIO())
    assert Person.objects.get().name == "=1+1"


def test_an_unknown_person_is_named_with_its_place(tmp_path):
    tables = register()
    tables["awards"][2]["person"] = "P9"
    assert says(loaded(tmp_path, tables)) == "awards.csv:4: person: person 'P9' is not known: one that is in the folder or stored already was expected"


def test_empty_lines_are_skipped_but_counted(tmp_path):
    folder = raw(tmp_path / "folder", people_csv=b'\xef\xbb\xbfperson,name,left_on\n\n\r\nP1,"A\nna",\n\nP2,Bo,x\n')
    assert [problem[:3] for problem in refused(folder)] == [("people.csv", 6, "left_on")]


def test_columns_may_stand_in_any_order_and_values_in_white_space(tmp_path):
    loaded(tmp_path / "folder", {"people": [{"\u2003name ": "\u00a0A\u030angstro\u0308m  ", "person": "\tP1 "}]})
    assert Person.objects.get(pk="P1").name == "\u00c5ngstr\u00f6m"


@pytest.mark.parametrize("name", ["persons.csv", "People.csv", "PEOPLE.CSV", ".csv", "~people.csv"])
def test_a_csv_file_of_another_name_is_an_error(tmp_path, name):
    folder = raw(tmp_path / "folder", people_csv=PEOPLE)
    (folder / name).write_bytes(PEOPLE)
    assert [problem[:3] for problem in refused(folder)] == [(name, None, "")]


def test_the_ending_may_be_in_any_case_but_there_once(tmp_path):
    folder = raw(tmp_path / "folder", **{"people.CSV": PEOPLE})
    assert says(loaded(folder, {})) == ""
    (folder / "people.csv").write_bytes(PEOPLE)
    assert places(loaded(folder, {})) == [("people.csv", 0, "")]


def test_a_folder_without_registers_is_an_error(tmp_path):
    assert "the folder holds no register" in refused(raw(tmp_path / "folder", **{"notes.txt": b""}))[0][3]


def test_what_is_not_read_is_named(tmp_path):
    folder = write(tmp_path / "folder", {"people": register()["people"]})
    (folder / "signed.csv").mkdir()
    (folder / "notes.txt").write_text("")
    assert loaded(folder, {}).skipped == ("notes.txt", "signed.csv")


def test_a_folder_that_is_not_there_is_a_problem_of_the_folder(tmp_path):
    nowhere = str(tmp_path / "nowhere")
    assert refused(nowhere) == [(nowhere, None, "", "it is not a folder that can be read (No such file or directory): a folder of registers was expected")]


def test_the_command_lists_problems_as_file_row_column(tmp_path):
    out = io.StringIO()
    with pytest.raises(CommandError, match=r"nothing was written: 1 problem$"):
        call_command("load", str(raw(tmp_path / "folder", people_csv=b"person,name,roles\nP1,Ana,boss\n")), stdout=out)
    assert out.getvalue() == "people.csv:2: roles: 'boss' is not known here: one of operator, supervisor, safety_manager was expected\n"


def test_an_output_that_knows_no_accents_is_told_in_escapes(tmp_path, monkeypatch):
    out = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", out)
    with pytest.raises(CommandError, match="nothing was written"):
        call_command("load", str(raw(tmp_path / "folder", people_csv="person,name,roles\nP1,Ana,chéf\n".encode())))
    out.flush()
    assert b"'ch\\xe9f' is not known" in out.buffer.getvalue()


def test_a_line_of_the_list_shows_nothing_that_a_terminal_would_obey(tmp_path):
    out = io.StringIO()
    with pytest.raises(CommandError):
        call_command("load", str(raw(tmp_path / "folder", **{"x\x1b[31m.csv": PEOPLE})), stdout=out)
    assert "\x1b" not in out.getvalue()
