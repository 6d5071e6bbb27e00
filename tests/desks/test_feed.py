"""The calendar at a private address: read by another library, moved by a renewal, shut when revoked."""

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from icalendar import Calendar

from locates.desks.models import FeedKey
from records.exchange.entering import enter
from records.firm.actions import actor
from records.firm.models import Person, RuleSet, Site
from records.ledger.models import Entry
from tests import cast
from training.models import Award

TOKEN = re.compile(rb'name="csrfmiddlewaretoken" value="[^"]*"')  # another in every answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(as_person):
    """Makes the person's address and gives it as it was shown."""

    def made(person="P-OPE"):
        page = as_person(person).post("/mine/calendar/", follow=True)
        return page.context["feed"].removeprefix("http://testserver")

    return made


def read(address):
    return Calendar.from_ical(Client().get(address).content)


def days(read):
    return {str(event["SUMMARY"]): event for event in read.walk("VEVENT")}


def record(file, row, at):
    assert not enter([(file, [row])], actor(Person.objects.get(pk="P-SAF")), at).problems


def renew(at):
    record("awards.csv", {"award": "A-NEW", "person": "P-OPE", "course": "C-LOC", "awarded_on": "2027-03-04"}, at)


def test_who_has_the_address_reads_the_last_good_days_without_signing_in(address):
    found = days(read(address()))
    assert found["Last good day: induction"].decoded("DTSTART") == date(2029, 5, 1)


def test_the_calendar_names_no_certificate(address):
    Award.objects.filter(pk="A-OPE").update(certificate_no="QX-55-1")
    assert b"QX-55-1" not in Client().get(address()).content


def test_a_renewal_moves_the_entry_and_adds_none(address, hands):
    where = address()
    before = days(read(where))["Last good day: induction"]
    hands.at += timedelta(hours=1)
    renew(hands.at)
    every = days(read(where))
    after = every["Last good day: induction"]
    assert after["UID"] == before["UID"]
    assert after.decoded("DTSTART") == date(2030, 3, 4) > before.decoded("DTSTART")
    assert after.decoded("SEQUENCE") > before.decoded("SEQUENCE")
    assert after.decoded("LAST-MODIFIED") > before.decoded("LAST-MODIFIED")


def test_a_longer_lead_moves_the_day_to_rebook_and_says_that_it_did(address, hands):
    RuleSet.objects.create(rule_set="yard", recorded_at=cast.RECORDED)
    Site.objects.update(rule_set_id="yard")
    where = address()
    before = days(read(where))["Book the refresher: induction"]
    hands.at += timedelta(hours=1)
    rule = {"rule_set": "yard", "effective_from": "2027-01-01", "key": "rebook_lead_days", "value": "120", "source": "the firm's own"}
    record("rules.csv", rule, hands.at)
    after = days(read(where))["Book the refresher: induction"]
    assert after["UID"] == before["UID"]
    assert after.decoded("DTSTART") == date(2029, 5, 1) - timedelta(days=120) != before.decoded("DTSTART")
    assert after.decoded("SEQUENCE") > before.decoded("SEQUENCE")


def test_no_two_entries_share_an_identifier(address):
    uids = [str(event["UID"]) for event in read(address()).walk("VEVENT")]
    assert len(uids) == len(set(uids)) > 0


def test_the_same_records_give_the_same_text_whenever_it_is_read(address, hands):
    where = address()
    before = Client().get(where).content
    hands.at += timedelta(hours=3)
    assert Client().get(where).content == before


def test_an_unchanged_calendar_is_not_sent_again(address):
    where = address()
    etag = Client().get(where)["ETag"]
    assert Client().get(where, headers={"If-None-Match": etag}).status_code == 304
    assert Client().get(where, headers={"If-None-Match": '"other"'}).status_code == 200


def test_nobody_keeps_a_copy_and_no_index_lists_it(address):
    answer = Client().get(address())
    assert "private" in answer["Cache-Control"]
    assert answer["X-Robots-Tag"] == "noindex"
    assert answer["Content-Type"].startswith("text/calendar")


def test_the_address_is_kept_as_a_digest_only(address):
    key = address().removeprefix("/feed/").removesuffix(".ics")
    kept = FeedKey.objects.get()
    assert key not in kept.digest
    assert not any(key in str(entry.__dict__) for entry in Entry.objects.all())


def test_the_address_is_shown_once(address, as_person):
    key = address().removeprefix("/feed/").removesuffix(".ics")
    assert key not in as_person("P-OPE").get("/mine/").content.decode()


def test_a_new_address_shuts_the_old_one(address):
    old = address()
    new = address()
    assert (Client().get(old).status_code, Client().get(new).status_code) == (404, 200)


def test_a_revoked_and_a_made_up_address_answer_alike(address, as_person):
    where = address()
    as_person("P-OPE").post("/mine/calendar/end/")
    revoked, made_up = Client().get(where), Client().get("/feed/nosuchkey.ics")
    assert revoked.status_code == made_up.status_code == 404
    assert TOKEN.sub(b"", revoked.content) == TOKEN.sub(b"", made_up.content)


def test_who_has_left_is_told_nothing(address, hands):
    where = address()
    Person.objects.filter(pk="P-OPE").update(left_on=date(2027, 3, 1))
    assert Client().get(where).status_code == 404


def test_guessing_is_slowed(address):
    address()
    answers = {Client().get(f"/feed/guess{n}.ics").status_code for n in range(12)}
    assert answers == {404, 429}


def test_guesses_do_not_shut_out_who_has_the_address(address):
    where = address()
    for n in range(12):
        Client().get(f"/feed/guess{n}.ics")
    assert Client().get(where).status_code == 200


def test_the_history_tells_of_both(address, as_person):
    address()
    as_person("P-OPE").post("/mine/calendar/end/")
    assert list(Entry.objects.filter(act__startswith="person.feed").order_by("seq").values_list("act", flat=True)) == ["person.feed.made", "person.feed.ended"]


def test_each_entry_is_stamped_with_when_the_records_behind_it_last_changed(address):
    renew(cast.AT)
    assert days(read(address()))["Last good day: induction"].decoded("DTSTAMP") == cast.AT
