"""A step is taken by whom it falls to, upon a verdict made afresh where one is owed, and stays; or it is refused, and nothing is done."""

import json
from datetime import date, timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from locates.life.actions import REFUSED, Wanting, Wish, outlook, step
from locates.life.facts import lives
from locates.life.models import Step
from locates.life.rules.acts import ACTS
from locates.permits.actions import Changed, NeedsSecondFactor, NotTheirs, OutOfTurn, Refused
from locates.permits.models import Permit
from records.firm.models import Rule
from records.ledger.chain import digest, parse
from records.ledger.facts import signature_faults, walked
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from tests import cast
from tests.life.conftest import GIVEN, LATER, done
from training.models import Award

pytestmark = pytest.mark.usefixtures("signed")
END = cast.AT + timedelta(hours=30)
BLANK = {"why": "", "left": ""}


def life(at=LATER):
    return lives(Permit.objects.all(), at)["PD-1"]


def acts():
    return [one.act for one in Step.objects.order_by("number")]


def withdraw(award="A-CR1"):
    Award.objects.filter(award=award).update(withdrawn_on=date(2027, 3, 1), withdrawn_because="unsafe work seen")


def test_a_whole_life_from_suspension_to_cancellation():
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    done("hand_over", "P-REC", to="P-FAR")
    done("take_over", "P-FAR")
    done("extend", "P-ISS", until=END + timedelta(hours=4))
    done("hand_back", "P-FAR", END + timedelta(hours=5))
    done("cancel", "P-ISS", END + timedelta(hours=6))
    assert acts() == ["suspend", "resume", "hand_over", "take_over", "extend", "hand_back", "cancel"]
    assert (life(END).state, life(END).receiver, life(END).ends) == ("cancelled", "P-FAR", END + timedelta(hours=4))
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_a_step_keeps_who_when_what_was_declared_why_and_how_the_work_was_left():
    made = done("suspend", "P-REC")
    assert (made.printed_name, made.done_at, made.declaration) == ("Marek Tane", LATER, ACTS["suspend"].declares)
    assert (made.why, made.left, made.digest, made.sheet, made.verdict) == (GIVEN["why"], GIVEN["left"], "", "", "")
    entry = Entry.objects.get(act="permit.step")
    assert (entry.actor_id, entry.subject_id, entry.why) == ("P-REC", "PD-1", GIVEN["why"])


def test_where_a_verdict_is_owed_the_step_keeps_the_sheet_its_digest_and_the_verdict():
    done("suspend", "P-REC")
    made = done("resume", "P-ISS")
    assert (made.digest, parse(made.verdict)["blocks"]) == (digest(made.sheet), [])
    assert [one["act"] for one in json.loads(made.sheet)["steps"]] == ["suspend", "resume"]


def test_the_sheet_of_an_extension_shows_the_new_end_and_the_permit_stays_as_it_was_signed():
    made = done("extend", "P-ISS", until=END + timedelta(hours=4))
    assert json.loads(made.sheet)["window"][1] == "2027-03-05T18:30:00+13:00"
    assert Permit.objects.get().valid_to == END


def test_a_step_keeps_nothing_that_it_does_not_owe():
    made = done("cancel", "P-ISS", to="P-FAR", until=END) if done("hand_back", "P-REC") else None
    assert (made.why, made.left, made.to_id, made.until) == ("", "", None, None)


@pytest.mark.parametrize(
    ("act", "person", "told", "wants"),
    [
        ("suspend", "P-REC", BLANK, ("why", "left")),
        ("suspend", "P-REC", {"why": "rain", "left": " \n "}, ("left",)),
        ("hand_over", "P-REC", {"to": "P-ISS"}, ("to",)),
        ("hand_over", "P-REC", {"to": "P-REC"}, ("to",)),
        ("hand_over", "P-REC", {"to": "P-NOBODY"}, ("to",)),
        ("extend", "P-ISS", {"until": END}, ("until",)),
        ("hand_back", "P-REC", BLANK, ("left",)),
    ],
)
def test_what_is_owed_and_not_told_refuses_the_step(act, person, told, wants):
    with pytest.raises(Wanting) as refused:
        done(act, person, **told)
    assert (refused.value.names, acts()) == (wants, [])


def test_an_extension_is_judged_with_its_new_end():
    with pytest.raises(Refused) as refused:
        done("extend", "P-ISS", until=END + timedelta(days=30))
    assert {"window.over_limit", "window.outlasts_evidence"} <= {one.code for one in refused.value.verdict.blocks}
    assert (acts(), Entry.objects.order_by("seq").last().act) == ([], REFUSED)


@pytest.mark.parametrize(("award", "code"), [("A-CR1", "crew.withdrawn"), ("A-REC", "receiver.withdrawn"), ("A-ISS", "issuer.withdrawn")])
def test_nothing_resumes_upon_a_block(award, code):
    done("suspend", "P-REC")
    withdraw(award)
    with pytest.raises(Refused) as refused:
        done("resume", "P-ISS")
    assert ([one.code for one in refused.value.verdict.blocks], acts()) == ([code], ["suspend"])


def test_nobody_takes_over_who_is_not_covered():
    done("hand_over", "P-REC", to="P-CR1")
    with pytest.raises(Refused) as refused:
        done("take_over", "P-CR1")
    assert [(one.code, one.subject) for one in refused.value.verdict.blocks] == [("receiver.never", "person:P-CR1/receive_permit")]


def test_once_taken_over_the_gate_is_asked_of_the_new_receiver():
    done("hand_over", "P-REC", to="P-FAR")
    done("take_over", "P-FAR")
    withdraw("A-REC")
    assert done("extend", "P-ISS", until=END + timedelta(hours=1)).act == "extend"


@pytest.mark.parametrize("act", ["suspend", "end_scope", "end_conditions", "hand_back"])
def test_a_block_keeps_nobody_from_stopping(act):
    withdraw()
    assert done(act, "P-REC").act == act


@pytest.mark.parametrize(
    ("act", "person"), [("suspend", "P-CR1"), ("suspend", "P-SAF"), ("extend", "P-REC"), ("hand_over", "P-ISS"), ("hand_back", "P-ISS"), ("hand_back", "P-FAR")]
)
def test_nobody_takes_a_step_for_another(act, person):
    with pytest.raises(NotTheirs):
        done(act, person, to="P-FAR", until=END + timedelta(hours=1))
    assert acts() == []


@pytest.mark.parametrize("act", ["resume", "take_over", "cancel", "issue", "accept", "nothing"])
def test_no_step_comes_out_of_its_turn(act):
    with pytest.raises(OutOfTurn):
        step("PD-1", "P-ISS", Wish(act, **GIVEN), LATER, "")
    assert acts() == []


def test_no_step_comes_before_both_have_signed():
    cast.permit("PD-2")
    with pytest.raises(OutOfTurn):
        done("suspend", "P-ISS", permit="PD-2")


def test_no_step_is_dated_before_what_stands_there_already():
    done("suspend", "P-REC")
    with pytest.raises(OutOfTurn):
        done("resume", "P-ISS", LATER - timedelta(minutes=1))


def test_after_its_time_it_is_ended_and_only_handed_back():
    after = END + timedelta(minutes=1)
    assert life(after).state == "ended"
    with pytest.raises(OutOfTurn):
        done("extend", "P-ISS", after, until=END + timedelta(hours=1))
    assert done("hand_back", "P-REC", after).left == GIVEN["left"]


def test_what_was_done_meanwhile_is_shown_before_a_step_is_taken():
    wish = Wish("hand_back", **GIVEN)
    seen = outlook("PD-1", wish, LATER).seen
    done("suspend", "P-ISS")
    with pytest.raises(Changed):
        step("PD-1", "P-REC", wish, LATER, seen)


def test_where_the_firm_asks_for_a_second_factor_a_step_wants_it_too():
    Rule.objects.create(
        rule_set_id="default", key="second_factor_to_sign", value="yes", effective_from=date(2027, 1, 1), source="the firm", recorded_at=cast.RECORDED
    )
    with pytest.raises(NeedsSecondFactor):
        done("suspend", "P-REC")


def test_lives_are_told_in_as_many_queries_for_many_permits_as_for_one(django_assert_num_queries):
    for number in range(2, 9):
        cast.permit(f"PD-{number}")
    done("suspend", "P-REC")
    with django_assert_num_queries(5):
        told = lives(Permit.objects.all(), LATER)
    assert (told["PD-1"].state, told["PD-8"].state) == ("suspended", "prepared")


@pytest.mark.parametrize("person", ["P-CR1", "P-CR2", "P-OPE", "P-REC", "P-ISS"])
def test_anyone_on_the_permit_stops_it_without_a_page_a_reason_or_a_code(person):
    Rule.objects.create(
        rule_set_id="default", key="second_factor_to_sign", value="yes", effective_from=date(2027, 1, 1), source="the firm", recorded_at=cast.RECORDED
    )
    made = step("PD-1", person, Wish("stop"), LATER, "")
    assert (life().state, made.declaration) == ("suspended", ACTS["stop"].declares)


@pytest.mark.parametrize("person", ["P-SAF", "P-FAR"])
def test_nobody_who_is_not_on_the_permit_stops_it(person):
    with pytest.raises(NotTheirs):
        step("PD-1", person, Wish("stop"), LATER, "")


def test_the_database_takes_a_stop_from_nobody_who_is_not_on_the_permit():
    first = step("PD-1", "P-OPE", Wish("stop"), LATER, "")
    done("resume", "P-ISS")
    again = Step.objects.values().get(pk=first.pk) | {"id": None, "number": 3}
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(**again | {"person_id": "P-SAF"})
    assert Step.objects.create(**again | {"person_id": "P-CR1"}).number == 3


# what the database keeps


@pytest.mark.parametrize(
    "act",
    [
        lambda: Step.objects.update(why="rain"),
        lambda: Step.objects.get().save(),
        lambda: Step.objects.all().delete(),
    ],
)
def test_a_step_is_never_changed_or_removed(act):
    done("suspend", "P-REC")
    with pytest.raises(IntegrityError, match="never changed or removed"), transaction.atomic():
        act()


SLIPPED_IN = {
    "as another": {"person_id": "P-CR1"},
    "by the receiver": {"person_id": "P-REC"},
    "out of its turn": {"act": "cancel", "sheet": "", "verdict": "", "digest": ""},
    "upon a block": {"verdict": '{"blocks":[{"code":"locate.none"}]}'},
    "past the next number": {"number": 3},
    "upon a permit that nobody accepted": {"permit_id": "PD-2", "number": 1, "act": "suspend", "sheet": "", "verdict": "", "digest": ""},
}


@pytest.mark.parametrize("how", SLIPPED_IN)
def test_no_step_slips_past_the_actions(how):
    cast.permit("PD-2")
    suspended = Step.objects.values().get(pk=done("suspend", "P-REC").pk)
    resumed = suspended | {"id": None, "number": 2, "act": "resume", "person_id": "P-ISS", "sheet": "{}", "digest": digest("{}"), "verdict": '{"blocks":[]}'}
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(**resumed | SLIPPED_IN[how])
    assert Step.objects.create(**resumed).number == 2


def test_whoever_handed_back_does_not_cancel():
    handed = Step.objects.values().get(pk=done("hand_back", "P-REC").pk)
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(**handed | {"id": None, "number": 2, "act": "cancel"})


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"why": "rain"}, ["PD-1/2-resume: the history has no such signature", "entry 4 tells of a signature that is not stored: PD-1/2-resume"]),
        ({"sheet": "{}"}, ["PD-1/2-resume: what is stored is not what was signed"]),
    ],
)
def test_a_step_that_is_stored_otherwise_than_it_was_taken_is_found_even_past_the_guards(change, says):
    done("suspend", "P-REC")
    made = done("resume", "P-ISS")
    with transaction.atomic():
        lift_guards(connection, all_guards())
        Step.objects.filter(pk=made.pk).update(**change)
    assert list(signature_faults()) == says


def test_a_step_that_was_cut_out_is_missed():
    done("suspend", "P-REC")
    with transaction.atomic():
        lift_guards(connection, all_guards())
        Step.objects.all().delete()
    assert list(signature_faults()) == ["entry 3 tells of a signature that is not stored: PD-1/1-suspend"]


def test_a_permit_that_is_stored_otherwise_than_it_was_when_it_was_resumed_is_found():
    done("suspend", "P-REC")
    done("resume", "P-ISS")
    with transaction.atomic():
        lift_guards(connection, all_guards())
        Permit.objects.update(work="a deeper trench")
    assert "PD-1/2-resume: the permit is not stored as it was signed" in list(signature_faults())
