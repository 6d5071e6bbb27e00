"""Needs of owners, ratings and agreements: through the file's door and the page's."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from locates.owners.models import OwnerAgreement, OwnerNeed, Rating
from records.exchange.entering import enter
from records.firm.models import RuleSet
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests import cast
from tests.elsewhere import agreement
from tests.register import changed, loaded, places, register, row, says

pytestmark = pytest.mark.django_db
NEED, AG1, AG2 = "2026-01-01/high-voltage", "AG1", "AG2"
LIFTED = "2027-03-01/gas-mains"
NEW = {
    "agreement": "AG-7",
    "site": "S-1",
    "service_owner": "Northline Power",
    "service": "V-1",
    "agreed": ["consult", "isolate"],
    "agreed_with": "Ro Hart",
    "person": "P-ISS",
    "agreed_at_day": "2027-03-04",
    "agreed_at_time": "07:30",
    "reference_no": "NP 31",
    "conditions": "No plant over the cable.",
    "good_from": "2027-03-04",
    "good_through": "2027-03-06",
}


def test_the_register_comes_in_whole(tmp_path):
    assert says(loaded(tmp_path, register())) == ""
    assert [str(one) for one in OwnerNeed.objects.order_by("pk")] == [f"house/{name}" for name in (NEED, "2026-01-01/gas-mains", LIFTED)]
    assert (Rating.objects.get(pk="VP1").pressure_bar, OwnerAgreement.objects.get(pk="AG1").agreed) == (7.5, ("attend", "consult"))


FAULTS = [
    ("owner_needs", NEED, {"rule_set": "default"}, "rule_set"),
    ("owner_needs", NEED, {"rule_set": "nowhere"}, "rule_set"),
    ("owner_needs", NEED, {"within_m": "50.001"}, "within_m"),
    ("owner_needs", NEED, {"within_m": "-0.001"}, "within_m"),
    ("owner_needs", NEED, {"within_m": "2.0001"}, "within_m"),
    ("owner_needs", NEED, {"within_m": ""}, "within_m"),
    ("owner_needs", NEED, {"blocks": ""}, "blocks"),
    ("owner_needs", NEED, {"blocks": "maybe"}, "blocks"),
    ("owner_needs", NEED, {"source": ""}, "source"),
    ("owner_needs", NEED, {"needed": "ask"}, "needed"),
    ("owner_needs", NEED, {"methods": "bore;spoon"}, "methods"),
    ("owner_needs", NEED, {"utility": "gas"}, "above_kv"),
    ("owner_needs", NEED, {"utility": ""}, "above_kv"),
    ("owner_needs", NEED, {"above_kv": "1500.001"}, "above_kv"),
    ("owner_needs", "2026-01-01/gas-mains", {"utility": "telecom"}, "above_bar"),
    ("owner_needs", "2026-01-01/gas-mains", {"utility": ""}, "above_bar"),
    ("owner_needs", LIFTED, {"within_m": "1"}, "within_m"),
    ("owner_needs", LIFTED, {"blocks": "yes"}, "blocks"),
    ("owner_needs", LIFTED, {"utility": "gas"}, "utility"),
    ("service_ratings", "VP1", {"pressure_bar": ""}, "voltage_kv"),
    ("service_ratings", "VP1", {"pressure_bar": "500.001"}, "pressure_bar"),
    ("service_ratings", "VP1", {"note": ""}, "note"),
    ("owner_agreements", AG1, {"agreed": ""}, "agreed"),
    ("owner_agreements", AG1, {"service": "V2"}, "utility"),
    ("owner_agreements", AG1, {"good_through": "2027-03-03"}, "good_through"),
    ("owner_agreements", AG1, {"good_from": "2027-03-01", "good_through": "2027-03-02"}, "good_through"),
    ("owner_agreements", AG1, {"good_through": "2028-03-05"}, "good_through"),
    ("owner_agreements", AG1, {"proved_by": "Lu", "proved_at": "2027-03-04T06:00:00+13:00"}, "proved_at"),
    ("owner_agreements", AG1, {"withdrawn_on": "2027-03-02", "withdrawn_because": "changed their mind"}, "withdrawn_on"),
    ("owner_agreements", AG1, {"withdrawn_on": "2027-03-05"}, "withdrawn_because"),
    ("owner_agreements", AG2, {"service": "V2"}, "service"),
    ("owner_agreements", AG2, {"service_owner": "Northern Gas"}, "service"),
    ("owner_agreements", AG2, {"proved_by": ""}, "proved_by"),
    ("owner_agreements", AG2, {"proved_at": "2027-03-02T23:59:59-10:00"}, "proved_at"),
    ("owner_agreements", AG2, {"proved_at": "2027-03-06T00:00:00-10:00"}, "proved_at"),
    ("owner_agreements", AG2, {"area": "POLYGON ((0 0, 10 10, 10 0, 0 10, 0 0))"}, "area"),
]
FITS = [
    ("owner_needs", NEED, {"within_m": "50", "above_kv": "1500"}),
    ("owner_needs", NEED, {"within_m": "0", "above_kv": "0"}),
    ("owner_agreements", AG1, {"good_from": "2027-03-04", "good_through": "2028-03-04"}),
    ("owner_agreements", AG1, {"good_from": "2027-03-01", "good_through": "2027-03-03"}),
    ("owner_agreements", AG1, {"withdrawn_on": "2027-03-03", "withdrawn_because": "changed their mind"}),
    ("owner_agreements", AG2, {"proved_at": "2027-03-03T00:00:00-10:00"}),
    ("owner_agreements", AG2, {"proved_at": "2027-03-05T23:59:59-10:00"}),
    ("owner_agreements", AG2, {"proved_at": "", "proved_by": ""}),
]


@pytest.mark.parametrize(("file", "id", "cells", "column"), FAULTS)
def test_a_row_that_cannot_be_is_told_of_at_its_column(tmp_path, file, id, cells, column):
    done = loaded(tmp_path, changed(file, id, **cells))
    assert {(where, told) for where, _, told in places(done)} == {(f"{file}.csv", column)}


@pytest.mark.parametrize(("file", "id", "cells"), FITS)
def test_what_just_fits_comes_in(tmp_path, file, id, cells):
    assert says(loaded(tmp_path, changed(file, id, **cells))) == ""


def test_a_stored_need_takes_a_later_row_and_no_edit(tmp_path):
    loaded(tmp_path / "in", register())
    need = register()["owner_needs"][0]
    assert places(loaded(tmp_path / "edit", {"owner_needs": [need | {"within_m": "2"}]})) == [("owner_needs.csv", 2, "within_m")]
    assert says(loaded(tmp_path / "later", {"owner_needs": [need | {"within_m": "2", "effective_from": "2027-04-02"}]})) == ""


FILLED = [
    ("owner_needs", NEED, {"service_owner": "Nobody at all"}),
    ("owner_needs", NEED, {"methods": "bore"}),
    ("owner_needs", NEED, {"utility": "electricity"}),
    ("owner_needs", NEED, {"utility": "electricity", "above_kv": "1500"}),
    ("owner_needs", NEED, {"utility": "gas", "above_bar": "500"}),
    ("owner_agreements", AG1, {"utility": "gas"}),
    ("owner_agreements", AG1, {"service": "V2"}),
    ("owner_agreements", AG1, {"area": "POLYGON ((500 500, 501 500, 501 501, 500 501, 500 500))"}),
]
ANY = {
    "owner_needs": {"utility": "", "service_owner": "", "methods": "", "above_kv": "", "above_bar": ""},
    "owner_agreements": {"utility": "", "service": "", "area": ""},
}


@pytest.mark.parametrize(("file", "id", "cells"), FILLED)
def test_a_blank_that_says_any_is_not_filled_later(tmp_path, file, id, cells):
    """Filling it would lift a need, or an agreement, from under what was signed."""
    tables = changed(file, id, **ANY[file])
    assert says(loaded(tmp_path / "in", tables)) == ""
    row(tables, file, id).update(cells)
    told = loaded(tmp_path / "then", {file: tables[file]})
    assert ({place[2] for place in places(told)}, "does not change (from blank" in says(told)) == (set(cells), True)


def test_a_proof_comes_later_and_a_withdrawal_too_and_nothing_else_changes(tmp_path):
    loaded(tmp_path / "in", changed("owner_agreements", AG2, proved_by="", proved_at="", withdrawn_on="", withdrawn_because=""))
    later = {"owner_agreements": [register()["owner_agreements"][1]]}
    assert says(loaded(tmp_path / "later", later)) == ""
    assert OwnerAgreement.objects.get(pk="AG2").withdrawn_on == date(2027, 3, 5)
    later["owner_agreements"][0]["good_through"] = "2027-03-06"
    assert places(loaded(tmp_path / "longer", later)) == [("owner_agreements.csv", 2, "good_through")]


MOVES = [
    (
        "sites",
        "S2",
        {"time_zone": "Pacific/Kiritimati"},
        {"good_through": "2027-03-03", "good_from": "2027-03-03", "proved_by": "", "proved_at": ""},
        "time_zone",
    ),
    ("enquiries", "E6", {"service_owner": "Reef Power"}, {}, "service_owner"),
    ("plan_services", "V6", {"enquiry": "E2"}, {}, "enquiry"),
]


@pytest.mark.parametrize(("file", "id", "cells", "agreed", "column"), MOVES)
def test_what_an_agreement_names_does_not_move_away_from_it(tmp_path, file, id, cells, agreed, column):
    tables = changed("owner_agreements", AG2, **agreed)
    tables["service_ratings"].pop()
    loaded(tmp_path / "in", tables)
    row = next(one for one in register()[file] if id in one.values())
    done = enter([(f"{file}.csv", [row | cells])], Actor("P9", "Ida Marsh"), cast.AT, why="misread", mending=True)
    assert ("agreement AG2 would no longer fit" in " ".join(one.says for one in done.problems), {one.column for one in done.problems}) == (True, {column})


def test_an_agreement_is_entered_by_whoever_enters_enquiries_there(scene, as_person):
    answered = as_person("P-ISS").post("/enter/owner-agreements/", NEW)
    assert answered.status_code == 302, answered.context["form"].errors
    made = OwnerAgreement.objects.get()
    assert (made.agreed, made.service_id, made.agreed_at, made.proved_at) == (("consult", "isolate"), "V-1", cast.AT.replace(hour=18), None)
    assert Entry.objects.get(kind="owneragreement").act == "owneragreement.recorded"


@pytest.mark.parametrize(("person", "slug", "status"), [("P-ISS", "owner-needs", 404), ("P-SAF", "owner-needs", 200), ("P-OPE", "owner-agreements", 404)])
def test_needs_are_the_office_s_and_agreements_the_supervisors_too(scene, as_person, person, slug, status):
    assert as_person(person).get(f"/enter/{slug}/").status_code == status
    assert as_person(person).get(f"/records/{slug}/").status_code == 200


def test_an_owner_takes_it_back_with_a_reason_owed(scene, as_person):
    agreement("AG-7", site_id="S-1", service_owner="Northline Power")
    client, page = as_person("P-ISS"), "/later/owner-agreements/AG-7/withdrawn_on/"
    given = {"withdrawn_on": "2027-03-05", "seen": client.get(page).context["seen"]}
    client.post(page, given)
    assert OwnerAgreement.objects.get().withdrawn_on is None
    client.post(page, given | {"withdrawn_because": "a feeder is out"})
    assert OwnerAgreement.objects.get().withdrawn_on == date(2027, 3, 5)


HELD = [
    {"agreed": ()},
    {"service_id": "V-1", "utility": "electricity"},
    {"good_through": date(2027, 3, 3)},
    {"proved_by": "Lu"},
    {"withdrawn_on": date(2027, 3, 5)},
    {"utility": "jelly"},
]


@pytest.mark.parametrize("cells", HELD)
def test_the_database_itself_refuses_an_agreement_that_cannot_be(scene, cells):
    with pytest.raises(IntegrityError), transaction.atomic():
        agreement("AG-7", **{"site_id": "S-1", "service_owner": "Northline Power"} | cells)


@pytest.mark.parametrize("cells", [{"within_m": None}, {"blocks": None}, {"within_m": 51}, {"needed": "nothing"}, {"source": ""}, {"utility": "jelly"}])
def test_the_database_itself_refuses_a_need_that_cannot_be(scene, cells):
    plain = {"need": "mains", "needed": "consult", "within_m": 3, "blocks": True, "source": "x", "effective_from": date(2027, 1, 1)}
    RuleSet.objects.create(rule_set="ours", recorded_at=cast.RECORDED)
    with pytest.raises(IntegrityError), transaction.atomic():
        OwnerNeed.objects.create(rule_set_id="ours", recorded_at=cast.RECORDED, **plain | cells)
