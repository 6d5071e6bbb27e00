"""What the watch prints and answers, and that any number of them at once tell nothing twice."""

import pytest
from django.core.management import call_command

from locates.watch.actions import tell_ahead
from locates.watch.models import Round, Told
from records.ledger.facts import walked
from records.letters.models import Letter
from tests import cast
from tests.journeys.test_at_the_same_instant import at_once
from tests.letters.conftest import server
from tests.watch.conftest import award, firm, later

__all__ = ["firm", "server"]
AT = "2027-03-04T08:30+13:00"


def watch(capsys, *words):
    """Its exit status, and what it printed."""
    with pytest.raises(SystemExit) as ended:
        call_command("watch", *words)
    return ended.value.code, capsys.readouterr().out.splitlines()


@pytest.mark.django_db
def test_it_tells_and_sends_and_says_so(firm, capsys, mailoutbox):
    award("A-1", "P-CR1", 14)
    assert watch(capsys, "--at", AT) == (0, ["what lapses ahead: 2 letters posted", "letters: 2 sent"])
    assert watch(capsys, "--at", AT) == (0, ["what lapses ahead: 0 letters posted", "letters: none to send"])
    assert sorted(mail.to[0] for mail in mailoutbox) == ["P-CR1@field.example", "P-SAF@field.example"]


@pytest.mark.django_db
def test_where_something_was_not_sent_it_answers_one_and_the_next_watch_sends_it(firm, server, capsys):
    award("A-1", "P-CR1", 14)
    server.down = True
    assert watch(capsys, "--at", AT) == (1, ["what lapses ahead: 2 letters posted", "letters: 1 waiting to be sent"])
    server.down = False
    assert watch(capsys, "--at", "2027-03-04T08:31+13:00") == (0, ["what lapses ahead: 0 letters posted", "letters: 2 sent"])


@pytest.mark.django_db
def test_where_lapses_could_not_be_told_the_letters_go_all_the_same(firm, capsys, monkeypatch):
    award("A-1", "P-CR1", 14)
    tell_ahead(cast.AT)
    monkeypatch.setattr("locates.watch.management.commands.watch.tell_ahead", lambda at: 1 // 0)
    assert watch(capsys, "--at", AT) == (1, ["what lapses ahead: could not be told", "letters: 2 sent"])


@pytest.mark.django_db
def test_a_call_that_is_none_answers_two(firm, capsys):
    assert watch(capsys, "--at", "soon") == (2, [])


@pytest.mark.django_db
def test_without_an_instant_it_asks_the_clock(firm, capsys, monkeypatch):
    award("A-1", "P-CR1", 14)
    monkeypatch.setattr("locates.watch.management.commands.watch.now", lambda: cast.AT)
    assert watch(capsys)[0] == 0
    assert Letter.objects.filter(sent_at=cast.AT).count() == 2


@pytest.mark.django_db
def test_a_watch_that_breaks_midway_leaves_nothing_and_the_next_does_it_all(firm, monkeypatch):
    award("A-1", "P-CR1", 14)
    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr("locates.watch.actions.post_all", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        tell_ahead(cast.AT)
    assert (Letter.objects.count(), Round.objects.count(), tell_ahead(later(minutes=1))) == (0, 0, 2)


@pytest.mark.django_db(transaction=True)
def test_of_two_watches_at_once_one_tells(firm):
    award("A-1", "P-CR1", 14)
    both = at_once(lambda: tell_ahead(cast.AT), lambda: tell_ahead(cast.AT))
    assert [one.raised for one in both] == [None, None]
    assert (Letter.objects.count(), Told.objects.count(), Round.objects.count(), walked().broken) == (2, 2, 1, None)
