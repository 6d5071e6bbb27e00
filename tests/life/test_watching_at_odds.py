"""The watch when something goes wrong, what its letters say, and how much it asks of the database."""

from datetime import date, timedelta

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext

from locates.life import actions, telling, watching
from locates.life.actions import step, unaided
from locates.life.watching import watched
from locates.permits.models import Permit
from records.firm.models import Person, Site
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from records.letters.actions import deliver
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import LATER, done
from tests.life.watching import END, EVERYONE, NEXT_DAY, NOTHING, acts, found, lapse, mend, more, withdraw
from training.models import Award

pytestmark = pytest.mark.usefixtures("signed")


# letters


def test_everyone_on_it_and_the_safety_managers_are_told_with_the_step_and_each_once():
    Person.objects.update(email="somebody@example.org")
    withdraw()
    watched(LATER)
    assert sorted(Letter.objects.values_list("person", flat=True)) == EVERYONE
    deliver(LATER)
    watched(LATER + timedelta(minutes=1))
    deliver(LATER + timedelta(minutes=1))
    assert len(mail.outbox) == len(EVERYONE)
    assert "Permit PD-1 is suspended" in mail.outbox[0].subject
    assert "was withdrawn on 1 Mar 2027. Nobody digs by it until that is mended" in mail.outbox[0].body


def test_who_has_left_is_not_told(monkeypatch):
    lapse()
    Person.objects.filter(pk="P-SAF").update(left_on=date(2027, 1, 1))
    assert found(NEXT_DAY)[2] == ["PD-1"]
    assert "P-SAF" not in Letter.objects.values_list("person", flat=True)
    assert found(NEXT_DAY) == NOTHING


# what goes wrong


def broken_off(monkeypatch, place, name):
    """Once, that breaks off."""
    whole, times = getattr(place, name), []

    def breaks(*given, **more):
        times.append(1)
        if len(times) == 1:
            raise OSError("the power went")
        return whole(*given, **more)

    monkeypatch.setattr(place, name, breaks)


@pytest.mark.parametrize(("place", "name"), [(actions, "told"), (actions, "tell_unaided"), (telling, "post_all"), (actions, "outlook")])
def test_broken_off_inside_the_errand_nothing_is_left_and_the_next_watch_does_it_whole(monkeypatch, place, name):
    withdraw()
    before = Entry.objects.count()
    broken_off(monkeypatch, place, name)
    assert found() == ([], [], [], ["PD-1"])
    assert (acts(), Entry.objects.count(), Letter.objects.count()) == ([], before, 0)
    assert found() == (["PD-1"], [], [], [])
    assert (acts(), Letter.objects.count()) == (["undone"], len(EVERYONE))


def test_broken_off_while_telling_what_ran_out_it_is_told_the_next_time(monkeypatch):
    lapse()
    broken_off(monkeypatch, watching, "posted")
    assert found(NEXT_DAY) == ([], [], [], ["PD-1"])
    assert found(NEXT_DAY) == ([], [], ["PD-1"], [])


def test_one_that_cannot_be_judged_is_reported_and_stops_no_other(monkeypatch):
    more("PD-2", "PD-3")
    withdraw()
    judge = watching.assess

    def fails(evidence, at):
        if evidence.permit.permit == "PD-2":
            raise ValueError("no such ground")
        return judge(evidence, at)

    monkeypatch.setattr(watching, "assess", fails)
    report = watched(LATER)
    assert (report.live, report.suspended, report.troubled) == (3, ["PD-1", "PD-3"], {"PD-2": "ValueError: no such ground"})


def test_one_whose_record_cannot_even_be_read_is_reported_and_stops_no_other():
    more("PD-2", "PD-3")
    lift_guards(connection, all_guards())
    elsewhere = Site.objects.create(site="S-2", name="Gravel end", time_zone=cast.ZONE, rule_set_id="default", owners_to_ask=(), recorded_at=cast.RECORDED)
    Permit.objects.filter(pk="PD-2").update(outline="no shape", site=elsewhere)
    withdraw()
    assert found() == (["PD-1", "PD-3"], [], [], ["PD-2"])


def test_one_that_cannot_be_read_is_still_ended_by_its_time():
    more("PD-2")
    lift_guards(connection, all_guards())
    Permit.objects.filter(pk="PD-2").update(outline="no shape")
    assert found(END) == ([], ["PD-1", "PD-2"], [], [])


def test_mended_while_the_watch_was_at_it_it_is_left_alone(monkeypatch):
    withdraw()
    deal = watching.unaided

    def mended_first(*given):
        mend()
        return deal(*given)

    monkeypatch.setattr(watching, "unaided", mended_first)
    before = Entry.objects.count()
    assert found() == NOTHING
    assert (acts(), Entry.objects.count()) == ([], before)


def test_a_clock_that_is_behind_what_stands_there_is_reported_and_writes_nothing():
    done("extend", "P-ISS", LATER, until=END + timedelta(hours=1))
    withdraw()
    report = watched(LATER - timedelta(minutes=5))
    assert (report.suspended, list(report.troubled), acts()) == ([], ["PD-1"], ["extend"])
    assert found()[0] == ["PD-1"]


def test_a_permit_that_is_none_is_nobody_s():
    with pytest.raises(Permit.DoesNotExist):
        unaided("PD-9", LATER)


def test_nobody_takes_a_step_of_the_watch():
    withdraw()
    for act in ("undone", "time_up"):
        with pytest.raises((actions.OutOfTurn, actions.NotTheirs)):
            step("PD-1", "P-ISS", actions.Wish(act, why="so"), LATER, "")


# how much it asks


def queries(at):
    with CaptureQueriesContext(
        connection,
    ) as asked:
        watched(at)
    return len(asked)


def test_an_idle_watch_asks_as_much_of_ten_permits_as_of_one():
    one = queries(LATER)
    more(*(f"PD-{number}" for number in range(2, 11)))
    assert queries(LATER) == one


def test_what_ran_out_and_was_told_costs_no_more_of_ten_permits_than_of_one():
    lapse()
    watched(NEXT_DAY)
    one = queries(NEXT_DAY)
    mend_again = Award.objects.filter(award="A-OPE")
    mend_again.update(expires_on=None)
    more(*(f"PD-{number}" for number in range(2, 11)))
    lapse()
    watched(NEXT_DAY)
    assert queries(NEXT_DAY) == one


def test_more_than_a_batch_are_all_looked_at(monkeypatch):
    monkeypatch.setattr(watching, "BATCH", 2)
    more("PD-2", "PD-3", "PD-4", "PD-5")
    withdraw()
    report = watched(LATER)
    assert (report.live, report.suspended) == (5, ["PD-1", "PD-2", "PD-3", "PD-4", "PD-5"])


def test_what_is_over_is_looked_at_no_more():
    more("PD-2")
    assert watched(END).live == 2
    assert watched(END + timedelta(hours=1)).live == 0
