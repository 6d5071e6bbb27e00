"""Whatever is tried, in whatever order, by whomever, on pages old and new: no step is taken that is not allowed, and none is lost or doubled."""

from datetime import date, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from locates.life.actions import Wanting, Wish, outlook, step
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules.acts import STEPS
from locates.permits.actions import Changed, NotTheirs, OutOfTurn, Refused
from locates.permits.models import Permit
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from tests import cast
from tests.life.conftest import GIVEN, LATER, accepted
from tests.rules.test_life import OWED, TABLE
from training.models import Award

REFUSALS = (Changed, NotTheirs, OutOfTurn, Refused, Wanting)
PARTS = {"P-ISS": "ISS", "P-REC": "REC", "P-FAR": "NEXT", "P-CR1": ""}
persons, acts = st.sampled_from([*PARTS, "P-ISS", "P-REC"]), st.sampled_from(STEPS)
JUDGED = ("resume", "take_over", "extend")


class Life(RuleBasedStateMachine):
    """Beside the database a plain model of what was done: the state, who has the permit, who may take it over, until when."""

    def __init__(self):
        super().__init__()
        self.before = transaction.savepoint()
        accepted()
        self.at, self.done, self.blocked = LATER, [], False
        self.state, self.receiver, self.named, self.ends = "accepted", "P-REC", "", cast.AT + timedelta(hours=30)

    def teardown(self):
        assert (list(signature_faults()), walked().broken) == ([], None)
        transaction.savepoint_rollback(self.before)

    def part(self, person):
        return {"P-ISS": "ISS", self.receiver: "REC"}.get(person, "NEXT" if person == self.named else "CREW" if person == "P-CR1" else "")

    def standing(self):
        return "ended" if self.state in ("accepted", "suspended", "between_receivers") and self.at >= self.ends else self.state

    def allowed(self, act, person, told):
        _, who = TABLE.get((act, self.standing()), ("", ""))
        owed = all(told.get(name) for name in OWED[act]) and (act != "hand_over" or told["to"] not in ("P-ISS", self.receiver))
        return self.part(person) in who.split() and owed and not (act in JUDGED and self.blocked) and not (act == "take_over" and person == "P-CR1")

    def take(self, act, person, told, seen):
        wish = Wish(act, **told)
        try:
            step("PD-1", person, wish, self.at, outlook("PD-1", wish, self.at).seen if seen is None else seen)
        except REFUSALS:
            return False
        self.done.append((act, person))
        self.state = TABLE[act, self.standing()][0]
        self.receiver = person if act == "take_over" else self.receiver
        self.named = told["to"] if act == "hand_over" else ""
        self.ends = told["until"] if act == "extend" else self.ends
        return True

    def told(self, to, silent):
        return {} if silent else {**GIVEN, "to": to, "until": self.ends + timedelta(hours=2)}

    @rule(act=acts, person=persons, to=persons, silent=st.sampled_from([False, False, False, True]))
    def somebody_tries(self, act, person, to, silent):
        told = self.told(to, silent)
        allowed = self.allowed(act, person, told)
        assert self.take(act, person, told, None) is allowed

    @rule(first=acts, second=acts, one=persons, other=persons)
    def two_look_and_then_both_act(self, first, second, one, other):
        told = self.told("P-FAR", silent=False)
        seen = [outlook("PD-1", Wish(act, **told), self.at).seen for act in (first, second)]
        assert not (self.take(first, one, told, seen[0]) and self.take(second, other, told, seen[1]))

    @precondition(lambda self: not self.blocked)
    @rule()
    def an_award_of_the_crew_is_withdrawn(self):
        Award.objects.filter(award="A-CR1").update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")
        self.blocked = True

    @rule(hours=st.sampled_from([0, 0, 1, 31]))
    def time_goes_by(self, hours):
        self.at += timedelta(hours=hours)

    @invariant()
    def what_is_stored_is_what_was_done(self):
        stored = list(Step.objects.order_by("number").values_list("number", "act", "person_id"))
        assert stored == [(number, *one) for number, one in enumerate(self.done, 1)]
        assert Entry.objects.filter(act="permit.step").count() == len(self.done)
        life = lives(Permit.objects.all(), self.at)["PD-1"]
        assert (life.state, life.receiver, life.ends) == (self.standing(), self.receiver, self.ends)


@pytest.mark.django_db
def test_no_order_of_tries_takes_a_step_that_is_not_allowed_or_loses_or_doubles_one():
    quiet = [HealthCheck.too_slow, HealthCheck.data_too_large]
    run_state_machine_as_test(Life, settings=settings(max_examples=15, stateful_step_count=15, deadline=None, suppress_health_check=quiet))
