"""What the watch prints and answers, and that any number of them at once tell nothing twice."""

import pytest
from django.core.management import call_command

from locates.life.watching import Watched
from locates.watch.actions import tell_ahead
from locates.watch.models import Round, Told
from records.firm.models import Person
from records.ledger.facts import walked
from records.letters.models import Letter
from tests import cast
from tests.journeys.test_at_the_same_instant import at_once
from tests.letters.conftest import server
from tests.life.conftest import accepted
from tests.watch.conftest import TODAY, award, firm, later
from training.models import Award

__all__ = ["firm", "server"]
NOTHING_LIVE = "live permits: 0 looked at"
AT = "2027-03-04T08:30+13:00"


def watch(capsys, *words):
    """Its exit status, and what it printed."""
    with pytest.raises(SystemExit) as ended:
        call_command("watch", *words)
    return ended.value.code, [line for line in capsys.readouterr().out.splitlines() if line != NOTHING_LIVE]


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
    assert watch(capsys, "--at", AT) == (1, ["what lapses ahead: could not be looked at", "letters: 2 sent"])


@pytest.mark.django_db
def test_what_undoes_a_live_permit_is_dealt_with_and_told_and_what_cannot_be_judged_is_said(firm, capsys, monkeypatch, mailoutbox):
    monkeypatch.setattr("locates.watch.management.commands.watch.watched", lambda at: Watched(3, ["PD-1"], [], ["PD-2"], {"PD-3": "ValueError: torn"}))
    said = ["live permits: 3 looked at", "  suspended: PD-1", "  told of what ran out: PD-2", "  could not be dealt with: PD-3 (ValueError: torn)"]
    assert watch(capsys, "--at", AT) == (1, [*said, "what lapses ahead: 0 letters posted", "letters: none to send"])


@pytest.mark.django_db
def test_a_withdrawn_award_suspends_the_permit_and_its_people_are_written_to(db, capsys, mailoutbox):
    accepted()
    Person.objects.filter(pk="P-REC").update(email="marek@field.example")
    Award.objects.filter(pk="A-REC").update(withdrawn_on=TODAY, withdrawn_because="failed a reassessment")
    status, said = watch(capsys, "--at", "2027-03-04T10:30+13:00")
    assert (status, said[:2], said[-1]) == (0, ["live permits: 1 looked at", "  suspended: PD-1"], "letters: 1 sent")
    assert [mail.subject for mail in mailoutbox] == ["Permit PD-1 is suspended"]


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
