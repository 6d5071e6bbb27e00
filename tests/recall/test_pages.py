"""The list of what is in doubt, and the page of one thing: what rested on it, and who sees what."""

from datetime import date, timedelta

import pytest

from locates.instruments.models import Check, Instrument
from locates.life.actions import Wish, outlook, step
from locates.life.models import Step
from locates.surveys.models import Locate
from records.firm.models import Posting
from records.letters.models import Letter
from tests import cast
from tests.elsewhere import OF, doubted, elsewhere
from tests.recall.doing import PAGE, decided, found_out, listed, signed, suspend
from training.models import Award

pytestmark = pytest.mark.django_db


def test_what_was_found_out_of_tolerance_comes_to_the_list_by_itself(scene, as_person):
    assert "Nothing that you may see rests" in as_person("P-SAF").get("/recalls/").content.decode()
    signed()
    found_out()
    page = as_person("P-SAF").get("/recalls/")
    assert [(case.doubt.key, len(case.live), case.undecided) for case, _, _ in page.context["cases"]] == [("K-BAD", 1, 2)]
    assert "Receiver I-R1, serial no. re-4471" in page.content.decode()


def test_the_live_permit_stands_first_then_the_suspended_then_those_over_then_the_locate(scene, as_person):
    for name in ("PD-1", "PD-2", "PD-3"):
        signed(name)
    suspend("PD-2")
    wish = Wish("hand_back", left="filled")
    step("PD-3", "P-REC", wish, cast.AT, outlook("PD-3", wish, cast.AT).seen)
    found_out()
    assert listed(as_person("P-SAF").get(PAGE)) == [
        ("Permit", "PD-1", "Live: may be dug by"),
        ("Permit", "PD-2", "Suspended"),
        ("Permit", "PD-3", "Over"),
        ("Locate", "L-1", "Under a live permit"),
    ]


def test_the_page_says_what_was_found_and_for_how_long_it_is_in_doubt(scene, as_person):
    found_out()
    page = as_person("P-SAF").get(PAGE).content.decode()
    assert "Found out of tolerance on 4 Mar 2027 by Bench and Bridge (calibration K-BAD)." in page
    assert "from 1 Jun 2026, when it was last known to be good, to 4 Mar 2027, both days in full." in page


def test_a_permit_that_nobody_signed_is_not_listed(scene, as_person):
    found_out()
    assert listed(as_person("P-SAF").get(PAGE)) == [("Locate", "L-1", "Under no signed permit")]


def test_a_check_that_failed_casts_doubt_on_what_was_searched_since_the_last_one(scene, as_person):
    told = {"kind": "before_use", "person_id": "P-OPE", "result": "fail", "note": "Silent over the yard cable.", **OF}
    for key, hours in (("B-F1", 2), ("B-F2", 1)):
        Check.objects.create(check_id=key, instrument_id="I-T1", checked_at=cast.AT - timedelta(hours=hours), **told)
    page = as_person("P-SAF").get("/recalls/check/B-F1/")
    assert listed(page) == [("Locate", "L-1", "Under no signed permit")]
    assert "so did the checks B-F2 after it. Silent over the yard cable." in page.content.decode()
    again = as_person("P-SAF").get("/recalls/check/B-F2/")
    assert (again.status_code, again.headers["Location"]) == (302, "/recalls/check/B-F1/")


def test_a_clamp_that_the_locate_named_and_did_not_need_is_no_matter_of_it(scene, as_person):
    Instrument.objects.create(instrument="I-C1", kind="clamp", serial_no="c", calibration_months=12, **OF)
    Locate.objects.filter(locate="L-1").update(clamp="I-C1")
    found_out("I-C1")
    page = as_person("P-SAF").get(PAGE)
    assert "Nothing on record that you may see rested on it." in page.content.decode()
    assert as_person("P-SAF").get("/recalls/").context["cases"] == []


def test_a_withdrawn_award_bears_on_what_goes_on_without_it_and_on_what_was_before_if_asked(scene, as_person):
    signed()
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="its test was never sat")
    client = as_person("P-SAF")
    assert listed(client.get("/recalls/award/A-OPE/")) == [("Permit", "PD-1", "Live: may be dug by"), ("Locate", "L-1", "Under a live permit")]
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 4, 1))
    assert client.get("/recalls/award/A-OPE/").templates[0].name == "recall/none.html"  # not yet
    Award.objects.filter(award="A-CR2").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="hurt")
    assert listed(client.get("/recalls/award/A-CR2/")) == [("Permit", "PD-1", "Live: may be dug by")]


def test_what_was_over_before_the_withdrawal_is_shown_if_asked_and_owes_no_decision(scene, as_person, monkeypatch):
    signed()
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 3, 20), withdrawn_because="its test was never sat")
    monkeypatch.setattr("records.clock.now", lambda: cast.AT + timedelta(days=30))
    client = as_person("P-SAF")
    page = client.get("/recalls/award/A-OPE/")
    assert (listed(page), page.context["earlier"]) == ([], 2)
    assert [name for _, name, _ in listed(client.get("/recalls/award/A-OPE/?all=yes"))] == ["PD-1", "L-1"]
    assert client.get("/recalls/").context["cases"] == []


def test_a_plan_found_wrong_bears_on_the_locates_begun_with_it_at_hand(scene, as_person):
    signed()
    elsewhere()
    doubted()
    assert [name for _, name, _ in listed(as_person("P-SAF").get("/recalls/plan/WP-1/"))] == ["PD-1", "L-1"]


# who sees what


@pytest.mark.parametrize(("person", "names"), [("P-SAF", ["PD-1", "L-1", "L-9"]), ("P-ISS", ["PD-1", "L-1"]), ("P-OPE", ["PD-1", "L-1"]), ("P-FAR", ["L-9"])])
def test_everyone_sees_what_they_may_see_of_it(scene, as_person, person, names):
    signed()
    elsewhere()
    Locate.objects.filter(locate="L-9").update(finished_at=cast.AT - timedelta(hours=1))
    found_out()
    assert [name for _, name, _ in listed(as_person(person).get(PAGE))] == names


def test_nobody_without_a_role_sees_recalls(scene, as_person):
    found_out()
    assert as_person("P-CR1").get("/recalls/").status_code == 404
    assert as_person("P-CR1").get(PAGE).status_code == 404


def test_an_award_out_of_reach_casts_no_doubt_that_is_told(scene, as_person):
    elsewhere()
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 3, 4), withdrawn_because="its test was never sat")
    assert as_person("P-SU2").get("/recalls/award/A-OPE/").status_code == 404
    assert as_person("P-SU2").get("/recalls/").context["cases"] == []


@pytest.mark.parametrize("address", ["/recalls/soup/K-BAD/", "/recalls/calibration/K-0/", "/recalls/calibration/%00/"])
def test_what_is_no_finding_is_not_there(scene, as_person, address):
    assert as_person("P-SAF").get(address).status_code == 404


def test_a_finding_that_casts_no_doubt_says_so(scene, as_person):
    assert "casts doubt on nothing" in as_person("P-SAF").get("/recalls/calibration/K-I-R1/").content.decode()


# elsewhere


def test_the_permit_s_and_the_locate_s_own_page_say_that_they_are_in_doubt(scene, as_person):
    signed()
    suspend("PD-1")
    client = as_person("P-SAF")
    assert "In doubt" not in client.get("/permits/PD-1/").content.decode()
    found_out()
    decided(client, "permit:PD-1", decided="locate_again")
    permit, locate = (client.get(address).content.decode() for address in ("/permits/PD-1/", "/records/locates/L-1/"))
    assert "This permit rests on it by locate L-1." in permit and "To be located again." in permit
    assert "This locate rests on it by its receiver." in locate and "Nothing is decided of it yet." in locate


@pytest.mark.parametrize("address", ["/records/calibrations/K-BAD/", "/records/instruments/I-R1/"])
def test_the_finding_leads_to_what_rested_on_it(scene, as_person, address):
    found_out()
    assert f'href="{PAGE}"' in as_person("P-ISS").get(address).content.decode()


@pytest.mark.parametrize("address", ["/records/enquiries/E-2/", "/records/wrong-plans/WP-1/"])
def test_so_does_a_plan_found_wrong(scene, as_person, address):
    elsewhere()
    doubted()
    assert 'href="/recalls/plan/WP-1/"' in as_person("P-ISS").get(address).content.decode()


def test_the_safety_manager_s_first_page_counts_what_is_undecided(scene, as_person):
    signed()
    client = as_person("P-SAF")
    assert "/recalls/" not in client.get("/").content.decode()
    found_out()
    assert client.get("/").context["exposure"]["doubts"] == {"things": 1, "live": 1, "undecided": 2}
    assert 'href="/recalls/"' in client.get("/").content.decode()


# why an award was withdrawn


REASON = "unfit after an illness"


@pytest.fixture
def withdrawn(scene):
    """The award of the permit's operator, withdrawn on the day of the permit."""
    signed()
    Award.objects.filter(award="A-OPE").update(withdrawn_on=date(2027, 3, 4), withdrawn_because=REASON)


@pytest.mark.parametrize(("person", "may"), [("P-CR1", False), ("P-CR2", False), ("P-OPE", True), ("P-ISS", True), ("P-SAF", True)])
def test_why_an_award_was_withdrawn_stands_on_a_permit_s_page_for_those_alone_who_may_see_the_award(withdrawn, as_person, person, may):
    page = as_person(person).get("/permits/PD-1/").content.decode()
    assert "Withdrawn on 4 Mar 2027" in page and "Nothing is decided of it yet." in page
    assert (f"Withdrawn on 4 Mar 2027: {REASON}." in page, REASON in page, "/recalls/award/A-OPE/" in page) == (may, may, may)


def test_so_it_is_on_a_locate_s_page(withdrawn, as_person):
    client = as_person("P-ISS")
    assert f"Withdrawn on 4 Mar 2027: {REASON}." in client.get("/records/locates/L-1/").content.decode()
    Posting.objects.filter(person="P-OPE").delete()  # with the posting goes the sight of the award
    page = client.get("/records/locates/L-1/").content.decode()
    assert "Withdrawn on 4 Mar 2027. This locate rests on it by its operator." in page and REASON not in page


def test_a_permit_suspended_for_it_tells_nobody_why_it_was_withdrawn(withdrawn, as_person):
    as_person("P-SAF").post("/recalls/award/A-OPE/suspend/")
    why = Step.objects.get().why
    assert why == "In doubt is what it rests on. Olu Hale: Locating services (A-OPE): Withdrawn on 4 Mar 2027."
    letters = list(Letter.objects.filter(subject="Permit PD-1 was stopped"))
    assert letters and all("Withdrawn on 4 Mar 2027." in one.text and REASON not in one.text for one in letters)
