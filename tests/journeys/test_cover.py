"""The pages of cover: whom each role sees, what stands in a cell, and that lists cost the same however long they are."""

from datetime import date
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from records.firm.models import Person, Posting
from tests import cast
from tests.elsewhere import elsewhere
from training.models import Award
from training.paper import cover_pdf


def said(answer):
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


@pytest.fixture
def page(as_person):
    """What somebody reads at an address."""

    def read(person, address="/cover/"):
        answer = as_person(person).get(address)
        return said(answer).decode() if answer.status_code == 200 else answer.status_code

    return read


@pytest.mark.parametrize("address", ["/cover/", "/cover.csv", "/cover.pdf", "/cover/ahead/", "/cover/ahead.csv", "/cover/ahead.pdf", "/cover/stand-ins/P-OPE/"])
def test_an_operator_finds_none_of_it(page, address):
    assert (page("P-OPE", address), page("P-CR1", address)) == (404, 404)


def test_a_supervisor_sees_those_posted_to_their_sites(page):
    elsewhere()
    here, there = page("P-ISS", "/cover.csv"), page("P-SU2", "/cover.csv")
    assert [("P-OPE" in text, "P-FAR" in text) for text in (here, there)] == [(True, False), (False, True)]


def test_a_supervisor_is_led_to_no_form_that_is_closed_to_them(page):
    assert ("Gap:" in page("P-ISS"), "/enter/awards/" in page("P-ISS")) == (True, False)


def test_the_safety_manager_is_led_from_a_gap_to_a_new_award(page):
    assert "/enter/awards/?person=P-REC" in page("P-SAF")


def test_a_lapsed_cell_leads_to_its_award_and_to_a_new_one(page):
    Award.objects.filter(award="A-ISS").update(expires_on=date(2027, 3, 3))
    text = page("P-SAF", "/cover/?search=P-ISS")
    assert "lapsed 4 Mar 2027" in text
    assert "/records/awards/A-ISS/" in text
    assert "/enter/awards/?person=P-ISS" in text


def test_who_leaves_today_by_the_site_s_clock_is_still_there(page):
    Person.objects.filter(person="P-OPE").update(left_on=date(2027, 3, 4))
    Person.objects.filter(person="P-CR2").update(left_on=date(2027, 3, 3))
    text = page("P-SAF", "/cover.csv")
    assert ("P-OPE" in text, "P-CR2" in text) == (True, False)


def test_who_leaves_later_can_still_stand_in(page):
    Award.objects.create(award="A-REC2", person_id="P-REC", course_id="C-ISS", awarded_on=date(2026, 5, 1), recorded_at=cast.RECORDED)
    Person.objects.filter(person="P-REC").update(left_on=date(2027, 4, 1))
    text = page("P-SAF", "/cover/stand-ins/P-ISS/")
    assert "Marek Tane</a>, through 1 Apr 2027 <strong>of the same site</strong>" in text


def test_where_nothing_is_needed_nobody_is_named(page):
    text = page("P-SAF", "/cover/stand-ins/P-SAF/")
    assert ("Choose above" in text, "Olu Hale" in text) == (True, False)


def test_what_to_stand_in_for_can_be_chosen(page):
    assert "Jo Brandt</a>" in page("P-SAF", "/cover/stand-ins/P-SAF/?thing=dig")


def test_a_cell_of_a_spreadsheet_is_no_formula(page):
    Person.objects.filter(person="P-OPE").update(name="=1+1")
    assert ",=1+1" not in page("P-SAF", "/cover.csv")


@pytest.mark.parametrize(("address", "words"), [("/cover.pdf", "Olu Hale"), ("/cover/ahead.pdf", "Ines Harrow")])
def test_the_paper_names_who_the_page_names(as_person, address, words):
    Award.objects.filter(award="A-ISS").update(expires_on=date(2027, 3, 20))
    reader = PdfReader(BytesIO(as_person("P-SAF").get(address).content))
    text = " ".join(one.extract_text() for one in reader.pages)
    assert words in " ".join(text.split())
    assert f"1 of {len(reader.pages)}" in " ".join(text.split())


def test_the_paper_says_from_whose_page_it_is_and_what_narrows_it(as_person):
    reader = PdfReader(BytesIO(as_person("P-SAF").get("/cover.pdf?site=S-1&search=Hale").content))
    text = " ".join(reader.pages[0].extract_text().split())
    assert "from the page of Hana Petros (P-SAF). Only: Find Hale; Site Quay yard." in text
    assert ("Olu Hale" in text, "Ines Harrow" in text) == (True, False)


COUNTED = ("/cover/", "/cover.csv", "/cover/ahead/", "/cover/ahead.csv", "/cover/stand-ins/P-OPE/")


def many(first, last):
    people = [Person(person=f"M-{one}", name=f"Mason {one}", roles=("operator",), recorded_at=cast.RECORDED) for one in range(first, last)]
    Person.objects.bulk_create(people)
    Award.objects.bulk_create(
        Award(award=f"A-{one.pk}", person_id=one.pk, course_id="C-LOC", awarded_on=date(2024, 3, 20), recorded_at=cast.RECORDED) for one in people
    )
    Posting.objects.bulk_create(
        Posting(posting=f"N-{one.pk}", person_id=one.pk, site_id="S-1", role="operator", begins_on=date(2027, 1, 4), recorded_at=cast.RECORDED)
        for one in people
    )


def test_a_thousand_people_take_as_many_queries_as_ten(as_person):
    clients, counts = [as_person(person) for person in ("P-SAF", "P-ISS")], []
    for first, last in ((0, 10), (10, 1000)):
        many(first, last)
        counts.append([queries(client, address) for client in clients for address in COUNTED])
    assert counts[0] == counts[1]


def queries(client, address):
    with CaptureQueriesContext(connection) as found:
        answer = client.get(address)
        said(answer)
    assert answer.status_code == 200
    return address, len(found)


@pytest.mark.parametrize("address", ["/cover.pdf", "/cover/ahead.pdf"])
def test_the_paper_lies_across(as_person, address):
    box = PdfReader(BytesIO(as_person("P-SAF").get(address).content)).pages[0].mediabox
    assert [round(float(one)) for one in (box.width, box.height)] == [842, 595]


@pytest.mark.parametrize("count", [9, 12, 16])
def test_no_column_is_cut_however_many_there_are(count):
    heads = ("Person", *(f"{word} connection" for word in "abcdefghijklmnop"[:count]))
    rows = [("Bartholomew Featherstonehaugh (P-0001)", *(["GAP: withdrawn 24 Sep 2027"] * count))] * 60
    pages = PdfReader(BytesIO(cover_pdf("Cover", "All", "4 Mar 2027", heads, rows))).pages
    said = [page.extract_text().split() for page in pages]
    assert [words.count("connection") for words in said] == [count] * len(pages)
    assert sum(words.count("withdrawn") for words in said) == 60 * count


def test_what_is_booked_is_drawn_and_things_that_stand_alike_share_a_bar(page):
    Award.objects.filter(award="A-OPE").update(expires_on=date(2027, 3, 20))
    Award.objects.create(award="A-OPE2", person_id="P-OPE", course_id="C-LOC", awarded_on=date(2027, 4, 1), recorded_at=cast.RECORDED)
    text = page("P-SAF", "/cover/ahead/")
    assert "diamond: a booked renewal begins" in text
    assert text.count(">Olu Hale: ") == 1  # one label for six techniques
