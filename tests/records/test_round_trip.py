"""Export, load into an empty database, export: the same bytes."""

import pytest
from django.db import connection

from locates.permits.guards import GUARDS as OF_PERMITS
from locates.permits.models import FollowUp, SignOff
from locates.recall.guards import GUARDS
from records.exchange.catalogue import tables
from records.exchange.writing import export
from records.firm.models import RuleSet
from records.ledger.triggers import lift_guards
from tests.register import AT, loaded, register, row, says

pytestmark = pytest.mark.django_db


def emptied():
    """As in a new database: no records but the reserved rule set."""
    lift_guards(connection, [guard for guard in OF_PERMITS if guard.table == FollowUp._meta.db_table])
    SignOff.objects.all().delete()
    lift_guards(connection, GUARDS)  # no decision is ever removed
    for table in reversed(tables().values()):  # from the top of the house down
        table.model.objects.all().delete()
    RuleSet.objects.exclude(pk="default").delete()


def exported(folder):
    export(folder)
    return {file: (folder / file).read_bytes() for file in tables() if (folder / file).exists()}


def round_trip(tmp_path):
    before = exported(tmp_path / "one")
    emptied()
    assert says(loaded(tmp_path / "one", {})) == ""
    return before, exported(tmp_path / "two")


def test_the_round_trip_gives_the_same_bytes(tmp_path):
    loaded(tmp_path / "in", register())
    before, after = round_trip(tmp_path)
    assert after == before
    assert {len(data.splitlines()) > 1 for data in before.values()} == {True}


def test_so_it_does_after_changes(tmp_path):
    loaded(tmp_path / "in", register())
    course = row(register(), "courses", "C2") | {"valid_months": "13"}
    award = row(register(), "awards", "A2") | {"expires_on": "2027-02-05", "withdrawn_on": "2026-02-01", "withdrawn_because": "x"}
    site = row(register(), "sites", "S2") | {"time_zone": "Asia/Kathmandu"}
    assert says(loaded(tmp_path / "then", {"courses": [course], "awards": [award], "sites": [site]})) == ""
    before, after = round_trip(tmp_path)
    assert after == before


@pytest.mark.parametrize("at", ["1900-01-01T00:00+14:00", "9998-12-31T23:59:59-12:00", "1900-01-01T00:00:30-23:59", "2027-03-04T07:30:01Z"])
@pytest.mark.parametrize("zone", ["Pacific/Auckland", "Pacific/Honolulu", "Europe/London"])
def test_so_it_does_at_the_ends_of_time(tmp_path, at, zone):
    tables = {name: register()[name] for name in ("sites", "people", "rules")}
    tables["sites"][0]["time_zone"] = zone
    tables["permits"] = [row(register(), "permits", "G2") | {"site": "S1", "valid_from": at, "valid_to": at}]
    assert says(loaded(tmp_path / "in", tables)) == ""
    before, after = round_trip(tmp_path)
    assert after == before


def test_the_signatures_stay_behind(tmp_path):
    loaded(tmp_path / "in", register())
    SignOff.objects.create(permit_id="G2", meaning="issue", person_id="P2", printed_name="Bo", signed_at=AT, recorded_at=AT, verdict='{"blocks":[]}')
    export(tmp_path / "one")
    assert loaded(tmp_path / "one", {}).skipped == ("signed",)
