"""Whatever is tried, in whatever order, by whomever, on pages old and new, while evidence fails, the power goes and the watch runs:

no step is taken that is not allowed, none is lost or doubled, nothing live stands after a watch upon what undoes it, and no letter goes twice.
"""

from collections import Counter
from contextlib import contextmanager, suppress
from datetime import date, timedelta
from random import Random
from unittest.mock import patch

import pytest
from django.core import mail
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from locates.instruments.models import Calibration, Check
from locates.life import actions, watching
from locates.life.actions import Wanting, Wish, outlook, step
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules.acts import OVER, STEPS
from locates.life.rules.undoing import weighed
from locates.permits.actions import Changed, NotTheirs, OutOfTurn, Refused
from locates.permits.models import Permit
from locates.surveys.models import Enquiry
from records.firm.models import Person
from records.ledger.actions import Errand
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from records.letters import actions as letters
from records.letters import sending
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import GIVEN, accepted
from tests.life.model import AWARD, LIVE, Model, day_of, end_of
from training.models import Award

REFUSALS = (Changed, NotTheirs, OutOfTurn, Refused, Wanting)
PERSONS = ["P-ISS", "P-REC", "P-FAR", "P-CR1", "P-SAF"]
MANAGER = "P-SAF"
persons, acts = st.sampled_from([*PERSONS, "P-ISS", "P-REC"]), st.sampled_from([*STEPS, "resume", "hand_over", "take_over"])
places = st.sampled_from([(actions, "told"), (actions, "_written"), (actions, "tell_unaided"), (Errand, "close")])


class PowerCut(BaseException):
    """The process is gone, at that very place."""


@contextmanager
def power_goes_at(place, name):
    with patch.object(place, name, side_effect=PowerCut), suppress(PowerCut):
        yield


class Life(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.before, self.model, mail.outbox = transaction.savepoint(), Model(), []
        accepted()
        Person.objects.update(email="somebody@example.org")

    def teardown(self):
        assert (list(signature_faults()), walked().broken) == ([], None)
        transaction.savepoint_rollback(self.before)

    # people

    def take(self, act, person, told, seen=None):
        wish, at = Wish(act, **told), self.model.at
        try:
            step("PD-1", person, wish, at, outlook("PD-1", wish, at).seen if seen is None else seen)
        except REFUSALS:
            return False
        self.model.does(act, person, told)
        return True

    def told(self, to, silent=False):
        return {} if silent else {**GIVEN, "to": to, "until": self.model.ends + timedelta(hours=2)}

    @rule(nth=st.integers(0, 40))
    def somebody_does_what_they_may(self, nth):
        told = self.told("P-REC" if self.model.receiver == "P-FAR" else "P-FAR")
        every = [(act, person) for act in STEPS for person in PERSONS if self.model.allows(act, person, told)]
        # an end is rarer than it would be by chance, or few lives were long
        if open_now := [one for one in every if one[0] not in OVER or nth % 5 == 0]:
            assert self.take(*open_now[nth % len(open_now)], told)

    @rule(nth=st.integers(0, 40), hours=st.sampled_from([0, 1, 8]))
    def then_somebody_else_does(self, nth, hours):
        self.somebody_does_what_they_may(nth)
        self.model.at += timedelta(hours=hours)

    @rule(act=acts, person=persons, to=persons, silent=st.sampled_from([False, False, False, True]))
    def somebody_tries(self, act, person, to, silent):
        told = self.told(to, silent)
        allowed = self.model.allows(act, person, told)
        assert self.take(act, person, told) is allowed

    @rule(first=acts, second=acts, one=persons, other=persons)
    def two_look_and_then_both_act(self, first, second, one, other):
        told = self.told("P-FAR")
        seen = [outlook("PD-1", Wish(act, **told), self.model.at).seen for act in (first, second)]
        assert not (self.take(first, one, told, seen[0]) and self.take(second, other, told, seen[1]))

    @rule(act=acts, person=persons, place=st.sampled_from([(actions, "_written"), (Errand, "close")]))
    def the_power_goes_while_somebody_steps(self, act, person, place):
        wish = Wish(act, **self.told("P-FAR"))
        seen = outlook("PD-1", wish, self.model.at).seen
        with power_goes_at(*place):
            try:
                step("PD-1", person, wish, self.model.at, seen)
            except REFUSALS:
                pass
            else:
                raise AssertionError("it was done although the power had gone")

    # evidence

    @rule(what=st.sampled_from(["crew", "receiver", "answer", "calibration", "check"]))
    def evidence_fails(self, what):
        at, today = self.model.at, day_of(self.model.at)
        if what in ("crew", "receiver"):
            taken = {"withdrawn_on": today, "withdrawn_because": "unsafe work seen"}
            Award.objects.filter(award={"crew": "A-CR1", "receiver": AWARD}[what]).update(**taken)
        elif what == "answer":
            Enquiry.objects.filter(pk="E-1").update(good_through=date(2027, 3, 1))
        elif what == "calibration":
            found = {"calibrated_on": today, "as_found": "in_tolerance", "as_left": "out_of_tolerance", "recorded_at": at}
            Calibration.objects.update_or_create(calibration="K-BAD", defaults={"instrument_id": "I-R1", **found})
        else:
            failed = {"kind": "before_use", "checked_at": at, "person_id": "P-OPE", "result": "fail", "recorded_at": at}
            Check.objects.update_or_create(check_id="B-BAD", defaults={"instrument_id": "I-T1", **failed})
        self.model.harms.add(what)

    @rule()
    def it_is_mended(self):
        Award.objects.filter(award__in=("A-CR1", AWARD)).update(withdrawn_on=None, withdrawn_because="")
        Enquiry.objects.filter(pk="E-1").update(good_through=None)
        Calibration.objects.filter(pk="K-BAD").delete()
        Check.objects.filter(pk="B-BAD").delete()
        self.model.harms.clear()

    @rule(days=st.sampled_from([-1, 0, 0, 0, None]))
    def the_operator_s_award_is_found_to_end(self, days):
        ends = None if days is None else day_of(self.model.at, days)
        Award.objects.filter(award="A-OPE").update(expires_on=ends)
        self.model.operator_ends = ends and end_of(ends)

    @rule()
    def the_operator_s_award_runs_out_overnight(self):
        self.the_operator_s_award_is_found_to_end(0)
        self.model.at = self.model.operator_ends
        self.the_watch_runs()

    @precondition(lambda self: len(self.model.done) > 1)
    @rule(person=st.sampled_from(["P-ISS", "P-REC"]))
    def somebody_is_found_to_have_left(self, person):
        Person.objects.filter(pk=person).update(left_on=date(2027, 3, 1))
        self.model.gone.add(person)

    @rule(hours=st.sampled_from([0, 1, 8, 16]))
    def time_goes_by(self, hours):
        self.model.at += timedelta(hours=hours)

    # the watch, and what it writes

    def watch(self):
        return watching.watched(self.model.at)

    @rule()
    def the_watch_runs(self):
        due, goes_on = self.model.watched(), self.model.goes_on
        report = self.watch()
        assert (report.suspended, report.ended, report.troubled) == (["PD-1"] * (due == "undone"), ["PD-1"] * (due == "time_up"), {})
        life = lives(Permit.objects.all(), self.model.at)["PD-1"]
        if life.state in LIVE:
            now = outlook("PD-1", Wish("resume"), self.model.at)
            assert weighed(now.evidence, now.verdict, life.signed_at).undoes == ()
        if goes_on:
            assert self.heard("operator.lapsed") >= {"P-ISS", self.model.receiver, "P-CR1", "P-CR2", "P-OPE", MANAGER} - self.model.gone

    def heard(self, of):
        return set(Letter.objects.filter(key__contains=of).values_list("person", flat=True))

    @rule()
    def the_watch_runs_twice(self):
        self.the_watch_runs()
        before = (Entry.objects.count(), Letter.objects.count())
        self.the_watch_runs()
        assert (Entry.objects.count(), Letter.objects.count()) == before

    @rule(place=places)
    def the_power_goes_during_the_watch(self, place):
        before = (Entry.objects.count(), Letter.objects.count(), Step.objects.count())
        with power_goes_at(*place):
            self.watch()
        told = Letter.objects.filter(key__contains="operator.lapsed").count() if self.model.goes_on else 0  # these go without a step
        assert (Entry.objects.count(), Letter.objects.count(), Step.objects.count()) in (before, (before[0], max(before[1], told), before[2]))

    @rule(act=acts, person=persons)
    def somebody_looks_then_the_watch_runs_then_they_act(self, act, person):
        told = self.told("P-FAR")
        seen = outlook("PD-1", Wish(act, **told), self.model.at).seen
        done = len(self.model.done)
        self.the_watch_runs()
        assert not (self.take(act, person, told, seen) and len(self.model.done) > done + 1)

    @rule(act=acts, person=persons)
    def somebody_acts_between_the_watch_s_look_and_its_step(self, act, person):
        told, unaided = self.told("P-FAR"), watching.unaided

        def they_first(*given):
            self.take(act, person, told)
            self.model.watched()
            return unaided(*given)

        with patch.object(watching, "unaided", they_first):
            assert self.watch().troubled == {}

    @rule(breaks=st.sampled_from([None, None, "_handed_over", "_note"]))
    def letters_go(self, breaks):
        if breaks:
            with power_goes_at(sending, breaks):
                letters.deliver(self.model.at)
        else:
            letters.deliver(self.model.at)

    @invariant()
    def what_is_stored_is_what_was_done(self):
        stored = list(Step.objects.order_by("number").values_list("number", "act", "person_id"))
        assert stored == [(number, *one) for number, one in enumerate(self.model.done, 1)]
        assert Entry.objects.filter(act="permit.step").count() == len(self.model.done)
        life = lives(Permit.objects.all(), self.model.at)["PD-1"]
        assert (life.state, life.receiver, life.ends) == (self.model.standing, self.model.receiver, self.model.ends)

    @invariant()
    def no_letter_goes_twice(self):
        sent = Counter((one.subject, one.body) for one in mail.outbox)
        assert sent <= Counter(Letter.objects.filter(tries__gt=0).values_list("subject", "text"))
        assert sent >= Counter(Letter.objects.filter(sent_at__isnull=False).values_list("subject", "text"))


@pytest.mark.django_db
def test_no_order_of_tries_takes_a_step_that_is_not_allowed_or_loses_or_doubles_one():
    quiet = [HealthCheck.too_slow, HealthCheck.data_too_large]
    run_state_machine_as_test(Life, settings=settings(max_examples=10, stateful_step_count=20, deadline=None, suppress_health_check=quiet))


DEEDS = (
    lambda life, any_of: life.somebody_does_what_they_may(any_of(range(40))),
    lambda life, any_of: life.then_somebody_else_does(any_of(range(40)), any_of([0, 0, 1])),
    lambda life, any_of: life.somebody_tries(any_of(STEPS), any_of(PERSONS), any_of(PERSONS), silent=False),
    lambda life, any_of: life.two_look_and_then_both_act(any_of(STEPS), any_of(STEPS), any_of(PERSONS), any_of(PERSONS)),
    lambda life, any_of: life.evidence_fails(any_of(["crew", "receiver", "answer", "calibration", "check"])),
    lambda life, _: life.it_is_mended(),
    lambda life, any_of: life.the_operator_s_award_is_found_to_end(any_of([-1, 0, 0, None])),
    lambda life, _: life.the_operator_s_award_runs_out_overnight(),
    lambda life, any_of: life.time_goes_by(any_of([0, 1, 8])),
    lambda life, any_of: life.somebody_is_found_to_have_left(any_of(["P-ISS", "P-REC"])) if len(life.model.done) > 3 else None,
    lambda life, _: life.the_watch_runs_twice(),
    lambda life, any_of: life.the_power_goes_during_the_watch(any_of([(actions, "told"), (actions, "_written"), (actions, "tell_unaided"), (Errand, "close")])),
    lambda life, any_of: life.somebody_looks_then_the_watch_runs_then_they_act(any_of(STEPS), any_of(PERSONS)),
    lambda life, any_of: life.somebody_acts_between_the_watch_s_look_and_its_step(any_of(STEPS), any_of(PERSONS)),
    lambda life, any_of: life.letters_go(any_of([None, "_handed_over", "_note"])),
)


@pytest.mark.django_db
@pytest.mark.parametrize("seed", [6, 20, 29])
def test_nor_does_a_long_life(seed):
    """Hypothesis likes lives that are short, to find the shortest that fails; a permit's week is long."""
    any_of, life = Random(seed).choice, Life()
    for _ in range(60):
        any_of(DEEDS)(life, any_of)
        life.what_is_stored_is_what_was_done()
        life.no_letter_goes_twice()
    life.teardown()


def test_the_cast_s_receiver_holds_the_award_that_is_taken():
    assert cast.AWARDS[AWARD][0] == "P-REC"
