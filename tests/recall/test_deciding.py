"""What is live is suspended, and what rested on a thing in doubt is decided on: by whom, how, and what stays of it."""

import re
from csv import DictReader
from datetime import timedelta
from html import unescape
from io import StringIO

import pytest
from django.db import IntegrityError, transaction

from locates.instruments.models import Check
from locates.life.models import Step
from locates.recall.models import Decision
from locates.surveys.models import Locate, Sweep, WrongPlan
from records.ledger.facts import signature_faults
from records.ledger.models import Entry
from records.letters.models import Letter
from tests import cast
from tests.elsewhere import OF
from tests.recall.doing import PAGE, decided, found_out, signed, suspend

pytestmark = pytest.mark.django_db


def test_the_safety_manager_suspends_all_that_is_live_at_one_tap_and_their_people_are_told(scene, as_person):
    for name in ("PD-1", "PD-2", "PD-3"):
        signed(name)
    suspend("PD-2")
    found_out()
    client = as_person("P-SAF")
    assert "Suspend all 2 live permits" in client.get(PAGE).content.decode()
    assert client.post(f"{PAGE}suspend/").status_code == 302
    assert {one.word for one in client.get(PAGE).context["lines"] if one.kind == "Permit"} == {"Suspended"}
    last = Step.objects.filter(act="forbid").order_by("permit")
    assert [(one.permit_id, one.person_id) for one in last] == [("PD-1", "P-SAF"), ("PD-3", "P-SAF")]
    assert last[0].why.endswith("Found out of tolerance on 4 Mar 2027 by Bench and Bridge (calibration K-BAD).")
    told = Letter.objects.filter(subject="Permit PD-1 was stopped").values_list("person_id", flat=True)
    assert set(told) == {"P-ISS", "P-REC", "P-CR1", "P-CR2", "P-OPE"}
    assert list(signature_faults()) == []


def test_a_second_tap_does_nothing_more(scene, as_person):
    signed()
    found_out()
    client = as_person("P-SAF")
    for _ in range(2):
        client.post(f"{PAGE}suspend/")
    assert Step.objects.count() == 1


@pytest.mark.parametrize("person", ["P-ISS", "P-OPE", "P-CR1"])
def test_nobody_else_suspends_them_all(scene, as_person, person):
    signed()
    found_out()
    assert as_person(person).post(f"{PAGE}suspend/").status_code == 404
    assert not Step.objects.exists()


def test_issuer_and_receiver_are_led_to_where_they_suspend_it(scene, as_person):
    signed()
    found_out()
    assert "/permits/PD-1/steps/suspend/" in as_person("P-ISS").get(PAGE).content.decode()
    assert "/permits/PD-1/steps/suspend/" not in as_person("P-OPE").get(PAGE).content.decode()


def test_the_safety_manager_suspends_any_permit_on_its_own_page(scene, as_person):
    signed()
    client = as_person("P-SAF")
    assert "/permits/PD-1/steps/forbid/" in client.get("/permits/PD-1/").content.decode()
    form = client.get("/permits/PD-1/steps/forbid/")
    client.post("/permits/PD-1/steps/forbid/", {"seen": form.context["seen"], "password": cast.PASSWORD, "why": "the road is closed"})
    assert Step.objects.get().printed_name == "Hana Petros"
    assert "/permits/PD-1/steps/forbid/" not in as_person("P-ISS").get("/permits/PD-1/").content.decode()
    signed("PD-2")
    with pytest.raises(IntegrityError), transaction.atomic():
        Step.objects.create(permit_id="PD-2", number=1, act="forbid", person_id="P-ISS", printed_name="x", done_at=cast.AT, declaration="x", why="x", **OF)


# deciding


def test_what_was_decided_stands_with_who_decided_it_and_in_the_history(scene, as_person):
    signed()
    suspend("PD-1")
    found_out()
    client = as_person("P-SAF")
    assert decided(client, "permit:PD-1", "locate:L-1", decided="locate_again").status_code == 302
    page = client.get(PAGE)
    assert [one.decisions[0][0::2] for one in page.context["lines"]] == [("To be located again", "Hana Petros")] * 2
    assert client.get("/recalls/").context["undecided"] == 0
    entries = Entry.objects.filter(act__endswith="recall_decided").order_by("seq")
    assert [(one.kind, one.subject_id, one.actor_name) for one in entries] == [("locate", "L-1", "Hana Petros"), ("permit", "PD-1", "Hana Petros")]
    assert {one.why for one in entries} == {"The owner is told; nothing was struck."}
    assert "recall decided" in client.get("/records/locates/L-1/").content.decode().lower()


def test_a_permit_that_may_be_dug_by_is_suspended_first(scene, as_person):
    signed()
    found_out()
    answered = decided(as_person("P-SAF"), "permit:PD-1", "locate:L-1")
    assert answered.status_code == 409
    assert "Anyone may still dig by PD-1: suspend it first." in answered.content.decode()
    assert not Decision.objects.exists()


def test_a_later_decision_takes_the_place_of_the_earlier_which_stays(scene, as_person):
    found_out()
    client = as_person("P-SAF")
    decided(client, "locate:L-1", decided="stands")
    decided(client, "locate:L-1", decided="locate_again", why="On second thoughts.")
    (line,) = client.get(PAGE).context["lines"]
    assert [one[0] for one in line.decisions] == ["To be located again", "Stands all the same"]
    assert Decision.objects.count() == 2


@pytest.mark.parametrize("person", ["P-ISS", "P-OPE"])
def test_only_the_office_decides(scene, as_person, person):
    found_out()
    assert decided(as_person(person), "locate:L-1").status_code == 404
    assert "Decide" not in as_person(person).get(PAGE).content.decode()


@pytest.mark.parametrize(
    ("of", "words"),
    [
        ((), {}),
        (("locate:L-9",), {}),
        (("person:P-OPE",), {}),
        (("locate:L-1",), {"why": "  "}),
        (("locate:L-1",), {"decided": "forget"}),
    ],
)
def test_a_decision_that_is_none_is_not_kept(scene, as_person, of, words):
    found_out()
    answered = decided(as_person("P-SAF"), *of, **words)
    assert (answered.status_code, Decision.objects.count()) == (400, 0)


def test_what_was_marked_and_written_stays_when_it_comes_back(scene, as_person):
    found_out()
    page = decided(as_person("P-SAF"), "locate:L-1", decided="").content.decode()
    assert 'value="locate:L-1" id="of-locate-L-1" checked' in page
    assert "The owner is told; nothing was struck." in page


# a case of several pages


@pytest.fixture
def two_by_two(scene, monkeypatch):
    """A case of three locates, the latest first, two on a page."""
    monkeypatch.setattr("locates.recall.views.PAGE", 2)
    for n in (2, 3):
        begun = {"started_at": cast.AT - timedelta(days=n), "finished_at": cast.AT - timedelta(days=n, hours=-1)}
        made = Locate.objects.create(locate=f"L-{n}", site_id="S-1", operator_id="P-OPE", receiver_id="I-R1", **begun, **OF)
        Sweep.objects.create(sweep=f"SW-{made.pk}", locate=made, technique="passive_power", area=cast.AROUND, **OF)
    found_out()


def decides_at(page):
    return unescape(re.search(r'action="([^"]*/decide/[^"]*)"', page.content.decode())[1])


def test_who_decides_on_the_second_page_stays_on_it_refused_or_done(two_by_two, as_person):
    client = as_person("P-SAF")
    address = decides_at(client.get(f"{PAGE}?all=yes&page=2"))
    refused = client.post(address, {"of": "locate:L-3", "why": "The owner is told."})
    assert (refused.status_code, [line.name for line in refused.context["lines"]]) == (400, ["L-3"])
    assert 'id="of-locate-L-3" checked' in refused.content.decode()
    done = client.post(decides_at(refused), {"of": "locate:L-3", "why": "The owner is told.", "decided": "stands"})
    assert (done.status_code, done.headers["Location"]) == (302, f"{PAGE}?all=yes&page=2")


def test_the_links_of_a_refused_decision_lead_to_the_case_s_pages(two_by_two, as_person):
    client = as_person("P-SAF")
    refused = client.post(f"{PAGE}decide/", {"why": "The owner is told."})
    assert 'href="?page=2"' in refused.content.decode()
    followed = client.get(f"{PAGE}decide/?page=2", follow=True)
    assert (followed.redirect_chain, [line.name for line in followed.context["lines"]]) == ([(f"{PAGE}?page=2", 302)], ["L-3"])
    assert client.get(f"{PAGE}decide/").headers["Location"] == PAGE
    assert as_person("P-OPE").get(f"{PAGE}decide/?page=2").status_code == 404


# findings that are one doubt, and findings of one name


def failed_check(key, hours, instrument="I-R1"):
    told = {"kind": "before_use", "person_id": "P-OPE", "result": "fail", **OF}
    return Check.objects.create(check_id=key, instrument_id=instrument, checked_at=cast.AT - timedelta(hours=hours), **told)


def found_wrong(key, minutes):
    told = {"enquiry_id": "E-1", "person_id": "P-ISS", "what": "a duct is missing", **OF}
    return WrongPlan.objects.create(wrong=key, found_at=cast.AT - timedelta(minutes=minutes), **told)


@pytest.mark.parametrize(
    ("kind", "find", "later", "sooner"),
    [("check", failed_check, ("F-LATER", 1), ("F-SOONER", 3)), ("plan", found_wrong, ("F-LATER", 1), ("F-SOONER", 3))],
)
def test_what_was_decided_stays_with_the_doubt_when_an_earlier_finding_of_the_same_thing_comes_in_late(scene, as_person, kind, find, later, sooner):
    client = as_person("P-SAF")
    find(*later)
    decided(client, "locate:L-1", address=f"/recalls/{kind}/F-LATER/")
    find(*sooner)
    assert client.get(f"/recalls/{kind}/F-LATER/").headers["Location"] == f"/recalls/{kind}/F-SOONER/"
    (line,) = client.get(f"/recalls/{kind}/F-SOONER/").context["lines"]
    assert [one[0] for one in line.decisions] == ["Dug already, nothing struck"]
    (row,) = DictReader(StringIO(b"".join(client.get(f"/recalls/{kind}/F-SOONER/list.csv")).decode("utf-8-sig")))
    assert (row["name"], row["decided"], row["by"]) == ("L-1", "Dug already, nothing struck", "Hana Petros")
    assert client.get("/recalls/").context["undecided"] == 0


def test_a_decision_upon_one_and_a_later_one_upon_the_other_of_two_findings_are_of_the_same_doubt(scene, as_person):
    client = as_person("P-SAF")
    failed_check("F-LATER", 1)
    decided(client, "locate:L-1", address="/recalls/check/F-LATER/")
    failed_check("F-SOONER", 3)
    decided(client, "locate:L-1", decided="stands", address="/recalls/check/F-SOONER/")
    (line,) = client.get("/recalls/check/F-SOONER/").context["lines"]
    assert [one[0] for one in line.decisions] == ["Stands all the same", "Dug already, nothing struck"]


@pytest.mark.parametrize(("of", "other"), [("check", "calibration"), ("calibration", "check")])
def test_a_decision_counts_for_no_other_kind_of_finding_of_the_same_name(scene, as_person, of, other):
    client = as_person("P-SAF")
    failed_check("F-SAME", 1)
    found_out(key="F-SAME")
    decided(client, "locate:L-1", address=f"/recalls/{of}/F-SAME/")
    listed = client.get("/recalls/").context
    assert {case.doubt.kind: case.undecided for case, _, _ in listed["cases"]} == {of: 0, other: 1}
    assert client.get("/records/locates/L-1/").content.decode().count("Nothing is decided of it yet.") == 1
