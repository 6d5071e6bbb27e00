"""Somebody who reads where they should not, and text that would be more than text."""

import re
from io import BytesIO

import pytest
from django.utils.html import escape
from pypdf import PdfReader

from locates.instruments.models import Calibration, Instrument
from locates.permits import actions
from locates.permits.models import Permit
from locates.surveys.models import Enquiry
from records.firm.models import Person, Site
from tests import cast
from training.models import Award, Course

pytestmark = pytest.mark.usefixtures("scene")

ODD = ["pd-1", "PD-1%20", "%20PD-1", "PD-1%00", "%00", "PD-1%2F", "..%2FPD-1", "%EF%BC%B0D-1", "PD%E2%80%901", "PD-1%0A", "%ED%A0%80", "PD-1;", "PD-1%27--"]
PARTS = ["", "paper.pdf", "sign/", "signed/issue/", "signed/issue/paper.pdf"]
MARKUP = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</text></svg><script>1</script>",
    "<para><b>x</b>&amp;<img src='file:///etc/hostname'/>",
]


@pytest.mark.parametrize("name", ODD)
def test_no_spelling_of_a_permit_but_its_own_opens_it(as_person, name):
    client = as_person("P-SAF", raise_request_exception=False)
    assert {client.get(f"/permits/{name}/{part}").status_code for part in PARTS} == {404}


@pytest.mark.parametrize("part", PARTS)
def test_whom_a_permit_does_not_name_learns_nothing_from_any_of_its_pages(as_person, part):
    actions.sign("PD-1", "P-ISS", "issue", cast.AT, actions.preview("PD-1", cast.AT).seen)
    stranger = as_person("P-FAR")
    answers = [stranger.get(f"/permits/{name}/{part}") for name in ("PD-1", "PD-0")]
    told = [(one.status_code, re.sub(r'value="\w{64}"', "", one.content.decode())) for one in answers]
    assert told[0] == told[1] and told[0][0] == 404


@pytest.mark.parametrize("asked", ["", "?search=PD-1", "?site=S-1", "?state=issued", "?verdict=clear", "?sort=permit&page=1"])
def test_neither_the_list_nor_its_file_tells_a_stranger_of_a_permit(as_person, asked):
    stranger = as_person("P-FAR")
    file = b"".join(stranger.get(f"/permits.csv{asked}").streaming_content).decode()
    assert "Quay yard" not in stranger.get(f"/{asked}").content.decode()
    assert (len(file.splitlines()), "PD-1" in file) == (1, False)


def everywhere(text):
    """The text in every column that somebody fills in freely."""
    plain = text.replace(";", "")
    Permit.objects.update(work=text)
    Site.objects.update(name=text, owners_to_ask=(plain, "Lowtide Water"))
    Person.objects.update(name=text, employer=text, email=text)
    Enquiry.objects.filter(enquiry="E-1").update(service_owner=plain, reference_no=text)
    Award.objects.update(certificate_no=text)
    Course.objects.update(title=text)
    Instrument.objects.update(serial_no=text, description=text)
    Calibration.objects.update(certificate_no=text, laboratory=text)


@pytest.mark.parametrize("text", MARKUP)
def test_markup_in_any_column_stays_text_on_every_page_and_drawing(as_person, text):
    everywhere(text)
    actions.sign("PD-1", "P-ISS", "issue", cast.AT, actions.preview("PD-1", cast.AT).seen)
    for person, address in (("P-REC", "/"), ("P-REC", "/permits/PD-1/"), ("P-REC", "/permits/PD-1/sign/"), ("P-REC", "/permits/PD-1/signed/issue/")):
        said = as_person(person).get(address).content.decode()
        assert text not in said and "<script" not in said.replace('<script src="/static/', "") and escape(text) in said


@pytest.mark.parametrize("text", MARKUP)
def test_markup_in_any_column_stays_text_on_paper(as_person, text):
    everywhere(text)
    paper = PdfReader(BytesIO(as_person("P-ISS").get("/permits/PD-1/paper.pdf").content))
    words = "".join(page.extract_text() for page in paper.pages)
    assert "".join(text.split()) in "".join(words.split())
    assert not any("/Annots" in page for page in paper.pages) and "/OpenAction" not in paper.trailer["/Root"]
