"""Registers go out, and what went out comes back the same."""

import csv
import io
import tempfile
from errno import ENOSPC
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from locates.permits.models import Permit, SignOff
from records.exchange.catalogue import tables
from records.exchange.writing import SNAPSHOT, UNFINISHED, NoFolder, export
from records.firm.models import Person
from records.ledger.models import Entry
from tests.register import AT, loaded, register, says

pytestmark = pytest.mark.django_db


def written(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.csv")}


def cells(folder, file):
    with (folder / file).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.fixture
def exported(tmp_path):
    """The register, loaded, with a signed permit, and exported."""
    assert says(loaded(tmp_path / "in", register())) == ""
    SignOff.objects.create(
        permit_id="G1", meaning="issue", person_id="P2", printed_name="Bo Lind", signed_at=AT, recorded_at=AT, verdict='{"blocks":[]}', digest="d" * 64
    )
    export(tmp_path / "out")
    return tmp_path / "out"


def test_every_register_is_written_in_the_format_s_order_of_columns(exported):
    headers = {name: data.split(b"\r\n")[0].decode() for name, data in written(exported).items()}
    assert headers == {file: ",".join(column.name for column in table.columns) for file, table in tables().items()} | {
        "signed/sign_offs.csv": "permit,meaning,person,printed_name,signed_at,declaration,digest"
    }


def test_what_was_exported_is_no_change_to_what_is_stored(exported):
    done = loaded(exported, {})
    assert (says(done), sum(done.written.values()), done.skipped) == ("", 0, ("signed",))


def test_instants_are_in_the_site_s_offset_or_in_utc(exported):
    assert [row["valid_from"] for row in cells(exported, "permits.csv")][:2] == ["2027-03-05T07:00:00+13:00", "2027-03-05T07:00:00-10:00"]
    assert cells(exported, "checks.csv")[0]["checked_at"] == "2027-03-03T17:50:00+00:00"


def test_rows_are_sorted_by_code_point_and_lists_too(tmp_path):
    people = [{"person": person, "name": "x"} for person in ("b", "a.1", "B", "a-1", "_", "a_1", "10", "9", "a1")]
    loaded(tmp_path / "in", {"people": people})
    export(tmp_path / "out")
    found = [row["person"] for row in cells(tmp_path / "out", "people.csv")]
    assert found == sorted(found) == ["10", "9", "B", "_", "a-1", "a.1", "a1", "a_1", "b"]


def test_signatures_are_written_for_reading(exported):
    row = cells(exported, "signed/sign_offs.csv")[0]
    assert (row["permit"], row["person"], row["signed_at"], row["digest"]) == ("G1", "P2", "2027-04-01T21:00:00+13:00", "d" * 64)


def test_awkward_text_comes_back_as_it_was(tmp_path):
    text = 'say "so",\r\nthen\rgo; =1+1 \u2028 \U0001f6a7 e\u0301'
    loaded(tmp_path / "in", {"people": [{"person": "P1", "name": text}]})
    export(tmp_path / "out")
    assert Person.objects.get().name == text.replace("e\u0301", "\u00e9")
    assert loaded(tmp_path / "out", {}).written["people.csv"] == 0


def test_an_export_writes_over_one_before(exported):
    before = written(exported)
    Permit.objects.filter(pk="G2").update(work="another pole")
    export(exported)
    assert {name for name, data in written(exported).items() if data != before[name]} == {"permits.csv"}


@pytest.mark.parametrize("stranger", ["notes.txt", "accounts.csv", "signed/letter.csv"])
def test_an_export_touches_no_folder_with_other_files(tmp_path, stranger):
    (tmp_path / "out" / "signed").mkdir(parents=True)
    (tmp_path / "out" / stranger).write_text("mine")
    with pytest.raises(CommandError, match="holds other files") as ended:
        call_command("export", str(tmp_path / "out"))
    assert (ended.value.returncode, len(list((tmp_path / "out").rglob("*.*")))) == (2, 1)


def test_an_export_into_a_place_that_is_none_is_a_wrong_call(tmp_path):
    (tmp_path / "file").write_text("")
    for target in (tmp_path / "file", tmp_path / "file" / "under"):
        with pytest.raises(CommandError) as ended:
            call_command("export", str(target))
        assert ended.value.returncode == 2


def test_nothing_is_left_beside_an_export(exported):
    assert sorted(path.name for path in exported.parent.iterdir()) == ["in", "out"]


def no_room(path, **words):
    """A disk that is full when all but the last file is written."""
    if path.name == "signed":
        raise OSError(ENOSPC, "No space left on device")


def test_an_export_that_finds_no_room_leaves_the_one_before_as_it_was(exported, monkeypatch):
    before = written(exported)
    Permit.objects.filter(pk="G2").update(work="another pole")
    monkeypatch.setattr(Path, "mkdir", no_room)
    with pytest.raises(NoFolder, match="No space left"):
        export(exported)
    assert written(exported) == before


def test_files_are_made_in_the_folder_itself_so_that_only_names_change_at_the_end(exported, monkeypatch):
    made, temporary = [], tempfile.TemporaryDirectory
    monkeypatch.setattr(tempfile, "TemporaryDirectory", lambda **words: made.append(words["dir"]) or temporary(**words))
    export(exported)
    export(exported.parent / "new")
    assert made == [exported, exported.parent]


def test_what_an_export_left_that_was_cut_off_is_in_nobody_s_way(exported):
    (exported / f"{UNFINISHED}x" / "signed").mkdir(parents=True)
    (exported / f"{UNFINISHED}x" / "people.csv").write_text("half")
    export(exported)
    assert says(loaded(exported, {})) == ""


def test_an_export_writes_no_history(exported):
    before = Entry.objects.count()
    export(exported)
    assert Entry.objects.count() == before


def test_the_command_says_how_many(exported):
    out = io.StringIO()
    call_command("export", str(exported), stdout=out)
    assert "permits.csv: 3 records\n" in out.getvalue()


def test_both_databases_give_a_view_of_one_moment():
    assert connection.vendor in SNAPSHOT
