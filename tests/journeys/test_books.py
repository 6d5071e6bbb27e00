"""The registers in the browser: lists, leaves, what is entered, put right, and told later."""

import csv
from datetime import date, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.instruments.models import Calibration, Check, Instrument
from locates.permits.actions import preview, sign
from locates.surveys.models import Enquiry, Locate
from records.books.fields import local_text, with_offset
from records.firm.models import Person, Posting, Rule, RuleSet, Site
from records.ledger.models import Entry
from tests import cast
from tests.elsewhere import OF, elsewhere
from training.models import Award

pytestmark = [pytest.mark.everywhere, pytest.mark.usefixtures("scene")]
NEW_AWARD = {"award": "A-NEW", "person": "P-CR1", "course": "C-DIG", "awarded_on": "2027-03-01"}


def said(answered):
    return " ".join(answered.content.decode().split())


def names(answered):
    return [line.name for line in answered.context["lines"]]


def rows(client, address):
    return list(csv.reader(StringIO(b"".join(client.get(address)).decode("utf-8-sig"))))


# lists


def test_a_list_is_searched_narrowed_put_in_order_and_given_as_just_that_file(as_person):
    client = as_person("P-SAF")
    assert names(client.get("/records/people/?search=har")) == ["P-ISS"]
    assert names(client.get("/records/people/?roles=operator&sort=-name")) == ["P-FAR", "P-CR2", "P-OPE"]
    assert [row[0] for row in rows(client, "/records/people.csv?roles=operator&sort=-name")] == ["Identifier", "P-FAR", "P-CR2", "P-OPE"]
    assert names(client.get("/records/checks/?since=2027-03-04")) == []
    assert "No person is like that" in said(client.get("/records/people/?search=nobody+like+it"))


def test_fifty_stand_on_a_page(as_person):
    Person.objects.bulk_create(Person(person=f"X-{one:03}", name="Crowd", **OF) for one in range(60))
    client = as_person("P-SAF")
    assert (len(names(client.get("/records/people/"))), len(names(client.get("/records/people/?page=2")))) == (50, 17)


def grow(count, mark="X"):
    """So many more records of most registers."""
    Person.objects.bulk_create(Person(person=f"{mark}-{one}", name="Crowd", roles=("operator",), **OF) for one in range(count))
    posted = {"site_id": "S-1", "role": "operator", "begins_on": date(2027, 1, 4), **OF}
    Posting.objects.bulk_create(Posting(posting=f"{mark}-{one}", person_id=f"{mark}-{one}", **posted) for one in range(count))
    Award.objects.bulk_create(
        Award(award=f"{mark}-{one}", person_id=f"{mark}-{one}", course_id="C-DIG", awarded_on=date(2026, 5, 1), **OF) for one in range(count)
    )
    Instrument.objects.bulk_create(Instrument(instrument=f"{mark}-{one}", kind="receiver", serial_no="1", **OF) for one in range(count))
    found = {"calibrated_on": date(2026, 5, 1), "as_found": "in_tolerance", "as_left": "in_tolerance", **OF}
    Calibration.objects.bulk_create(Calibration(calibration=f"{mark}-{one}", instrument_id=f"{mark}-{one}", **found) for one in range(count))
    made = {"kind": "before_use", "checked_at": cast.AT, "result": "pass", **OF}
    Check.objects.bulk_create(Check(check_id=f"{mark}-{one}", instrument_id=f"{mark}-{one}", person_id=f"{mark}-{one}", **made) for one in range(count))
    asked = {"site_id": "S-1", "service_owner": "Northline Power", "sent_on": date(2027, 2, 1), **OF}
    Enquiry.objects.bulk_create(Enquiry(enquiry=f"{mark}-{one}", **asked) for one in range(count))
    begun = {"site_id": "S-1", "started_at": cast.AT, **OF}
    Locate.objects.bulk_create(Locate(locate=f"{mark}-{one}", operator_id=f"{mark}-{one}", receiver_id=f"{mark}-{one}", **begun) for one in range(count))


def queries(client, address):
    with CaptureQueriesContext(connection) as made:
        answered = client.get(address)
        assert b"".join(answered) and answered.status_code == 200
    return len(made)


BOOKS = ("people", "postings", "awards", "instruments", "calibrations", "checks", "enquiries", "locates")


@pytest.mark.parametrize("person", ["P-SAF", "P-ISS"])
def test_the_queries_of_no_list_grow_with_its_rows(as_person, person):
    client = as_person(person)
    addresses = [f"/records/{slug}/" for slug in BOOKS]
    grow(10)
    before = {address: queries(client, address) for address in addresses}
    grow(990, "Y")
    after = {address: queries(client, address) for address in addresses}
    assert {address: (before[address], after[address]) for address in addresses if after[address] > before[address]} == {}


# entering


def test_a_record_is_entered_with_its_entry_in_the_history(as_person):
    answered = as_person("P-SAF").post("/enter/awards/", NEW_AWARD, follow=True)
    entry = Entry.objects.get()
    assert "Award A-NEW is recorded." in said(answered)
    assert (entry.act, entry.actor_id, entry.subject_id, Award.objects.filter(pk="A-NEW").exists()) == ("award.recorded", "P-SAF", "A-NEW", True)


def test_what_is_wrong_is_said_at_its_field_and_what_was_typed_stays(as_person):
    answered = as_person("P-SAF").post("/enter/awards/", NEW_AWARD | {"award": "A NEW", "assessor": "Kim Sand"})
    assert "is not an identifier" in " ".join(answered.context["form"].errors["award"])
    assert ('value="Kim Sand"' in said(answered), Entry.objects.exists()) == (True, False)


def test_a_name_that_is_taken_changes_nothing_of_who_bears_it(as_person):
    answered = as_person("P-SAF").post("/enter/people/", {"person": "P-OPE", "name": "Somebody else"})
    assert ("P-OPE is taken" in said(answered), Person.objects.get(pk="P-OPE").name) == (True, "Olu Hale")


def test_the_next_name_is_offered_and_the_address_fills_the_form(as_person):
    initial = as_person("P-SAF").get("/enter/awards/?person=P-CR1").context["form"].initial
    assert (initial["person"], initial["awarded_on"]) == ("P-CR1", "2027-03-04")
    Award.objects.create(award="A-0041", person_id="P-CR1", course_id="C-DIG", awarded_on=date(2026, 5, 1), recorded_at=cast.AT)
    assert as_person("P-SAF").get("/enter/awards/").context["form"].initial["award"] == "A-0042"


def test_whoever_is_looked_for_on_a_training_day_those_marked_stay_so_and_nothing_is_written(as_person):
    client = as_person("P-SAF")
    before = Award.objects.count()
    page = client.post("/enter/awards/many/", {"in:P-CR1": "on", "certificate_no:P-CR1": "C-9", "assessor": "Kim", "search": "P-ISS", "do": "narrow"})
    form = page.context["form"]
    assert [one.pk for one in form.offered] == ["P-CR1", "P-ISS"]
    assert form["in:P-CR1"].value() and form["certificate_no:P-CR1"].value() == "C-9" and form["assessor"].value() == "Kim"
    assert not form.errors and Award.objects.count() == before


def test_a_number_is_offered_by_what_it_is_for_and_the_rule_sets_there_are_named(as_person):
    told = said(as_person("P-SAF").get("/enter/rules/"))
    assert "how far beyond the outline the ground must be swept (sweep_margin_m)" in told
    assert "which holds nowhere until a site names it. There are: default" in told


def test_one_training_day_gives_awards_to_many_or_to_none(as_person):
    client, day = as_person("P-SAF"), {"course": "C-DIG", "awarded_on": "2027-03-01", "in:P-OPE": "on", "in:P-FAR": "on", "certificate_no:P-FAR": "77"}
    assert "2 awards are recorded" in said(client.post("/enter/awards/many/", day, follow=True))
    assert sorted(Award.objects.filter(awarded_on=date(2027, 3, 1)).values_list("person", "certificate_no")) == [("P-FAR", "77"), ("P-OPE", "")]
    wrong = client.post("/enter/awards/many/", day | {"expires_on": "2026-01-01"})
    assert ("is before awarded_on" in said(wrong), Award.objects.filter(awarded_on=date(2027, 3, 1)).count()) == (True, 2)
    assert "mark at least one" in said(client.post("/enter/awards/many/", {"course": "C-DIG", "awarded_on": "2027-03-01"}))


def test_a_supervisor_enters_for_their_own_sites_alone(as_person):
    elsewhere()
    asked = {"enquiry": "E-50", "service_owner": "Northline Power", "sent_on": "2027-03-03"}
    client = as_person("P-ISS")
    assert client.post("/enter/enquiries/", asked | {"site": "S-1"}).status_code == 302
    assert "Select a valid choice" in said(client.post("/enter/enquiries/", asked | {"enquiry": "E-51", "site": "S-9"}))
    assert list(Enquiry.objects.filter(enquiry__startswith="E-5").values_list("pk", flat=True)) == ["E-50"]


def test_nobody_records_a_check_in_anothers_name(as_person):
    made = {"check": "B-50", "instrument": "I-R1", "kind": "before_use", "checked_at_day": "2027-03-04", "checked_at_time": "08:00", "result": "pass"}
    assert "Select a valid choice" in said(as_person("P-OPE").post("/enter/checks/", made | {"person": "P-CR2"}))
    assert as_person("P-OPE").post("/enter/checks/", made | {"person": "P-OPE"}).status_code == 302
    assert list(Check.objects.filter(pk="B-50").values_list("person", flat=True)) == ["P-OPE"]


def test_a_check_is_two_taps_from_the_instruments_own_page(as_person):
    client = as_person("P-OPE")
    assert "/check/I-R1/" in said(client.get("/records/instruments/I-R1/"))
    answered = client.post("/check/I-R1/", {"kind": "before_use", "result": "fail"}, follow=True)
    last = Check.objects.order_by("recorded_at").last()
    assert ("Do not use it" in said(answered), last.result, last.person_id, last.checked_at) == (True, "fail", "P-OPE", cast.AT)


# putting right


def change(client, address, **cells):
    seen = client.get(address).context["seen"]
    return client.post(address, cells | {"seen": seen}, follow=True)


PERSON = {"name": "Jo Brandt-Lee", "employer": "Field & Furrow"}


def test_a_record_is_put_right_with_a_reason_and_the_old_value_stays_in_sight(as_person):
    client = as_person("P-SAF")
    assert "is changed" in said(change(client, "/correct/people/P-CR1/", why="married", **PERSON))
    page = said(client.get("/records/people/P-CR1/"))
    assert "Because: married" in page and "<s>Jo Brandt</s> Jo Brandt-Lee" in page


def test_without_a_reason_nothing_is_changed(as_person):
    change(as_person("P-SAF"), "/correct/people/P-CR1/", **PERSON)
    assert (Person.objects.get(pk="P-CR1").name, Entry.objects.exists()) == ("Jo Brandt", False)


def test_who_was_overtaken_sees_both_versions_and_nothing_is_lost(as_person):
    client = as_person("P-SAF")
    seen = client.get("/correct/people/P-CR1/").context["seen"]
    Person.objects.filter(pk="P-CR1").update(employer="Ossel Street")
    answered = client.post("/correct/people/P-CR1/", PERSON | {"why": "married", "seen": seen})
    assert (answered.status_code, "Ossel Street" in said(answered), "Jo Brandt-Lee" in said(answered)) == (409, True, True)
    assert Person.objects.get(pk="P-CR1").name == "Jo Brandt"


def test_what_a_signed_permit_rests_on_takes_its_blanks_and_later_facts_alone(as_person):
    sign("PD-1", "P-ISS", "issue", cast.AT, preview("PD-1", cast.AT).seen)
    client = as_person("P-SAF")
    page = client.get("/correct/awards/A-ISS/")
    assert "The signed permit PD-1 rests on it." in said(page)
    assert set(page.context["form"].fields) == {"expires_on", "certificate_no", "assessor"}
    assert "is changed" in said(change(client, "/correct/awards/A-ISS/", certificate_no="44-7", why="left out"))


def test_a_withdrawal_says_first_what_it_does_to_open_permits(as_person):
    client, address = as_person("P-SAF"), "/later/awards/A-CR1/withdrawn_on/"
    given = {"withdrawn_on": "2027-03-04", "withdrawn_because": "exam void", "seen": client.get(address).context["seen"]}
    first = client.post(address, given)
    assert ("This would change 1 open permit" in said(first), Award.objects.get(pk="A-CR1").withdrawn_on) == (True, None)
    assert "Not to dig any more" in said(first)
    client.post(address, given | {"weighed": first.context["weighed"]})
    assert Award.objects.get(pk="A-CR1").withdrawn_on == date(2027, 3, 4)


def test_a_number_that_counts_from_a_later_day_is_weighed_on_that_day(as_person):
    """From 6 March a locate is good for one day only: the locate of 3 March would then have lapsed, and today nothing changes."""
    cast.permit("PD-8", valid_to=cast.AT + timedelta(days=6))
    RuleSet.objects.create(rule_set="house", **OF)
    Site.objects.update(rule_set="house")
    given = {"rule_set": "house", "effective_from": "2027-03-06", "key": "locate_valid_days", "value": "1", "source": "own"}
    answered = as_person("P-SAF").post("/enter/rules/", given)
    assert "This would change 1 open permit" in said(answered) and "Not to dig any more" in said(answered)
    assert [(effect.permit, effect.worse) for effect in answered.context["effects"]] == [("PD-8", True)]
    assert (Rule.objects.exists(), Entry.objects.exists()) == (False, False)


def test_a_file_chosen_before_it_was_weighed_is_asked_for_again(as_person):
    page = as_person("P-SAF").post("/enter/calibrations/", {"calibration": "K-9"})
    assert "A file that was chosen is not kept yet: choose it again." in said(page)


def test_a_finished_locate_is_frozen(as_person):
    page = said(as_person("P-SAF").get("/records/locates/L-1/"))
    assert "It no longer changes" in page and '/correct/locates/L-1/"' not in page


# days and times


def test_a_time_that_the_clocks_skip_or_show_twice_is_not_guessed_at(as_person):
    made = {"check": "B-50", "instrument": "I-R1", "kind": "before_use", "person": "P-OPE", "result": "pass"}
    skipped = as_person("P-OPE").post("/enter/checks/", made | {"checked_at_day": "2026-09-27", "checked_at_time": "02:30"})
    assert "there is no 02:30 on 2026-09-27 in Pacific/Auckland" in said(skipped)
    twice = as_person("P-OPE").post("/enter/checks/", made | {"checked_at_day": "2026-04-05", "checked_at_time": "02:30"})
    assert "Write 02:30+13:00 for the first, 02:30+12:00 for the second" in said(twice)
    told = as_person("P-OPE").post("/enter/checks/", made | {"checked_at_day": "2026-04-05", "checked_at_time": "02:30+12:00"})
    assert (told.status_code, Check.objects.get(pk="B-50").checked_at.isoformat()) == (302, "2026-04-04T14:30:00+00:00")


def test_a_time_goes_out_to_the_form_and_back():
    zone = ZoneInfo(cast.ZONE)
    text = local_text(cast.AT, zone)
    assert (text, with_offset(text[:10], text[11:], zone)) == ("2027-03-04T08:30", "2027-03-04T08:30:00+13:00")
