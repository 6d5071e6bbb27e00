"""The safety manager's first page: owners' answers, one site or the firm, what lapses drawn, permits at risk, and that it does not cost more with more."""

import csv
from datetime import date, timedelta
from io import StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.desks import exposure
from locates.instruments.models import Instrument
from locates.permits.models import Permit
from locates.surveys.models import Enquiry, WrongPlan
from records.firm.models import Person, Site
from tests import cast
from tests.elsewhere import elsewhere
from tests.logs import walked
from training.models import Award

pytestmark = pytest.mark.django_db
OF = {"recorded_at": cast.RECORDED}


@pytest.fixture
def shown(as_person):
    """What stands on the first page of the firm, or of a site."""

    def read(site="", person="P-SAF"):
        return as_person(person).get(f"/?site={site}" if site else "/").context["exposure"]

    return read


def figures(found, name):
    return [one.count for title, row in found["rows"] for one in row if title == name]


def listed(client, address):
    return list(csv.DictReader(StringIO(b"".join(client.get(address)).decode("utf-8-sig"))))


# owners' answers


def test_the_answers_of_sites_with_open_permits_are_counted_where_they_fall(shown):
    Enquiry.objects.filter(pk="E-1").update(good_through=date(2027, 3, 3))
    assert figures(shown(), "Owners’ answers") == [1, 1, 0, 0]


def test_without_an_open_permit_a_site_s_answers_do_not_count(shown):
    Permit.objects.update(valid_to=cast.AT - timedelta(minutes=1))
    assert figures(shown(), "Owners’ answers") == [0, 0, 0, 0]


def test_whoever_has_not_answered_or_was_not_asked_is_counted_apart(shown):
    Enquiry.objects.filter(pk="E-1").update(answered_at=None)
    Site.objects.update(owners_to_ask=("Northline Power", "Lowtide Water", "Hilltop Telecom"))
    found = shown()
    assert (found["owing"].count, figures(found, "Owners’ answers")) == (2, [0, 1, 0, 0])


def test_an_answer_found_wrong_is_to_be_asked_for_again(as_person, shown):
    WrongPlan.objects.create(wrong="WP-1", enquiry_id="E-1", found_at=cast.AT - timedelta(days=1), person_id="P-ISS", what="a duct is missing", **OF)
    (row,) = listed(as_person("P-SAF"), f"/answers-due.csv{shown()['owing'].leads.removeprefix('/answers-due/')}")
    assert (row["enquiry"], row["state"]) == ("E-1", "to be asked again: its answer was found wrong on 3 Mar 2027, yesterday")


def test_each_site_s_own_day_says_whether_an_answer_lapsed(as_person, scene):
    elsewhere()  # at the yard it is 4 March, on the moor 3 March
    Enquiry.objects.update(good_through=date(2027, 3, 3))
    rows = {row["enquiry"]: row["within_days"] for row in listed(as_person("P-SAF"), "/answers-due.csv")}
    assert (rows["E-1"], rows["E-9"]) == ("0", "30")


def test_the_figures_open_the_records_behind_them(as_person, shown):
    Enquiry.objects.filter(pk="E-1").update(answered_at=None)
    answer = as_person("P-SAF").get(shown()["owing"].leads)
    page = answer.content.decode()
    assert [(title, [one.enquiry for one in some]) for title, some in answer.context["groups"]] == [("Still owed", ["E-1"])]
    assert "/records/enquiries/E-1/" in page
    assert "not answered, asked on 20 Feb 2027, 12 days ago" in page


def test_an_owner_not_asked_leads_to_where_they_are_asked_for_who_may(as_person, scene):
    Enquiry.objects.filter(pk="E-2").delete()
    pages = [as_person(person).get("/answers-due/").content.decode() for person in ("P-ISS", "P-OPE")]
    assert ["/enter/enquiries/?site=S-1&amp;service_owner=Lowtide+Water" in page for page in pages] == [True, False]


def test_a_supervisor_reads_the_answers_of_their_sites_and_no_others(as_person, scene):
    elsewhere()
    told = {person: {row["enquiry"] for row in listed(as_person(person), "/answers-due.csv")} for person in ("P-ISS", "P-SU2")}
    assert told == {"P-ISS": {"E-1", "E-2"}, "P-SU2": {"E-9"}}


@pytest.mark.parametrize("address", ["/answers-due/", "/instruments-due/"])
def test_what_falls_due_is_told_a_page_at_a_time_with_how_many_fall_when(as_person, scene, address):
    lapsed(60)
    client = as_person("P-SAF")
    first, second = client.get(address).context, client.get(f"{address}?page=2").context
    assert [len(each) for _, each in first["groups"]] == [50] and sum(len(each) for _, each in second["groups"]) >= 10
    counts = {one.title: one.count for one in first["tallies"]}
    assert counts["Lapsed already"] == 60 and sum(counts.values()) == first["page"].paginator.count
    assert 'href="?within=0&amp;page=2"' in client.get(f"{address}?within=0").content.decode()


@pytest.mark.parametrize(("page", "file"), [("/answers-due/", "/answers-due.csv"), ("/instruments-due/", "/instruments-due.csv")])
def test_the_file_holds_just_what_is_shown_on_every_page_of_it(as_person, scene, page, file):
    lapsed(60)
    client = as_person("P-SAF")
    only = client.get(f"{page}?within=0")
    assert (only.context["page"].paginator.count, [title for title, _ in only.context["groups"]]) == (60, ["Lapsed already"])
    assert {one.says for one in only.context["page"]} == {
        "was good through 1 Mar 2027, 3 days ago" if "answers" in page else "never calibrated",
    }
    assert [row["within_days"] for row in listed(client, f"{file}?within=0")] == ["0"] * 60
    assert len(listed(client, file)) == client.get(page).context["page"].paginator.count > 60


def lapsed(count):
    """So many more owners' answers and instruments that lapsed, beside what is good."""
    of = range(count)
    asked = {"sent_on": date(2027, 1, 20), "answered_at": cast.AT - timedelta(days=40), "good_through": date(2027, 3, 1)}
    Enquiry.objects.bulk_create(Enquiry(enquiry=f"QE-{n}", site_id="S-1", service_owner=f"Owner {n}", **asked, **OF) for n in of)
    Instrument.objects.bulk_create(Instrument(instrument=f"Q-{n:02}", kind="receiver", serial_no=str(n), calibration_months=12, **OF) for n in of)


# one site, or the firm


def test_a_site_has_its_own_figures_and_what_they_open_keeps_to_it(as_person, shown):
    elsewhere()
    Award.objects.filter(pk__in=["A-OPE", "A-FAR"]).update(expires_on=date(2027, 3, 20))
    firm, far = shown(), shown("S-9")
    assert [figures(one, "People’s authorisations") for one in (firm, far)] == [[0, 12, 0, 0], [0, 6, 0, 0]]
    assert [(one["open_permits"]) for one in (firm, far)] == [2, 1]
    leads = [one.leads for _, row in far["rows"] for one in row] + [far["gaps"].leads, far["owing"].leads, far["all_risky"]]
    assert all("site=S-9" in one for one in leads)
    assert all(as_person("P-SAF").get(one).status_code == 200 for one in leads)


def test_the_instruments_of_a_site_are_those_used_there(as_person, scene):
    elsewhere()  # its locate names the receiver alone
    exposed = {site: {row["instrument"] for row in listed(as_person("P-SAF"), f"/instruments-due.csv?site={site}")} for site in ("S-1", "S-9", "")}
    assert exposed == {"S-1": {"I-R1", "I-T1"}, "S-9": {"I-R1"}, "": {"I-R1", "I-T1"}}


def test_a_site_that_is_none_is_said_at_the_field_and_the_firm_is_shown(as_person, scene):
    answer = as_person("P-SAF").get("/?site=S-404")
    assert answer.context["exposure"]["site"] is None
    assert "Select a valid choice" in answer.content.decode()


# what lapses first


def test_what_lapses_first_is_drawn_with_its_words_beside_it(as_person, scene):
    Award.objects.filter(pk="A-ISS").update(expires_on=date(2027, 3, 20))
    page = as_person("P-SAF").get("/").content.decode()
    drawing, _, beside = page.split('<div class="beside">')[1].partition("</svg>")
    assert "Ines Harrow: issuing permits" in drawing
    assert "Ines Harrow</a>, issuing permits" in beside


def test_more_than_the_drawing_holds_are_named_by_their_number(shown):
    for n in range(12):
        Person.objects.create(person=f"Q-{n}", name=f"Q {n}", roles=("operator",), **OF)
        Award.objects.create(award=f"Q-{n}", person_id=f"Q-{n}", course_id="C-DIG", awarded_on=date(2026, 5, 1), expires_on=date(2027, 3, 20), **OF)
    found = shown()
    assert (len(found["lapsing"]), found["more_lapsing"]) == (8, 4)


# permits at risk


def test_a_blocked_permit_tells_its_first_reason_and_since_when(shown):
    Enquiry.objects.filter(pk="E-1").update(good_through=date(2027, 3, 3))
    found = shown()
    (one,) = found["risky"]
    assert (one.line.first.code, one.when, found["blocked"], found["early"]) == ("plans.lapsed", "Since 4 Mar 2027, today.", 1, 0)


def test_a_permit_that_outlasts_its_evidence_tells_what_ends_and_when(shown):
    Enquiry.objects.filter(pk="E-1").update(good_through=date(2027, 3, 4))
    found = shown()
    (one,) = found["risky"]
    assert (one.early, found["blocked"], found["early"]) == (True, 0, 1)
    assert "the answer of Northline Power (E-1) ends on 5 Mar 2027 00:00" in one.line.first.says
    assert one.when == "What it rests on ends tomorrow, the permit tomorrow."


def test_one_that_is_blocked_for_more_is_not_counted_as_ending_early(shown):
    Enquiry.objects.filter(pk="E-1").update(good_through=date(2027, 3, 4))
    Permit.objects.get().crew.clear()
    found = shown()
    assert (found["blocked"], found["early"]) == (1, 0)


def test_a_clear_permit_is_not_at_risk(shown):
    found = shown()
    assert (found["open_permits"], found["risky"]) == (1, [])


def test_no_more_are_judged_than_the_page_says_and_the_list_judges_the_rest(as_person, shown, monkeypatch):
    monkeypatch.setattr(exposure, "MOST_JUDGED", 2)
    for n in range(4):
        cast.permit(f"PD-M{n}").crew.clear()
    found = shown()
    assert (found["open_permits"], found["judged"], found["blocked"]) == (5, 2, 1)
    page = as_person("P-SAF").get("/").content.decode()
    assert "Judged here are the first 2 of 5 open permits" in page
    rest = as_person("P-SAF").get(found["all_risky"]).context["lines"]
    assert {line.permit.pk for line in rest} == {f"PD-M{n}" for n in range(4)}


# what it costs


def more(count):
    """So many more sites, each with an answer, an unanswered enquiry and an open permit."""
    of = range(count)
    asked = {"service_owner": "Northline Power", "sent_on": date(2027, 2, 20)}
    Site.objects.bulk_create(Site(site=f"Q-{n}", name=f"Q {n}", time_zone=cast.ZONE, rule_set_id="default", **OF) for n in of)
    Enquiry.objects.bulk_create(Enquiry(enquiry=f"QA-{n}", site_id=f"Q-{n}", answered_at=cast.AT - timedelta(days=9), **asked, **OF) for n in of)
    Enquiry.objects.bulk_create(Enquiry(enquiry=f"QU-{n}", site_id=f"Q-{n}", **asked, **OF) for n in of)
    like = Permit.objects.get(pk="PD-1")
    plain = {name: getattr(like, name) for name in ("locate_id", "work", "outline", "depth_m", "method", "issuer_id", "receiver_id", "valid_from", "valid_to")}
    Permit.objects.bulk_create(Permit(permit=f"Q-{n}", site_id=f"Q-{n}", **plain, **OF) for n in of)


def fewer():
    Permit.objects.filter(pk__startswith="Q-").delete()
    Enquiry.objects.filter(pk__startswith="Q").delete()
    Site.objects.filter(pk__startswith="Q-").delete()
    Instrument.objects.filter(pk__startswith="Q-").delete()


COUNTED = ("/", "/?site=S-1", "/answers-due/", "/answers-due/?within=0&page=2", "/answers-due.csv", "/instruments-due/?within=0", "/instruments-due/?site=S-1")


def test_a_thousand_sites_and_permits_take_as_many_queries_as_ten(as_person):
    client, counts = as_person("P-SAF"), []
    for count in (10, 1000):
        fewer()
        more(count)
        lapsed(count)
        counts.append([queries(client, address) for address in COUNTED])
    assert counts[0] == counts[1]


def queries(client, address):
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(address)
        b"".join(answer)
    assert answer.status_code == 200
    return address, len(seen)


def test_receivers_logs_that_differ_are_told_once_there_are_some(scene, as_person, settings, tmp_path):
    settings.FILES_FOLDER = str(tmp_path)
    manager = as_person("P-SAF")
    assert "Receivers’ logs that differ" not in manager.get("/").content.decode()
    walked.kept(as_person("P-OPE"), walked.text(walked.rows(("P50", "R"))))
    assert '<a href="/logs/">1 of 1</a>' in manager.get("/").content.decode()
