"""A dig's diary: who writes in it, what stops the work, what the database and the history keep of it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from locates.instruments.models import Check
from locates.life.facts import lives
from locates.life.models import Step
from locates.lookovers.actions import NotOpen, Told, expose
from locates.lookovers.desk import diary
from locates.lookovers.facts import again, owed_by
from locates.lookovers.models import DiaryRow
from locates.permits.models import Permit
from locates.trials.models import TrialHole
from records.exchange.writing import export
from records.firm.models import Person
from records.ledger.facts import signature_faults, walked
from records.ledger.guards import all_guards
from records.ledger.models import Entry
from records.ledger.triggers import lift_guards
from records.letters.models import Letter
from tests import cast
from tests.life.conftest import done
from tests.lookovers.conftest import LATER, MARKS, SWEPT, wrote

pytestmark = pytest.mark.usefixtures("signed")
HOUR = timedelta(hours=1)
HOLE = {"locate": "L-1", "trace": "T-1", "exposed_at": "2027-03-03T20:30:00Z", "person": "P-CR1", "utility": "electricity", "note": ""}
HOLE |= {"x": "105", "y": "101", "depth_m": "0.84", "width_m": ""}


def state(at=LATER):
    return lives(Permit.objects.all(), at)["PD-1"].state


def owed(at=LATER):
    found = owed_by(["PD-1"], at).get("PD-1")
    return found[0].occasion if found else None


def exposed(person="P-CR1", at=LATER, seen=None, found=False, **hole):
    return expose("PD-1", Person.objects.get(person=person), HOLE | hole, Told("exposure", at, seen, found=found), at)


# a look-over


def test_one_is_owed_on_each_day_until_it_is_made():
    assert owed() == "start"
    made = wrote("look_over")
    assert (made.occasion, made.sound, owed(), owed(LATER + 24 * HOUR)) == ("start", True, None, "start")
    assert wrote("look_over", at=LATER + HOUR).occasion == "again"


def test_none_is_owed_before_the_permits_time_nor_when_nobody_digs_by_it():
    assert owed(cast.AT - 2 * HOUR) is None
    done("suspend", "P-REC")
    assert owed() is None


@pytest.mark.parametrize("occasion", ["rain", "change"])
def test_after_what_happened_it_is_owed_again(occasion):
    wrote("look_over")
    wrote("event", "P-CR1", LATER + HOUR, occasion=occasion, note="a wall of the dig came down")
    assert owed(LATER + HOUR) == occasion
    assert (wrote("look_over", at=LATER + 2 * HOUR).occasion, owed(LATER + 2 * HOUR)) == (occasion, None)


def test_after_it_was_taken_over_and_after_it_was_resumed_it_is_owed_again():
    wrote("look_over")
    done("hand_over", "P-REC", LATER + HOUR, to="P-FAR")
    done("take_over", "P-FAR", LATER + HOUR)
    assert (owed(LATER + HOUR), wrote("look_over", "P-FAR", LATER + 2 * HOUR).part) == ("shift", "receiver")
    done("suspend", "P-FAR", LATER + 3 * HOUR)
    done("resume", "P-ISS", LATER + 3 * HOUR)
    assert owed(LATER + 3 * HOUR) == "resumed"


@pytest.mark.parametrize(("person", "part"), [("P-ISS", "issuer"), ("P-REC", "receiver"), ("P-CR1", "crew"), ("P-OPE", "operator")])
def test_everyone_on_the_permit_writes_in_its_diary_by_what_they_are_there(person, part):
    made = wrote("look_over", person)
    assert (made.part, made.printed_name, made.number) == (part, Person.objects.get(person=person).name, 1)
    assert (list(signature_faults()), walked().broken) == ([], None)


@pytest.mark.parametrize("person", ["P-SAF", "P-FAR"])
def test_nobody_else_does(person):
    with pytest.raises(NotOpen):
        wrote("look_over", person)
    assert (DiaryRow.objects.count(), Entry.objects.filter(act="permit.diary_written").count()) == (0, 0)


@pytest.mark.parametrize("then", [cast.AT - HOUR, cast.AT + 31 * HOUR])
def test_nothing_is_written_of_a_time_at_which_it_was_not_accepted_yet_or_was_over(then):
    with pytest.raises(NotOpen):
        wrote("look_over", at=max(then, LATER), happened=then)


def test_what_a_phone_kept_is_written_by_how_the_permit_stood_then():
    done("hand_back", "P-REC", LATER + HOUR)
    made = wrote("look_over", at=LATER + 2 * HOUR, happened=LATER)
    assert (made.happened_at, made.recorded_at) == (LATER, LATER + 2 * HOUR)
    with pytest.raises(NotOpen):
        wrote("look_over", at=LATER + 2 * HOUR)


# what stops the work


def test_what_is_not_as_it_should_be_stops_the_work_with_its_reason_and_tells_of_it():
    made = wrote("look_over", "P-CR1", **MARKS)
    assert (state(), made.stop.act, made.stop.person_id) == ("suspended", "halt", "P-CR1")
    assert made.stop.why == "At the look-over: the marks cannot all be read. Sand over the north end."
    assert {one.person_id for one in Letter.objects.all()} == {"P-ISS", "P-SAF"}
    assert "marks cannot all be read" in Letter.objects.first().text
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_one_found_wrong_is_no_look_over_to_dig_by():
    wrote("look_over", **MARKS)
    done("resume", "P-ISS", LATER + HOUR)
    assert owed(LATER + HOUR) == "start"


def test_a_sweep_that_shows_what_is_not_on_the_plan_stops_the_work_as_the_stop_does():
    made = wrote("sweep", found=True, note="a strong line across the north end", **SWEPT)
    assert (state(), made.stop.act) == ("suspended", "stop")


def test_where_nobody_digs_already_it_is_written_down_and_nothing_is_stopped_twice():
    done("suspend", "P-REC")
    made = wrote("look_over", "P-ISS", **MARKS)
    assert (made.stop, state()) == (None, "suspended")


# sweeps


def test_a_sweep_counts_only_with_a_fit_receiver_and_by_whom_it_may_be_made():
    Check.objects.create(check_id="B-9", instrument_id="I-R1", kind="before_use", checked_at=cast.AT, person_id="P-OPE", result="pass", recorded_at=LATER)
    sound, other = wrote("sweep", "P-OPE", **SWEPT), wrote("sweep", "P-CR1", **SWEPT | {"depth_m": Decimal("0.9")})
    found = again(Permit.objects.get(), [sound, other], LATER)
    assert found.doubts == {sound.pk: [], other.pk: ["Jo Brandt was not authorised for passive power", "Jo Brandt was not authorised for passive radio"]}
    assert (found.next_m, found.each_m) == (Decimal("0.6"), Decimal("0.3"))


# exposures


def test_an_exposure_is_a_trial_hole_of_the_permits_locate_and_a_row_of_its_diary_in_one_errand():
    made = exposed()
    hole = TrialHole.objects.get()
    assert (made.hole, hole.trace_id, hole.depth_m, made.stop) == (hole, "T-1", Decimal("0.840"), None)
    assert [one.act for one in Entry.objects.order_by("-seq")[:2]] == ["permit.diary_written", "trialhole.recorded"]
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_something_exposed_that_no_trace_shows_stops_the_work():
    made = exposed(found=True, trace="", utility="gas", note="a yellow pipe")
    assert (made.stop.act, state(), TrialHole.objects.get().trace_id) == ("stop", "suspended", None)


def test_a_hole_that_cannot_be_leaves_neither_row_nor_stop():
    entered = exposed(found=True, trace="", depth_m="0")
    assert ([one.column for one in entered.problems], DiaryRow.objects.count(), state()) == (["depth_m"], 0, "accepted")


def test_who_is_not_on_the_permit_exposes_nothing_there():
    with pytest.raises(NotOpen):
        exposed("P-FAR")
    assert TrialHole.objects.count() == 0


# twice


def test_handed_in_twice_by_one_page_it_is_one_row():
    first = wrote("look_over", seen=0)
    assert (wrote("look_over", at=LATER + HOUR, seen=0), wrote("look_over", at=LATER + HOUR, seen=1).number) == (first, 2)
    hole = exposed(seen=2)
    assert (exposed(at=LATER + HOUR, seen=2), TrialHole.objects.count()) == (hole, 1)
    assert exposed(at=LATER + HOUR, seen=2, depth_m="0.9").number == 4


# what is kept


@pytest.mark.parametrize(
    "change",
    [
        lambda: DiaryRow.objects.update(note="all was well"),
        lambda: DiaryRow.objects.all().delete(),
        lambda: DiaryRow.objects.create(**again_as(number=3)),
        lambda: DiaryRow.objects.create(**again_as(person_id="P-SAF")),
        lambda: DiaryRow.objects.create(**again_as(permit_id=cast.permit("PD-2").pk, number=1)),
    ],
    ids=["changed", "removed", "out of turn", "by a stranger", "of a permit that nobody accepted"],
)
def test_the_database_keeps_each_row_as_it_was_made(change):
    wrote("look_over")
    with pytest.raises(IntegrityError, match="somebody on its permit"), transaction.atomic():
        change()


def again_as(**other):
    return DiaryRow.objects.values().get() | {"id": None, "number": 2} | other


@pytest.mark.parametrize(("kind", "told"), [("sweep", SWEPT | {"found": True, "note": "a duct"}), ("look_over", MARKS)])
def test_what_whoever_held_it_before_saw_then_stops_the_work_though_it_comes_later(kind, told):
    done("hand_over", "P-REC", LATER + HOUR, to="P-FAR")
    done("take_over", "P-FAR", LATER + HOUR)
    made = wrote(kind, "P-REC", LATER + 2 * HOUR, happened=LATER, **told)
    assert (made.stop.act, made.stop.person_id, lives(Permit.objects.all(), LATER + 2 * HOUR)["PD-1"].state) == (
        "stop" if kind == "sweep" else "halt",
        "P-REC",
        "suspended",
    )
    assert {one.person_id for one in Letter.objects.all()} >= {"P-ISS", "P-SAF"}
    assert (list(signature_faults()), walked().broken) == ([], None)


def test_the_database_takes_a_stop_by_who_held_it_and_by_no_stranger():
    done("hand_over", "P-REC", LATER, to="P-FAR")
    done("take_over", "P-FAR", LATER)
    told = {"permit_id": "PD-1", "number": 3, "act": "stop", "printed_name": "somebody", "done_at": LATER, "recorded_at": LATER, "declaration": "so"}
    with pytest.raises(IntegrityError, match="by its own act alone"), transaction.atomic():
        Step.objects.create(person_id="P-SAF", **told)
    assert Step.objects.create(person_id="P-REC", **told).number == 3


def test_the_next_row_of_anyone_on_it_is_taken():
    wrote("look_over")
    assert DiaryRow.objects.create(**again_as(person_id="P-CR2")).number == 2


def test_the_history_finds_a_row_that_was_changed_past_the_guards():
    wrote("look_over", **MARKS)
    lift_guards(connection, all_guards())
    DiaryRow.objects.update(wrong=())
    assert any("PD-1/1-look_over" in fault for fault in signature_faults())


def test_a_diary_is_exported_only_where_there_is_one(tmp_path):
    assert "signed/diaries.csv" not in export(tmp_path / "before")
    wrote("look_over", **MARKS)
    assert export(tmp_path / "after")["signed/diaries.csv"] == 1
    assert "marks" in (tmp_path / "after" / "signed" / "diaries.csv").read_text()


def test_diaries_cost_as_many_queries_for_many_permits_as_for_one(django_assert_num_queries):
    wrote("look_over")
    for number in range(2, 9):
        cast.permit(f"PD-{number}")
    for permits in (["PD-1"], list(Permit.objects.values_list("pk", flat=True))):
        with django_assert_num_queries(8):
            assert owed_by(permits, LATER + 24 * HOUR).keys() == {"PD-1"}


def test_a_longer_diary_costs_no_more_queries(django_assert_max_num_queries):
    reader, permit = Person.objects.get(person="P-REC"), Permit.objects.select_related("site", "locate").get()
    life = lives([permit], LATER)["PD-1"]
    for _ in range(12):
        wrote("look_over")
        wrote("sweep", **SWEPT)
    exposed()
    with django_assert_max_num_queries(26):
        assert sum(len(lines) for _, lines in diary(permit, life, reader, LATER)["days"]) == 25
