"""The record of competence: one sheet, and only for who may see the person."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from locates.desks.paper import Competence, competence_pdf
from training.models import Award

pytestmark = pytest.mark.django_db


def pages(content):
    return PdfReader(BytesIO(content)).pages


def test_it_fits_one_page_with_as_much_as_there_can_be():
    row = (
        "Locating by passive power " * 2,
        "In date",
        "29 Sep 2027",
        "A-000000000001 " + "A long title " * 7,
        "CERT-" + "0" * 30,
        "Assessor " * 9,
    )
    sheet = Competence(
        "Olu Hale" * 5,
        "P-OPE",
        "Field & Furrow " * 4,
        "operator, supervisor",
        "4 Mar 2027",
        (row,) * 9,
        ("A renewal is booked " * 6,) * 12,
        ("Practice " * 90,) * 3,
    )
    assert len(pages(competence_pdf(sheet))) == 1


def test_it_says_who_and_until_when(as_person):
    (page,) = pages(as_person("P-OPE").get("/mine/competence.pdf").content)
    text = page.extract_text()
    assert "Olu Hale" in text
    assert "1 May 2029" in text


def test_it_shows_the_certificate_s_number_and_who_assessed(as_person):
    Award.objects.filter(pk="A-OPE").update(certificate_no="QX-55-1", assessor="Rua Lindqvist")
    (page,) = pages(as_person("P-OPE").get("/mine/competence.pdf").content)
    text = " ".join(page.extract_text().split())
    assert ("QX-55-1" in text, "Rua Lindqvist" in text) == (True, True)


def test_a_supervisor_reads_those_posted_to_their_sites_and_no_others(as_person):
    supervisor = as_person("P-ISS")
    answers = {person: supervisor.get(f"/people/{person}/competence.pdf").status_code for person in ("P-OPE", "P-FAR")}
    assert answers == {"P-OPE": 200, "P-FAR": 404}


def test_an_operator_reads_nobody_elses(as_person):
    assert as_person("P-CR2").get("/people/P-OPE/competence.pdf").status_code == 404
    assert as_person("P-CR2").get("/people/P-OPE/dates/").status_code == 404
