"""One fault is one problem: what follows from it, and what says it again, is not listed."""

import io
import json
import os

import pytest
from django.core.management import CommandError, call_command

from records.ledger.models import Entry
from tests.register import changed, loaded, places, register, row, write

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("bad", ["P1\0", "P 1", "", "x" * 3000])
def test_an_identifier_that_cannot_be_read_is_the_only_problem(tmp_path, bad):
    assert places(loaded(tmp_path, changed("people", "P1", person=bad))) == [("people.csv", 2, "person")]


def test_a_rule_set_that_cannot_be_read_is_the_only_problem(tmp_path):
    tables = register()
    for one in tables["rules"]:
        one["rule_set"] = "ho use"
    assert places(loaded(tmp_path, tables)) == [("rules.csv", 2, "rule_set"), ("rules.csv", 3, "rule_set")]


@pytest.mark.parametrize(("right", "wrong"), [("people", "persons"), ("rules", "Rules"), ("enquiries", "enquiry")])
def test_what_a_file_of_another_name_may_hold_is_not_called_unknown(tmp_path, right, wrong):
    tables = register()
    tables[wrong] = tables.pop(right)
    assert places(loaded(tmp_path, tables)) == [(f"{wrong}.csv", 0, "")]


def test_what_the_second_file_of_a_register_may_hold_is_not_called_unknown(tmp_path):
    folder = write(tmp_path, changed("people", "P1", person="P7"))
    (folder / "people.CSV").write_bytes(b"person,name\r\nP7,Ana\r\n")
    assert places(loaded(folder, {})) == [("people.csv", 0, "")]


def test_what_is_in_no_file_at_all_is_still_unknown(tmp_path):
    tables = register()
    del tables["courses"]
    found = places(loaded(tmp_path, tables))
    assert found == [("awards.csv", line, "course") for line in (2, 3, 4, 5)]


def test_beside_a_file_of_another_name_what_the_files_lack_is_unknown(tmp_path):
    tables = changed("awards", "A1", course="C9")
    tables["persons"] = tables.pop("people")
    assert places(loaded(tmp_path, tables)) == [("persons.csv", 0, ""), ("awards.csv", 2, "course")]


def refused(folder):
    """The files and problems that the command prints as JSON, when it ends with status 2."""
    out = io.StringIO()
    with pytest.raises(CommandError) as ended:
        call_command("load", str(folder), "--json", stdout=out, stderr=io.StringIO())
    assert ended.value.returncode == 2
    return [(problem["file"], problem["problem"]) for problem in json.loads(out.getvalue())["problems"]]


def test_a_file_whose_name_is_not_utf_8_is_named_with_its_bytes_escaped(tmp_path):
    folder = write(tmp_path / "folder", {"people": register()["people"]})
    (folder / os.fsdecode(b"bad\xff.csv")).write_bytes(b"")
    ((file, says),) = refused(folder)
    assert (file, "is not a register" in says) == ("bad\\xff.csv", True)


def test_a_folder_whose_name_is_not_utf_8_is_loaded_under_its_name_escaped(tmp_path):
    loaded(tmp_path / os.fsdecode(b"bad\xff"), {"people": register()["people"]})
    assert Entry.objects.get(act="folder.load").subject_id == "bad\\xff"


def test_only_regular_files_are_read(tmp_path):
    folder = write(tmp_path / "folder", {"awards": [row(register(), "awards", "A1")], "courses": register()["courses"]})
    os.mkfifo(folder / "people.csv")
    (folder / "sites.csv").symlink_to(tmp_path / "nowhere")
    says = "it is not a regular file: a file of text was expected"
    assert refused(folder) == [("people.csv", says), ("sites.csv", says)]


def test_an_empty_folder_is_named_even_where_it_is_called_by_a_dot(tmp_path, monkeypatch):
    (tmp_path / "folder").mkdir()
    monkeypatch.chdir(tmp_path / "folder")
    assert [file for file, _ in refused(".")] == ["folder"]
