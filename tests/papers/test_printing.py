"""Printing: what is a new version, what stays, who may, and what the history tells."""

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import DatabaseError, transaction
from django.test import Client

from locates.papers.actions import NoPaper
from locates.papers.facts import faults
from locates.papers.models import Paper
from locates.permits.actions import preview, sign
from locates.permits.models import Permit, SignOff
from records.files.store import place
from records.ledger.actions import errand
from records.ledger.chain import Actor
from records.ledger.models import Entry
from tests import cast
from tests.locates.printing import pages, words
from tests.papers.conftest import printed, signed
from training.models import Award

pytestmark = pytest.mark.django_db
PRINTS = Entry.objects.filter(act="permit.print")


def withdraw(award="A-CR1"):
    Award.objects.filter(award=award).update(withdrawn_on=date(2027, 3, 1), withdrawn_because="not seen at the refresher")


def restore():
    Award.objects.filter(award="A-CR1").update(withdrawn_on=None, withdrawn_because="")


def file_of(paper):
    return place(paper.sha256).read_bytes()


def test_nothing_is_issued_of_a_permit_that_nobody_signed(scene):
    with pytest.raises(NoPaper):
        printed()
    assert not Paper.objects.exists()
    assert not PRINTS.exists()


def test_the_first_paper_is_version_one(scene):
    signed()
    paper = printed()
    assert (paper.version, paper.person_id, paper.printed_at) == (1, "P-REC", cast.AT)
    assert "Permit to dig PD-1, version 1" in words(file_of(paper))


def test_printed_again_it_is_the_same_paper_and_nothing_is_written(scene):
    signed()
    first = printed()
    before = file_of(first)
    again = printed(cast.AT + timedelta(hours=1), "P-ISS")
    assert again == first
    assert file_of(again) == before
    assert PRINTS.count() == 1


def test_the_second_signature_makes_another_version_at_the_same_address(scene):
    signed(1)
    first = printed()
    sign("PD-1", "P-REC", "accept", cast.AT, preview("PD-1", cast.AT).seen)
    second = printed()
    assert (first.version, second.version) == (1, 2)
    assert first.key == second.key
    assert first.digest != second.digest


def test_a_block_that_comes_later_and_goes_makes_a_version_each(scene):
    signed()
    first = printed()
    withdraw()
    second, third = printed(cast.AT + timedelta(minutes=1)), printed(cast.AT + timedelta(minutes=9))
    restore()
    fourth = printed(cast.AT + timedelta(minutes=10))
    assert [first.version, second.version, third.version, fourth.version] == [1, 2, 2, 3]
    assert "NOT TO DIG" in words(file_of(second))
    assert fourth.digest == first.digest


def test_another_reason_for_the_block_is_another_version(scene):
    signed()
    withdraw()
    first = printed()
    withdraw("A-CR2")
    assert (first.version, printed().version) == (1, 2)


def test_a_paper_whose_file_is_lost_is_printed_anew(scene):
    signed()
    place(printed().sha256).unlink()
    assert printed(cast.AT + timedelta(minutes=1)).version == 2


def test_the_signed_sheet_stays_as_it_was(scene):
    signed()
    before = list(SignOff.objects.order_by("pk").values_list("sheet", "digest"))
    printed()
    withdraw()
    printed()
    assert list(SignOff.objects.order_by("pk").values_list("sheet", "digest")) == before


def test_two_permits_have_two_addresses(scene):
    cast.permit("PD-5")
    signed()
    signed(permit="PD-5")
    assert printed().key != printed(permit="PD-5").key


def test_number_and_address_stand_on_the_paper_and_the_number_on_every_page(scene):
    signed()
    paper = printed()
    found = pages(file_of(paper))
    assert f"permits.example/p/{paper.key}/1-{paper.digest[:8]}/" in found[0].replace(" ", "")
    assert [page for page in found if "Permit to dig PD-1, version 1" not in page] == []


def test_the_paper_says_who_printed_it_and_when(scene):
    signed()
    assert "Printed 4 Mar 2027 08:30 UTC+13:00 by Marek Tane." in words(file_of(printed()))


def test_a_copy_to_read_says_that_it_is_none_to_work_on_and_bears_no_number(scene, as_person):
    signed()
    found = words(as_person("P-REC").get("/permits/PD-1/paper.pdf").content)
    assert "A copy to read: it bears no number" in found
    assert "version" not in found
    assert not Paper.objects.exists()


def test_the_history_tells_of_the_paper_but_not_of_its_address(scene):
    signed()
    paper = printed()
    entry = PRINTS.get()
    assert (entry.actor_id, entry.subject_id, entry.label) == ("P-REC", "PD-1", "PD-1, version 1")
    assert paper.sha256 in entry.body
    assert paper.key not in str(entry.__dict__)


def test_an_issued_paper_cannot_be_altered_or_removed(scene):
    signed()
    paper = printed()
    for attempt in (lambda: Paper.objects.update(digest="0" * 64), lambda: Paper.objects.filter(pk=paper.pk).delete()):
        with pytest.raises(DatabaseError, match="never changed or removed"), transaction.atomic():
            attempt()


def test_a_sound_paper_has_no_fault(scene):
    signed()
    printed()
    assert list(faults()) == []


def test_an_altered_file_is_found(scene):
    signed()
    paper = printed()
    place(paper.sha256).write_bytes(file_of(paper).replace(b"%PDF-1.", b"%PDF-9."))
    assert list(faults()) == ["paper PD-1, version 1: its file is gone or is not what it was"]


def test_a_paper_that_the_history_does_not_know_is_found(scene):
    signed()
    one = printed()
    same = {"key": one.key, "digest": one.digest, "sha256": one.sha256, "person_id": "P-SAF"}
    Paper.objects.create(permit_id="PD-1", version=7, printed_at=cast.AT, recorded_at=cast.AT, **same)
    assert list(faults()) == ["paper PD-1, version 7: the history does not tell of it so"]


# the button


@pytest.mark.parametrize(("person", "status"), [("P-REC", 302), ("P-CR1", 302), ("P-SAF", 302), ("P-FAR", 404)])
def test_who_may_see_the_permit_may_print_it(scene, as_person, person, status):
    signed()
    assert as_person(person).post("/permits/PD-1/print/").status_code == status
    assert Paper.objects.filter(person=person).exists() is (status == 302)


def test_pressed_it_leads_to_the_paper_as_it_was_issued(scene, as_person):
    signed()
    client = as_person("P-REC")
    answer = client.post("/permits/PD-1/print/", follow=True)
    assert answer.redirect_chain == [("/permits/PD-1/papers/1.pdf", 302)]
    assert answer["Content-Type"] == "application/pdf"
    assert b"".join(answer.streaming_content) == file_of(Paper.objects.get())


def test_a_mere_visit_prints_nothing(scene, as_person):
    signed()
    assert as_person("P-REC").get("/permits/PD-1/print/").status_code == 405
    assert not Paper.objects.exists()


def test_unsigned_it_says_why_nothing_was_printed(scene, as_person):
    answer = as_person("P-REC").post("/permits/PD-1/print/", follow=True)
    assert "Nobody has signed this permit yet" in answer.content.decode()


@pytest.mark.parametrize(("person", "status"), [("P-CR1", 200), ("P-FAR", 404), ("P-SAF", 200)])
def test_an_issued_paper_is_there_for_who_may_see_its_permit(scene, as_person, person, status):
    signed()
    printed()
    assert as_person(person).get("/permits/PD-1/papers/1.pdf").status_code == status


def test_strangers_are_sent_to_the_door_from_an_issued_paper(scene):
    signed()
    printed()
    assert Client().get("/permits/PD-1/papers/1.pdf").headers["Location"].startswith("/sign-in/")


def test_a_version_that_was_never_printed_is_not_there(scene, as_person):
    signed()
    printed()
    assert as_person("P-REC").get("/permits/PD-1/papers/2.pdf").status_code == 404


def test_a_lost_file_is_told_and_not_shown(scene, as_person):
    signed()
    place(printed().sha256).unlink()
    assert as_person("P-REC").get("/permits/PD-1/papers/1.pdf").status_code == 410


def test_the_button_is_there_once_somebody_has_signed(scene, as_person):
    client = as_person("P-REC")
    assert "/permits/PD-1/print/" not in client.get("/permits/PD-1/").content.decode()
    signed(1)
    assert "/permits/PD-1/print/" in client.get("/permits/PD-1/").content.decode()
    assert Permit.objects.get(pk="PD-1").papers.count() == 0


def test_a_paper_that_is_told_of_and_not_on_record_is_found(scene):
    signed()
    paper = printed()
    with errand(Actor("P-SAF", "Hana Petros"), cast.AT) as underway:
        underway.write("permit.print", "permit", "PD-1", "PD-1, version 2", cast.AT, after={"version": 2})
    assert paper.version == 1
    assert list(faults()) == ["the history tells of paper PD-1, version 2, which is not on record"]


def test_verify_looks_at_papers_too(scene):
    signed()
    place(printed().sha256).unlink()
    said = StringIO()
    with pytest.raises(SystemExit):
        call_command("verify", stdout=said)
    assert "FAILS: paper PD-1, version 1: its file is gone or is not what it was" in said.getvalue()


@pytest.mark.parametrize(("own", "root"), [("https://permits.example/", "https://permits.example/p/"), ("", "http://testserver/p/")])
def test_a_paper_bears_the_sites_own_address_where_that_is_set(as_person, settings, own, root):
    settings.SITE_ADDRESS = own
    signed()
    answered = as_person("P-ISS").post("/permits/PD-1/print/")
    assert answered.status_code in (200, 302)
    said = words(file_of(Paper.objects.get())).replace("\n", "")
    assert root in said.replace(" ", "")
