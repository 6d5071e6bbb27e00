"""Printing a permit from the records: which sheet is printed, and the command that writes it."""

import json
from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from locates.permits.actions import preview, sign
from locates.permits.models import Permit, SignOff
from locates.permits.printing import sheet_to_print
from locates.permits.rules.signing import ACCEPT, ISSUE
from locates.permits.sheet import digest
from records.firm.models import Person
from tests import cast
from tests.locates.printing import words
from training.models import Award

pytestmark = pytest.mark.django_db
LATER = cast.AT + timedelta(minutes=5)


def signed(*meanings):
    cast.everything()
    for person, meaning in zip(("P-ISS", "P-REC"), meanings, strict=False):
        sign("PD-1", person, meaning, cast.AT, preview("PD-1", cast.AT).seen)


def withdraw():
    Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="not seen at the refresher")


def write(tmp_path, *words_, at=LATER):
    """The exit status, what was said, and the file."""
    said, out = StringIO(), tmp_path / "permit.pdf"
    try:
        call_command("permit_pdf", "PD-1", "--out", str(out), "--at", at.isoformat(), *words_, stdout=said, stderr=said)
    except SystemExit as ended:
        return ended.code, said.getvalue(), out
    return 0, said.getvalue(), out


def test_an_unsigned_permit_is_printed_as_it_stands():
    signed()
    assert sheet_to_print("PD-1", LATER)["kind"] == "unsigned"
    withdraw()
    assert sheet_to_print("PD-1", LATER)["kind"] == "blocked"


def test_an_issued_permit_is_printed_as_it_was_issued():
    signed(ISSUE)
    assert digest(sheet_to_print("PD-1", LATER)) == SignOff.objects.get().digest


def test_an_issued_permit_that_is_blocked_since_is_printed_as_blocked():
    signed(ISSUE)
    withdraw()
    found = sheet_to_print("PD-1", LATER)
    assert found["kind"] == "blocked"
    assert [one["name"] for one in found["signatures"]] == ["Ines Harrow"]


def test_a_signed_permit_is_printed_word_for_word_as_it_was_signed():
    signed(ISSUE, ACCEPT)
    Person.objects.filter(person="P-ISS").update(name="Ines Harrow-Reyes")
    last = SignOff.objects.order_by("pk").last()
    assert sheet_to_print("PD-1", LATER) == json.loads(last.sheet)
    assert digest(sheet_to_print("PD-1", LATER)) == last.digest


def test_what_came_to_be_known_after_the_signatures_is_printed_beside_them():
    signed(ISSUE, ACCEPT)
    withdraw()
    found = sheet_to_print("PD-1", LATER)
    assert [one["code"] for one in found["later"]["blocks"]] == ["crew.withdrawn"]
    assert found["blocks"] == []


def test_a_permit_is_printed_as_of_an_instant_before_its_signature():
    signed(ISSUE)
    assert sheet_to_print("PD-1", cast.AT - timedelta(minutes=1))["kind"] == "unsigned"


def test_a_permit_that_is_not_there_is_not_printed():
    with pytest.raises(Permit.DoesNotExist):
        sheet_to_print("PD-1", LATER)


def test_the_command_writes_the_paper(tmp_path):
    signed(ISSUE, ACCEPT)
    status, said, out = write(tmp_path)
    assert (status, said) == (0, f"{out}: permit PD-1\n")
    assert "Signed by Marek Tane (P-REC)" in words(out.read_bytes())


def test_the_command_twice_at_one_instant_writes_the_same_bytes(tmp_path):
    signed()
    first = write(tmp_path)[2].read_bytes()
    assert write(tmp_path)[2].read_bytes() == first


def test_the_command_tells_the_instant_that_it_was_given(tmp_path):
    signed()
    assert "judged at 4 Mar 2027 08:35 UTC+13:00" in words(write(tmp_path)[2].read_bytes())


def test_the_command_refuses_an_unknown_permit(tmp_path):
    status, said, out = write(tmp_path)
    assert (status, said) == (2, "There is no permit PD-1.\n")
    assert not out.exists()


@pytest.mark.parametrize("instant", ["yesterday", "2027-03-04T08:30"])
def test_the_command_refuses_an_instant_that_is_none(tmp_path, instant):
    signed()
    status, said, out = write(tmp_path, "--at", instant)
    assert status == 2
    assert instant in said
    assert not out.exists()


def test_the_command_says_where_it_cannot_write(tmp_path):
    signed()
    status, said, _ = write(tmp_path, "--out", str(tmp_path / "nowhere" / "permit.pdf"))
    assert status == 2
    assert "nowhere" in said
