"""Who sees which letters, and what the page says of them."""

import pytest
from django.utils.html import escape

from records.firm.models import Person
from records.ledger.actions import errand
from records.letters.actions import New, deliver, post_all
from tests import cast
from tests.letters.conftest import BY, FAULTS, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def written(scene, staff_of, server):
    """A letter that went, one that perhaps did not, and one to somebody without an address."""
    write("a", "P-ISS")
    deliver(cast.AT)
    write("b", "P-SAF")
    server.fault = FAULTS["broke off"]
    deliver(cast.AT)
    write("c", "P-CR1", subject="Permit PD-7 was stopped")


def test_everyone_reads_what_was_written_to_them_and_the_safety_manager_all(written, as_person):
    assert [len(as_person(who).get("/letters/").context["lines"]) for who in ("P-ISS", "P-CR1", "P-OPE", "P-SAF")] == [1, 1, 0, 3]


def test_the_page_says_how_each_stands_and_finds_what_was_not_sent(written, as_person):
    office = as_person("P-SAF")
    words = [line["word"] for line in office.get("/letters/").context["lines"]]
    assert words == ["No address on record", "Perhaps not sent", "Sent"]
    assert "the mail server broke off" in office.get("/letters/").content.decode()
    expected = {"state=lost": 2, "state=sent": 1, "to=ines": 1, "about=PD-7": 1, "to=nobody": 0, "state=x": 3}
    expected |= {"since=2027-03-04": 3, "since=2027-03-05": 0, "since=soon": 3, "since=0001-01-01": 3, "since=9999-12-31": 3}
    assert {asked: len(office.get(f"/letters/?{asked}").context["lines"]) for asked in expected} == expected


def test_what_merely_tells_ahead_to_nowhere_is_not_among_what_may_not_have_arrived(written, as_person):
    with errand(BY, cast.AT, may_be_empty=True) as underway:
        post_all(underway, [New("d", Person.objects.get(pk="P-CR1"), "1 thing lapses soon", "", pressing=False)], cast.AT)
    office = as_person("P-SAF")
    assert [len(office.get(f"/letters/?state={state}").context["lines"]) for state in ("lost", "no_address")] == [2, 2]


def test_another_than_the_safety_manager_cannot_ask_for_other_people_s(written, as_person):
    assert as_person("P-OPE").get("/letters/?to=P-ISS").context["lines"] == []


def test_what_a_letter_says_is_shown_as_text(scene, as_person, staff_of):
    write(subject="<b>PD-1</b>")
    shown = as_person("P-ISS").get("/letters/").content.decode()
    assert (escape("<b>PD-1</b>") in shown, "<b>PD-1</b>" in shown, "Nobody digs by it." in shown) == (True, False, True)


def test_ten_letters_cost_as_many_queries_as_a_thousand(scene, as_person, staff_of, django_assert_max_num_queries):
    office = as_person("P-SAF")
    for n in range(10):
        write(f"k{n}")
    with django_assert_max_num_queries(50) as few:
        office.get("/letters/")
    for n in range(90):
        write(f"m{n}")
    with django_assert_max_num_queries(len(few)):
        assert len(office.get("/letters/").context["lines"]) == 25
