"""Records that change while somebody signs, and registers that are asked for more than they show."""

import pytest
from django.test import Client

from locates.permits import actions
from locates.permits.models import Permit, SignOff
from records.exchange.loading import load
from records.firm.models import Person
from records.ledger.chain import COMMAND_LINE
from tests import cast

pytestmark = pytest.mark.everywhere

PAGE = "/permits/PD-1/sign/"
# each changes something that is printed on the permit, and nothing that the gate looks at
LOADS = {
    "sites.csv": "site,name\nS-1,Another yard\n",
    "instruments.csv": "instrument,serial_no\nI-R1,re-9999\n",
    "awards.csv": "award,certificate_no\nA-ISS,N 9\n",
    "calibrations.csv": "calibration,laboratory\nK-I-R1,Another bench\n",
    "enquiries.csv": "enquiry,reference_no\nE-2,LW 9\n",
    "courses.csv": "course,title\nC-ISS,Another course\n",
    "people.csv": "person,name\nP-CR1,Jo Tallow\n",
    "permits.csv": "permit,crew\nPD-1,P-CR1\n",
}


def loaded(folder, file):
    (folder / file).write_text(LOADS[file])
    return load(folder, COMMAND_LINE, cast.AT)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("file", LOADS)
def test_a_load_between_the_page_and_the_signature_has_the_page_read_again(hands, tmp_path, file):
    cast.everything()
    issuer = Client()
    issuer.force_login(Person.objects.get(person="P-ISS"))
    seen = issuer.get(PAGE).context["seen"]
    assert loaded(tmp_path, file).written == {file: 1}
    answered = issuer.post(PAGE, {"password": cast.PASSWORD, "seen": seen})
    assert (answered.status_code, "what you were shown has changed" in answered.content.decode(), SignOff.objects.count()) == (409, True, 0)


@pytest.mark.django_db(transaction=True)
def test_a_load_changes_neither_a_signed_permit_nor_what_was_signed(tmp_path):
    cast.everything()
    made = actions.sign("PD-1", "P-ISS", "issue", cast.AT, actions.preview("PD-1", cast.AT).seen)
    assert "permit PD-1 is signed and does not change" in str(next(loaded(tmp_path, "permits.csv").problems()))
    for file in ("people.csv", "sites.csv"):
        (tmp_path / "permits.csv").unlink(missing_ok=True)
        assert loaded(tmp_path, file).wrong == 0
    assert (SignOff.objects.get().sheet, Permit.objects.get().crew.count()) == (made.sheet, 2)


@pytest.mark.usefixtures("scene")
@pytest.mark.parametrize("asked", ["password__startswith={}", "search={}", "person__password__startswith={}", "sort=password"])
@pytest.mark.parametrize("book", ["people", "awards", "locates", "checks"])
def test_no_book_tells_a_password_letter_by_letter(as_person, book, asked):
    first = Person.objects.get(person="P-ISS").password[:4]
    pages = [as_person("P-SAF").get(f"/records/{book}/?{asked.format(one)}") for one in (first, "md5$")]
    assert {one.status_code for one in pages} == {200}
    assert first not in pages[0].content.decode().replace(f'value="{first}"', "")
