"""The record of competence: one sheet, and only for who may see the person."""

from io import BytesIO

import pytest
from pypdf import PdfReader

pytestmark = pytest.mark.django_db


def pages(content):
    return PdfReader(BytesIO(content)).pages


def test_it_says_who_and_until_when(as_person):
    (page,) = pages(as_person("P-OPE").get("/mine/competence.pdf").content)
    text = page.extract_text()
    assert "Olu Hale" in text
    assert "1 May 2029" in text


def test_a_supervisor_reads_those_posted_to_their_sites_and_no_others(as_person):
    supervisor = as_person("P-ISS")
    answers = {person: supervisor.get(f"/people/{person}/competence.pdf").status_code for person in ("P-OPE", "P-FAR")}
    assert answers == {"P-OPE": 200, "P-FAR": 404}


def test_an_operator_reads_nobody_elses(as_person):
    assert as_person("P-CR2").get("/people/P-OPE/competence.pdf").status_code == 404
    assert as_person("P-CR2").get("/people/P-OPE/dates/").status_code == 404
