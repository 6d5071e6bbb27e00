"""Two people at one permit at the same instant, each on a connection of their own, on whichever database the tests run."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from threading import Barrier, Event, Thread
from typing import Any

import pytest
from django.db import connection

from locates.permits import actions
from locates.permits.facts import gather_one
from locates.permits.models import SignOff
from locates.permits.rules.gate import assess
from records.exchange.loading import Loaded, load
from records.ledger.chain import COMMAND_LINE
from records.ledger.facts import walked
from records.ledger.models import Entry
from tests import cast
from training.models import Award

pytestmark = pytest.mark.django_db(transaction=True)

A_MOMENT = 0.5  # seconds: long enough for whoever does not wait in the queue to be through
ROUNDS = 8


@pytest.fixture(autouse=True)
def everything() -> None:
    cast.everything()


class Doing:
    """An act in a thread of its own, on a connection of its own."""

    def __init__(self, act: Callable[[], Any]) -> None:
        self.act, self.result, self.raised = act, None, None
        self.thread = Thread(target=self._run)
        self.thread.start()

    def _run(self) -> None:
        try:
            self.result = self.act()
        except Exception as raised:  # told to the test, which runs elsewhere
            self.raised = raised
        finally:
            connection.close()

    def waits(self) -> bool:
        self.thread.join(A_MOMENT)
        return self.thread.is_alive()

    def done(self) -> "Doing":
        self.thread.join(30)
        assert not self.thread.is_alive()
        return self


def at_once(*acts: Callable[[], Any]) -> list[Doing]:
    """All the acts, let go at the same instant, and done."""
    gate = Barrier(len(acts))

    def let_go(act: Callable[[], Any]) -> Any:
        gate.wait()
        return act()

    return [one.done() for one in [Doing(lambda act=act: let_go(act)) for act in acts]]


def signing(meaning: str, permit: str = "PD-1") -> Callable[[], SignOff]:
    """The signature of whom the permit names, upon what they were shown before."""
    person = {"issue": "P-ISS", "accept": "P-REC"}[meaning]
    seen = actions.preview(permit, cast.AT).seen
    return lambda: actions.sign(permit, person, meaning, cast.AT, seen)


@pytest.fixture
def register(tmp_path: Path) -> Path:
    """A folder that withdraws one award of the crew as of today."""
    (tmp_path / "awards.csv").write_text(f"award,withdrawn_on,withdrawn_because\nA-CR1,{cast.AT.date()},assessed anew\n")
    return tmp_path


def withdrawing(register: Path, held: Event | None = None) -> Callable[[], Loaded]:
    """The load of the folder, kept underway until it is let go."""

    def hold(file: str, rows: int) -> None:
        if held:
            held.wait(20)

    return lambda: load(register, COMMAND_LINE, cast.AT, progress=hold)


def order() -> list[str]:
    """What was done, in the order of the history."""
    return list(Entry.objects.order_by("seq").values_list("act", flat=True))


def test_of_many_signing_at_once_one_issues() -> None:
    tried = at_once(*[signing("issue")] * 6)
    assert [one.raised.__class__ for one in tried if one.raised] == [actions.OutOfTurn] * 5
    assert [one.meaning for one in SignOff.objects.all()] == ["issue"]


def test_issue_and_acceptance_at_once_leave_no_acceptance_without_an_issue() -> None:
    for number in range(ROUNDS):
        permit = cast.permit(f"PD-{number + 2}").permit
        at_once(signing("accept", permit), signing("issue", permit))
        assert [one.meaning for one in SignOff.objects.filter(permit=permit)] == ["issue"]


def test_two_permits_signed_at_once_keep_one_history() -> None:
    # one after the other on the same ground: at one time, a permit that is issued there changes what the others were shown
    begins = [cast.AT + timedelta(hours=number) for number in range(2, 8)]
    names = [cast.permit(f"PD-{at}", valid_from=one, valid_to=one + timedelta(hours=1)).permit for at, one in enumerate(begins, 2)]
    assert [one.raised for one in at_once(*(signing("issue", name) for name in names))] == [None] * len(names)
    assert (walked().broken, len(order())) == (None, len(names))


def test_of_permits_for_the_same_ground_and_time_one_is_issued_at_once_and_the_others_are_looked_at_again() -> None:
    names = [cast.permit(f"PD-{number}").permit for number in range(2, 5)]
    tried = at_once(*(signing("issue", name) for name in names))
    assert sorted(type(one.raised).__name__ for one in tried) == ["Changed", "Changed", "NoneType"]
    (first,) = SignOff.objects.values_list("permit", flat=True)
    for name in set(names) - {first}:
        told = assess(gather_one(name), cast.AT).cautions
        assert first in [one.subject.removeprefix("permit:") for one in told if one.code == "follows.shares_ground"]
        signing("issue", name)()
    assert (walked().broken, len(order())) == (None, len(names))


def test_a_signature_waits_for_a_withdrawal_under_way_and_is_refused(register: Path) -> None:
    sign, held = signing("issue"), Event()
    loading = Doing(withdrawing(register, held))
    assert loading.waits()
    attempt = Doing(sign)
    assert attempt.waits()
    held.set()
    assert loading.done().result.written == {"awards.csv": 1}
    assert isinstance(attempt.done().raised, actions.Refused)
    assert not SignOff.objects.exists()


def test_a_withdrawal_waits_for_a_signature_under_way_and_comes_after_it(register: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sign, held, sheet = signing("issue"), Event(), actions.sheet
    monkeypatch.setattr(actions, "sheet", lambda *given: held.wait(20) and sheet(*given))
    attempt = Doing(sign)
    assert attempt.waits()
    loading = Doing(withdrawing(register))
    assert loading.waits()
    held.set()
    assert (attempt.done().raised, loading.done().raised) == (None, None)
    assert order() == ["permit.sign", "award.changed", "folder.load"]


def test_a_withdrawal_and_a_signature_at_once_never_leave_a_signature_after_the_withdrawal(register: Path) -> None:
    for number in range(ROUNDS):
        permit = cast.permit(f"PD-{number + 2}").permit
        before = len(order())
        attempt, _ = at_once(signing("issue", permit), withdrawing(register))
        acts = [act for act in order()[before:] if act != "folder.load"]
        assert acts in (["permit.sign", "award.changed"], ["award.changed", "permit.sign.refused"])
        assert SignOff.objects.filter(permit=permit).exists() is (attempt.raised is None) is (acts[0] == "permit.sign")
        Award.objects.filter(award="A-CR1").update(withdrawn_on=None, withdrawn_because="")
