"""A log brought in, step by step, in the browser without scripts."""

from datetime import timedelta

import pytest

from locates.logs import waiting
from locates.logs.models import Layout, Log
from records.files.facts import faults
from records.files.models import Attachment
from records.ledger.facts import walked as chain
from records.ledger.models import Entry
from tests import cast
from tests.logs.walked import COLUMNS, EVERYWHERE, HEADER, WRITTEN, chosen, kept, mapped, meanings, rows, text, token, upload

pytestmark = pytest.mark.usefixtures("scene")


def test_the_first_file_of_its_kind_is_mapped_and_kept_with_a_new_layout(as_person):
    client = as_person("P-OPE")
    assert chosen(client, text()).startswith("/logs/add/L-1/map/?file=")
    page = kept(client)
    assert page.redirect_chain[-1][0] == "/logs/LG-1/"
    assert list(Entry.objects.order_by("seq").values_list("act", flat=True)) == ["layout.told", "locate.file", "log.kept"]
    assert Layout.objects.get().reads.words == {"P50": "passive_power", "R": "passive_radio", "IND": "induction"}
    assert Log.objects.get().account.rows == 3 * len(EVERYWHERE)
    assert (list(faults()), chain().broken) == ([], None)


def test_the_next_file_with_that_header_is_read_by_its_layout(as_person):
    client = as_person("P-OPE")
    kept(client)
    where = chosen(client, text(rows(step=3)))
    assert where.startswith("/logs/add/L-1/read/") and where.endswith("layout=LY-1")
    page = client.get(where)
    assert "by layout" in page.content.decode() and not page.context["form"].fields
    assert client.post(where, {}).headers["Location"] == "/logs/LG-2/"
    assert Layout.objects.count() == 1


def test_a_word_that_the_layout_does_not_know_is_asked_for_and_kept_with_it(as_person):
    client = as_person("P-OPE")
    kept(client)
    where = chosen(client, text(rows(("P50", "-"))))
    page = client.get(where)
    assert page.context["form"].words == ["-"]
    assert "word_0" in client.post(where, {}).context["form"].errors
    client.post(where, {"word_0": "none"})
    assert Layout.objects.get().reads.words["-"] == ""
    assert Entry.objects.filter(act="layout.words").count() == 1


def test_nothing_is_written_before_the_last_step(as_person):
    client = as_person("P-OPE")
    client.get(mapped(client, text()))
    assert not Entry.objects.exists() and not Attachment.objects.exists() and not Layout.objects.exists()


def test_a_file_with_wrong_rows_is_told_by_row_and_column_and_not_kept(as_person):
    client = as_person("P-OPE")
    bad = text(["05/13/2027 07:30:00;P50;1;95;95", "05/03/2027 07:30:01;P50;x;95;95", "05/03/2027 07:30:02;P50;1;95;"])
    where = mapped(client, bad)
    page = client.get(where)
    assert [(one.row, one.column) for one in page.context["rows"].faults] == [(2, "1: when"), (3, "3: strength"), (4, "4: east")]
    client.post(where, meanings(page))
    assert not Log.objects.exists()


def test_how_times_are_written_and_by_which_clock_is_never_guessed(as_person):
    client = as_person("P-OPE")
    file = token(chosen(client, text()))
    asked = {"file": file} | WRITTEN | COLUMNS | {"time_form": "", "zone": ""}
    page = client.get("/logs/add/L-1/map/", asked)
    assert set(page.context["mapped"].columns.errors) == {"time_form"}
    page = client.get("/logs/add/L-1/map/", asked | {"time_form": "month_first"})
    assert set(page.context["mapped"].columns.errors) == {"zone"}
    page = client.get("/logs/add/L-1/map/", {"file": file})
    assert page.context["mapped"].columns["time_form"].value() is None


def test_a_zone_that_is_none_is_said_at_its_field(as_person):
    client = as_person("P-OPE")
    file = token(chosen(client, text()))
    asked = {"file": file} | WRITTEN | COLUMNS
    for zone, name in (("another", "Nowhere/Town"), ("another", ""), ("UTC", "Pacific/Auckland")):
        page = client.get("/logs/add/L-1/map/", asked | {"zone": zone, "zone_name": name})
        assert set(page.context["mapped"].columns.errors) == {"zone_name"}


def test_longitude_and_latitude_are_offered_only_where_the_grid_is_known_to_lie_on_the_earth(as_person):
    client = as_person("P-OPE")
    page = client.get("/logs/add/L-1/map/", {"file": token(chosen(client, text()))})
    assert [value for value, _ in page.context["mapped"].columns.fields["position"].choices] == ["", "site", "none"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_other_encodings_are_read_where_they_are_chosen(as_person, encoding):
    client = as_person("P-OPE")
    said = {"utf-8-sig": "utf-8"}.get(encoding, encoding)
    content = text(header=HEADER.replace("strength", "stärke")).encode(encoding)
    page = client.get(mapped(client, content, written=WRITTEN | {"encoding": said}))
    assert (page.context["rows"].faults, page.context["preview"].count) == ([], 3 * len(EVERYWHERE))


def test_a_mark_at_the_file_s_begin_proposes_its_encoding(as_person):
    client = as_person("P-OPE")
    page = client.get(chosen(client, text().encode("utf-16")))
    assert page.context["mapped"].written["encoding"].value() == "utf-16"
    assert page.context["mapped"].rows[0] == HEADER.split(";")


def test_an_empty_file_and_one_too_large_are_refused_at_the_field(as_person, monkeypatch):
    client = as_person("P-OPE")
    monkeypatch.setattr("locates.logs.forms.LARGEST", 10)
    for content in (b"", b"x" * 11):
        page = client.post("/logs/add/L-1/", {"file": upload(content)})
        assert "file" in page.context["form"].errors


def test_the_same_file_is_not_kept_twice_with_a_locate(as_person):
    client = as_person("P-OPE")
    kept(client)
    page = client.post(chosen(client, text()), {})
    assert "kept with the locate already, as LG-1" in page.content.decode()
    assert Log.objects.count() == 1


def test_a_file_waits_for_its_own_person_and_locate_alone_and_for_a_day(as_person, hands):
    mine, other = as_person("P-OPE"), as_person("P-SAF")
    where = chosen(mine, text())
    assert mine.get(where).status_code == 200
    assert other.get(where).headers["Location"] == "/logs/add/L-1/"
    assert mine.get(where.replace("file=", "file=x")).headers["Location"] == "/logs/add/L-1/"
    hands.at = cast.AT + timedelta(days=1, seconds=1)
    mine = as_person("P-OPE")
    chosen(mine, text(rows(step=5)))
    assert "waits no longer" in mine.get(where, follow=True).content.decode()
    assert len(list(waiting.folder().iterdir())) == 1


def test_a_long_name_in_any_script_keeps_the_address_short_enough_for_a_server(as_person):
    client = as_person("P-OPE")
    where = mapped(client, text(), name=f"{'журнал' * 40}.csv")
    assert len(where) < 4000
    assert client.get(where).context["one"].name.endswith("журналжу.csv")


def test_one_file_chosen_by_two_people_waits_for_each(as_person):
    mine, other = as_person("P-OPE"), as_person("P-SAF")
    where = mapped(other, text())
    kept(mine)
    assert other.get(where).status_code == 200


def test_what_was_kept_waits_no_longer(as_person):
    client = as_person("P-OPE")
    where = mapped(client, text())
    client.post(where, meanings(client.get(where)))
    assert Log.objects.exists() and list(waiting.folder().iterdir()) == []


def test_two_layouts_with_one_header_are_both_offered(as_person):
    client = as_person("P-OPE")
    kept(client)
    other = mapped(client, text(rows(step=4)), columns=COLUMNS | {"zone": "UTC"})
    client.post(other, meanings(client.get(other), "another"))
    where = chosen(client, text(rows(step=5)))
    page = client.get(where)
    assert where.startswith("/logs/add/L-1/map/") and [one.pk for one in page.context["known"]] == ["LY-2", "LY-1"]


def test_a_retired_layout_reads_no_more_files(as_person):
    kept(as_person("P-OPE"))
    office = as_person("P-SAF")
    office.post("/layouts/LY-1/retire/", {"why": "told wrong"})
    where = chosen(office, text(rows(step=4)))
    assert "/map/" in where
    assert office.get(where.replace("/map/", "/read/") + "&layout=LY-1").status_code == 404
    assert "retired: told wrong" in office.get("/layouts/").content.decode()
    assert office.get("/layouts/LY-1/retire/").status_code == 404


def test_a_layout_is_renamed_and_shown(as_person):
    kept(as_person("P-OPE"))
    office = as_person("P-SAF")
    office.post("/layouts/LY-1/rename/", {"name": "north office"})
    page = office.get("/layouts/LY-1/").content.decode()
    assert "<h1>north office</h1>" in page and "1: when" in page and "passive power" in page
    assert as_person("P-OPE").get("/layouts/LY-1/rename/").status_code == 404
