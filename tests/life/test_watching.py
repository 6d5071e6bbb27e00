"""The watch: what is undone is suspended, what is over is ended, what merely ran out is told; each once, judged afresh, and nothing else happens."""

import json
from datetime import date, timedelta

import pytest

from locates.instruments.models import Calibration, Check, Instrument
from locates.life.models import Step
from locates.life.watching import watched
from locates.permits.actions import Refused, preview, sign
from locates.surveys.models import Enquiry
from records.ledger.chain import digest
from records.ledger.facts import signature_faults, walked
from records.ledger.models import Entry
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import LATER, done
from tests.life.watching import END, EVERYONE, NEXT_DAY, NOTHING, RAN_OUT, acts, found, lapse, mend, more, state, withdraw

pytestmark = pytest.mark.usefixtures("signed")


def self_test(name, at):
    made = {"kind": "self_test", "person_id": "P-OPE", "result": "pass", "recorded_at": at}
    Check.objects.create(check_id=name, instrument_id="I-T1", checked_at=at, **made)


# what is undone


def test_what_is_undone_is_suspended_by_nobody_with_its_reason():
    withdraw()
    assert found() == (["PD-1"], [], [], [])
    made = Step.objects.get()
    assert (made.act, made.person, made.printed_name, made.done_at) == ("undone", None, "Spadework's watch", LATER)
    assert made.why == "Jo Brandt's authorisation for digging (award A-CR1) was withdrawn on 1 Mar 2027."
    assert state(LATER) == "suspended"


def test_years_later_it_is_told_exactly_what_was_judged():
    withdraw()
    watched(LATER)
    made = Step.objects.get()
    assert [(one["code"], one["subject"]) for one in json.loads(made.verdict)["blocks"]] == [("crew.withdrawn", "person:P-CR1/dig")]
    assert digest(made.sheet) == made.digest
    assert [one["act"] for one in json.loads(made.sheet)["steps"]] == ["undone"]


def test_the_history_tells_of_it_and_holds():
    withdraw()
    watched(LATER)
    entry = Entry.objects.order_by("seq").last()
    assert (entry.act, entry.actor_id, entry.actor_name, entry.label) == ("permit.step", "", "Spadework's watch", "PD-1/1-undone")
    assert entry.why == Step.objects.get().why
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_it_is_suspended_once_however_often_the_watch_runs():
    withdraw()
    watched(LATER)
    before = (Entry.objects.count(), Letter.objects.count())
    assert found() == found(LATER + timedelta(hours=20)) == NOTHING
    assert (acts(), (Entry.objects.count(), Letter.objects.count())) == (["undone"], before)


def test_while_nothing_is_wrong_an_idle_run_writes_nothing():
    before = Entry.objects.count()
    assert found() == NOTHING
    assert (Entry.objects.count(), Letter.objects.count(), acts()) == (before, 0, [])


def test_all_its_reasons_are_told_and_not_what_merely_ran_out():
    lapse()
    withdraw()
    Enquiry.objects.filter(pk="E-1").update(good_through=date.fromisoformat(RAN_OUT))
    watched(NEXT_DAY)
    why = Step.objects.get().why
    assert "Jo Brandt" in why and "Northline Power" in why and "Olu Hale" not in why


def test_mended_it_is_resumed_by_its_issuer_and_then_left_alone():
    withdraw()
    watched(LATER)
    with pytest.raises(Refused):
        done("resume", "P-ISS")
    mend()
    assert found(LATER + timedelta(minutes=1)) == NOTHING
    done("resume", "P-ISS", LATER + timedelta(minutes=2))
    assert found(LATER + timedelta(minutes=3)) == NOTHING
    assert acts() == ["undone", "resume"]


def test_undone_again_it_is_suspended_again_and_everyone_hears_of_it_again():
    withdraw()
    watched(LATER)
    mend()
    done("resume", "P-ISS", LATER + timedelta(minutes=2))
    withdraw("A-REC")
    watched(LATER + timedelta(minutes=3))
    assert (acts(), Letter.objects.count()) == (["undone", "resume", "undone"], 2 * len(EVERYONE))


def test_one_that_is_being_handed_over_is_suspended_too_and_who_takes_over_is_told():
    done("hand_over", "P-REC", to="P-FAR")
    withdraw()
    assert found(LATER + timedelta(minutes=1))[0] == ["PD-1"]
    assert "P-FAR" in Letter.objects.values_list("person", flat=True)


def test_one_whose_time_has_not_begun_is_live_and_watched():
    more("PD-2", valid_from=cast.AT + timedelta(hours=5))
    withdraw()
    assert found()[0] == ["PD-1", "PD-2"]


@pytest.mark.parametrize("steps", [["suspend"], ["end_scope"], ["hand_back"], ["hand_back", "cancel"]])
def test_one_that_nobody_digs_by_is_not_suspended(steps):
    for act in steps:
        done(act, "P-ISS" if act == "cancel" else "P-REC")
    withdraw()
    assert found(LATER + timedelta(minutes=1)) == NOTHING


def test_one_that_nobody_accepted_is_left_to_the_gate():
    cast.permit("PD-2")
    sign("PD-2", "P-ISS", "issue", cast.AT, preview("PD-2", cast.AT).seen)
    withdraw()
    assert found()[0] == ["PD-1"]
    assert found(END)[1] == ["PD-1"]


def test_the_gate_is_asked_of_whoever_took_over_and_of_the_end_that_was_given():
    done("hand_over", "P-REC", to="P-FAR")
    done("take_over", "P-FAR")
    withdraw("A-REC")
    assert found() == NOTHING
    withdraw("A-FAR")
    assert found()[0] == ["PD-1"]


# what is over


@pytest.mark.parametrize("steps", [[], ["suspend"], ["hand_over"]])
def test_one_whose_time_is_over_is_ended_at_that_instant_and_not_before(steps):
    for act in steps:
        done(act, "P-REC", to="P-FAR")
    assert found(END - timedelta(seconds=1)) == NOTHING
    assert found(END) == ([], ["PD-1"], [], [])
    assert (acts(), state(END)) == ([*steps, "time_up"], "ended")
    assert found(END + timedelta(days=1)) == NOTHING


def test_after_days_without_a_watch_it_is_ended_though_it_was_undone_in_between():
    withdraw()
    assert found(END + timedelta(days=9)) == ([], ["PD-1"], [], [])


def test_what_the_watch_ended_is_handed_back_and_cancelled_as_any_other():
    watched(END)
    done("hand_back", "P-REC", END + timedelta(hours=1))
    done("cancel", "P-ISS", END + timedelta(hours=2))
    assert acts() == ["time_up", "hand_back", "cancel"]
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_an_extended_one_ends_with_its_extension():
    done("extend", "P-ISS", until=END + timedelta(hours=2))
    assert found(END) == NOTHING
    assert found(END + timedelta(hours=2))[1] == ["PD-1"]


def test_those_on_it_are_told_of_an_end_while_it_is_news():
    watched(END)
    assert sorted(Letter.objects.values_list("person", flat=True)) == [one for one in EVERYONE if one != "P-SAF"]
    texts = dict(Letter.objects.values_list("person", "text"))
    ended = "ended on 5 Mar 2027 14:30 UTC+13:00. Nobody digs by it any more; "
    assert [person for person, text in texts.items() if f"{ended}you are to hand it back." in text] == ["P-REC"]
    assert all(f"{ended}Marek Tane is to hand it back." in text for person, text in texts.items() if person != "P-REC")
    assert all("it back.\n\nTo see how it stands, sign in to Spadework and open /permits/PD-1/" in text for text in texts.values())


def test_of_an_end_that_is_no_news_any_more_nobody_is_told():
    watched(END + timedelta(days=3))
    assert (acts(), Letter.objects.count()) == (["time_up"], 0)


# what merely ran out


def test_what_merely_ran_out_is_told_to_everyone_on_it_once_and_the_permit_goes_on():
    lapse()
    assert found(NEXT_DAY) == ([], [], ["PD-1"], [])
    assert found(NEXT_DAY) == found(NEXT_DAY + timedelta(hours=1)) == NOTHING
    assert sorted(Letter.objects.values_list("person", flat=True)) == EVERYONE
    assert (acts(), state(NEXT_DAY)) == ([], "accepted")
    text = Letter.objects.get(person="P-REC").text
    assert "Olu Hale's authorisation for passive power" in text and "was good through 4 Mar 2027" in text and "goes on to its end, 5 Mar 2027 14:30" in text


def test_it_costs_the_history_nothing_to_tell_of_what_ran_out():
    lapse()
    before = Entry.objects.count()
    watched(NEXT_DAY)
    assert Entry.objects.count() == before


def test_something_else_that_runs_out_later_is_told_too():
    lapse()
    watched(NEXT_DAY)
    first = Letter.objects.count()
    Calibration.objects.filter(pk="K-I-T1").update(due_on=date.fromisoformat(RAN_OUT))
    assert found(NEXT_DAY)[2] == ["PD-1"]
    assert Letter.objects.count() == first + len(EVERYONE)


def test_a_self_test_that_was_made_anew_and_runs_out_again_is_told_again():
    Instrument.objects.filter(pk="I-T1").update(self_test_days=1)
    self_test("S-1", cast.AT - timedelta(hours=26))
    more("PD-2", valid_to=END + timedelta(days=2))
    again = NEXT_DAY + timedelta(days=2)
    assert found(NEXT_DAY)[2] == ["PD-1", "PD-2"]
    self_test("S-2", NEXT_DAY)
    assert found(NEXT_DAY + timedelta(hours=1)) == NOTHING
    assert (found(again), found(again)) == (([], ["PD-1"], ["PD-2"], []), NOTHING)
    assert Letter.objects.filter(subject="Something that permit PD-2 rests on has run out").count() == 2 * len(EVERYONE)


def test_undone_beside_what_ran_out_it_is_suspended_and_told_that_alone():
    lapse()
    withdraw()
    assert found(NEXT_DAY) == (["PD-1"], [], [], [])
    assert set(Letter.objects.values_list("subject", flat=True)) == {"Permit PD-1 is suspended"}
