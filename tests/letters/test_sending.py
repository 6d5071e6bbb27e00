"""A letter is posted with what it tells of, goes once, and says what became of it."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction

from records.firm.models import Person
from records.ledger.actions import errand
from records.letters.actions import New, deliver, post, post_all
from records.letters.facts import letters
from records.letters.models import Letter
from records.letters.rules import KEPT_TRYING, wait
from tests import cast
from tests.letters.conftest import BY, FAULTS, after, letter, write

pytestmark = pytest.mark.django_db


def state(key="k", at=cast.AT):
    return letters(Person.objects.get(pk="P-SAF"), at).get(key=key).state


def test_a_posted_letter_waits_and_then_goes_to_its_person_alone(staff, mailoutbox):
    assert (write(), state()) == (True, "waiting")
    assert deliver(after(minutes=1)) == {"sent": 1}
    (mail,) = mailoutbox
    assert (mail.to, mail.subject) == (["P-ISS@field.example"], "Permit PD-1 was stopped")
    assert mail.body == "Nobody digs by it.\n\nSpadework, on behalf of your firm"
    assert (letter().sent_at, state(at=after(minutes=1))) == (after(minutes=1), "sent")


def test_under_the_same_key_nothing_is_posted_twice(staff, mailoutbox):
    assert (write(), write(to="P-SAF"), Letter.objects.count()) == (True, False, 1)
    deliver(cast.AT)
    assert (write(at=after(days=400)), deliver(after(days=400)), len(mailoutbox)) == (False, {}, 1)


def test_a_key_may_be_of_any_length(staff):
    key = "permit/PD-1/plans.lapsed/owner:" + "Ødemark Vannverk " * 99
    assert (write(key + "a"), write(key + "b"), write(key + "a")) == (True, True, False)


def test_a_letter_goes_with_the_errand_that_failed(staff):
    with pytest.raises(RuntimeError, match="undone"), errand(BY, cast.AT) as underway:
        post(underway, "k", Person.objects.get(pk="P-ISS"), "a", "b", cast.AT)
        raise RuntimeError("undone")
    assert not Letter.objects.exists()


def test_without_an_address_it_stands_as_such_and_goes_nowhere_even_when_one_comes(staff, mailoutbox):
    write(to="P-CR1")
    Person.objects.filter(pk="P-CR1").update(email="jo@field.example")
    assert (deliver(cast.AT), state(), len(mailoutbox)) == ({}, "no_address", 0)


def test_who_has_left_is_not_written_to(staff):
    Person.objects.filter(pk="P-ISS").update(left_on=date(2027, 3, 1))
    assert (write(), Letter.objects.count()) == (False, 0)


def test_a_subject_is_one_line_whatever_names_hold(staff, mailoutbox):
    write(subject="Stopped at Quay\r\nBcc: x@y.example yard")
    assert (deliver(cast.AT), mailoutbox[0].subject) == ({"sent": 1}, "Stopped at Quay Bcc: x@y.example yard")


def test_where_the_server_is_out_of_reach_it_is_tried_again_and_the_rest_waits(staff, server, mailoutbox):
    write("a")
    write("b")
    server.down = True
    assert (deliver(cast.AT), state("a"), state("b")) == ({"waiting": 1}, "waiting", "waiting")
    assert [letter(key).tries for key in "ab"] == [1, 0]
    server.down = False
    assert deliver(after(seconds=59)) == {"sent": 1}
    assert (letter("a").sent_at, deliver(after(minutes=1)), len(mailoutbox)) == (None, {"sent": 1}, 2)


def test_it_is_tried_a_bounded_number_of_times_and_then_stands_as_not_sent(staff, server):
    write()
    server.down, at = True, cast.AT
    while at < after(days=30):
        deliver(at)
        at += timedelta(minutes=20)
    assert (letter().tries, state(at=at)) == (13, "not_sent")
    assert wait(14) > KEPT_TRYING


def test_what_is_refused_for_now_is_tried_again_and_what_is_refused_is_not(staff, server):
    for key, fault in (("a", "refused for now"), ("b", "refused"), ("c", "sender refused")):
        write(key)
        server.fault = FAULTS[fault]
        deliver(cast.AT)
    server.fault = None
    assert [state(key) for key in "abc"] == ["waiting", "not_sent", "not_sent"]
    assert (deliver(after(minutes=5)), state("a", after(minutes=5)), letter("b").why_not) == ({"sent": 1}, "sent", "the mail server refused it (550)")


@pytest.mark.parametrize("fault", ["broke off", "not after the data", "timed out"])
def test_where_it_is_not_certain_that_nothing_went_it_is_never_tried_again(staff, server, mailoutbox, fault):
    write()
    server.fault = FAULTS[fault]
    assert (deliver(cast.AT), state()) == ({"perhaps": 1}, "perhaps")
    server.fault = None
    assert (deliver(after(hours=1)), state(at=after(hours=1)), mailoutbox) == ({}, "perhaps", [])


def test_after_a_crash_between_taking_and_sending_it_is_perhaps_not_sent(staff, monkeypatch, mailoutbox):
    write()
    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr("records.letters.sending.EmailMessage", lambda *_, **__: (_ for _ in ()).throw(KeyboardInterrupt))
        deliver(cast.AT)
    assert (state(at=after(minutes=5)), state(at=after(minutes=11))) == ("under_way", "perhaps")
    assert (deliver(after(hours=1)), mailoutbox) == ({}, [])


def test_an_address_that_is_none_is_said_to_be_so(staff, mailoutbox):
    Person.objects.filter(pk="P-ISS").update(email="Ines\nHarrow")
    write()
    assert (deliver(cast.AT), state(), letter().why_not) == ({"not_sent": 1}, "not_sent", "the address on record is not one that mail can go to")


def test_without_a_mail_server_it_is_not_said_to_be_sent(staff, settings, capsys):
    write()
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    assert (deliver(cast.AT), state(), "no mail server is set" in letter().why_not) == ({"not_sent": 1}, "not_sent", True)
    assert "Nobody digs by it." in capsys.readouterr().out


def test_what_presses_goes_first_and_no_more_than_asked_for(staff, mailoutbox):
    with errand(BY, cast.AT, may_be_empty=True) as underway:
        post_all(underway, [New(f"d{n}", Person.objects.get(pk="P-OPE"), f"Digest {n}", "", pressing=False) for n in range(3)], cast.AT)
    write(at=after(minutes=1))
    assert deliver(after(minutes=1), limit=2) == {"sent": 2}
    assert [mail.subject for mail in mailoutbox] == ["Permit PD-1 was stopped", "Digest 0"]


def test_nothing_is_sent_inside_an_errand(staff, mailoutbox):
    write()
    with pytest.raises(RuntimeError, match="durable"), errand(BY, cast.AT, may_be_empty=True) as underway:
        deliver(underway.at)
    assert mailoutbox == []


@pytest.mark.parametrize(
    "change",
    [
        lambda rows: rows.update(text="Dig on."),
        lambda rows: rows.update(person="P-SAF"),
        lambda rows: rows.update(address="x@y.example"),
        lambda rows: rows.update(posted_at=after(hours=1)),
        lambda rows: rows.update(sent_at=after(hours=1)),
        lambda rows: rows.delete(),
        lambda rows: rows._raw_delete("default"),
    ],
)
@pytest.mark.parametrize("sent", [False, True])
def test_the_database_keeps_what_was_written_and_that_it_was_sent(staff, change, sent):
    write()
    if sent:
        deliver(cast.AT)
    with pytest.raises(IntegrityError), transaction.atomic():
        change(Letter.objects.all())


@pytest.mark.parametrize("many", [1, 100])
def test_any_number_of_letters_is_looked_up_at_once(staff, django_assert_max_num_queries, many):
    some = [New(f"k{n}", Person.objects.get(pk="P-ISS"), "a", "b") for n in range(many)]
    with errand(BY, cast.AT, may_be_empty=True) as underway, django_assert_max_num_queries(9) as asked:
        assert len(post_all(underway, some, cast.AT)) == many
    assert sum(one["sql"].startswith("SELECT") for one in asked.captured_queries) == 1
