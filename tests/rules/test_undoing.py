"""What undoes a live permit: every block, except what merely ran out since it was last signed and leaves its locate as good as it was."""

from dataclasses import replace

import pytest

from locates.life.rules.undoing import weighed
from locates.permits.rules.gate import assess
from tests.rules.cast import AUCKLAND, IN, OUT, UNKNOWN, clear, instant
from tests.rules.changes import (
    Change,
    and_award,
    and_calibration,
    and_check,
    together,
    with_award,
    with_calibration,
    with_check,
    with_instrument,
    with_locate,
    with_permit,
    with_person,
)
from tests.rules.test_codes import BLOCKS, ROWS

RX, SELF = "RX-1", "H-RX-1-self"
SIGNED, NOW = "2027-03-04T09:00", "2027-03-05T09:00"
MERELY = {"operator.lapsed", "instrument.calibration_lapsed", "instrument.self_test_lapsed"}
SAID = {row.code: row for row in ROWS if row.stops and row.said}


def told(*changes: Change, signed: str = SIGNED, at: str = NOW) -> tuple[set[str], set[str]]:
    """The codes that undo the clear permit so changed, and those of what merely ran out."""
    evidence = together(*changes)(clear())
    found = weighed(evidence, assess(evidence, instant(at, evidence.site.zone)), instant(signed, evidence.site.zone))
    return {one.code for one in found.undoes}, {one.code for one in found.ran_out}


@pytest.mark.parametrize("code", BLOCKS.split())
def test_every_block_undoes_but_those_three_and_the_end_by_time(code: str) -> None:
    row = SAID[code]
    found = weighed(row.evidence, row.verdict, row.at)  # signed at that very instant: nothing has run out since
    assert (code in {one.code for one in found.undoes}) is (code != "window.past")
    assert found.ran_out == ()


@pytest.mark.parametrize("code", sorted(set(BLOCKS.split()) - MERELY))
def test_none_but_those_three_is_ever_said_to_have_run_out(code: str) -> None:
    row = SAID[code]
    found = weighed(row.evidence, row.verdict, row.evidence.permit.valid_from.replace(year=2000))
    assert code not in {one.code for one in found.ran_out}


def test_a_clear_verdict_undoes_nothing() -> None:
    assert told() == (set(), set())


LAPSES = with_award("O-1", expires_on="2027-03-04")
DUE = with_calibration(RX, due_on="2027-03-04")


# a self-test is good through its day and one more: one for the locate, and one for the signature
STILL_TESTED = together(
    with_instrument(RX, self_test_days=1),
    with_check(RX, SELF, checked_at="2027-03-01T08:00"),
    and_check(RX, "H-9", "2027-03-03T12:00", "pass", "self_test"),
)

RAN_OUT = {
    "the operator's award": (LAPSES, "operator.lapsed"),
    "an instrument's calibration": (DUE, "instrument.calibration_lapsed"),
    "an instrument's self-test": (STILL_TESTED, "instrument.self_test_lapsed"),
}


@pytest.mark.parametrize("what", RAN_OUT)
def test_what_ran_out_since_it_was_signed_does_not_undo_a_good_locate(what: str) -> None:
    change, code = RAN_OUT[what]
    assert told(change) == (set(), {code})


@pytest.mark.parametrize("what", RAN_OUT)
def test_what_had_run_out_when_it_was_signed_undoes(what: str) -> None:
    change, code = RAN_OUT[what]
    assert told(change, signed="2027-03-05T08:59") == ({code}, set())


EDGES = [
    (LAPSES, "2027-03-04T23:59:59", "2027-03-05T00:00", set()),
    (LAPSES, "2027-03-05T00:00", "2027-03-05T00:00", {"operator.lapsed"}),
    (DUE, "2027-03-04T23:59:59", "2027-03-05T00:00", set()),
    (DUE, "2027-03-05T00:00", "2027-03-05T00:00", {"instrument.calibration_lapsed"}),
    (STILL_TESTED, "2027-03-04T23:59:59", "2027-03-05T00:00", set()),
    (STILL_TESTED, "2027-03-05T00:00", "2027-03-05T00:00", {"instrument.self_test_lapsed"}),
]


@pytest.mark.parametrize(("change", "signed", "at", "undoes"), EDGES)
def test_signed_within_the_last_good_day_it_goes_on_and_an_instant_later_not(change: Change, signed: str, at: str, undoes: set[str]) -> None:
    assert told(change, signed=signed, at=at)[0] == undoes


OVERNIGHT = with_locate(started_at="2027-03-02T08:00", finished_at="2027-03-03T07:00")

# what lies behind one of the three codes and is more than that its time was over
MORE = {
    "not in date all through the locate": (together(OVERNIGHT, with_award("O-1", expires_on="2027-03-02")), {"operator.lapsed"}),
    "taken from the operator after it had run out": (with_award("O-1", expires_on="2027-03-04", withdrawn_on="2027-03-05"), {"operator.lapsed"}),
    "taken from the operator before it ran out": (with_award("O-1", expires_on="2027-03-06", withdrawn_on="2027-03-05"), {"operator.withdrawn"}),
    "found out of tolerance since": (together(DUE, and_calibration(RX, "K-9", "2027-03-05", OUT, IN)), {"instrument.recalled"}),
    "not measured as found since": (together(DUE, and_calibration(RX, "K-9", "2027-03-05", UNKNOWN, IN)), {"instrument.recall_unknown"}),
    "not left in tolerance since": (and_calibration(RX, "K-9", "2027-03-05", IN, OUT), {"instrument.calibration_failed"}),
    "a calibration written down otherwise than it was then": (with_calibration(RX, due_on="2027-03-03"), {"instrument.calibration_lapsed"}),
    "a self-test that failed since": (
        together(STILL_TESTED, and_check(RX, "H-8", "2027-03-03T13:00", "pass"), and_check(RX, "H-10", "2027-03-04T10:00", "fail", "self_test")),
        {"instrument.self_test_lapsed"},
    ),
    "a self-test that failed since, passed again, and ran out": (
        together(
            with_instrument(RX, self_test_days=0),
            with_check(RX, SELF, checked_at="2027-03-02T07:00"),
            and_check(RX, "H-8", "2027-03-04T08:00", "pass", "self_test"),
            and_check(RX, "H-9", "2027-03-04T10:00", "fail", "self_test"),
            and_check(RX, "H-10", "2027-03-04T11:00", "pass", "self_test"),
        ),
        {"instrument.self_test_lapsed"},
    ),
    "no self-test any more when the locate began": (with_check(RX, SELF, kind="before_use"), {"instrument.self_test_lapsed"}),
}


@pytest.mark.parametrize("how", MORE)
def test_more_than_time_behind_one_of_those_codes_undoes(how: str) -> None:
    change, undoes = MORE[how]
    assert told(change)[0] == undoes


def test_beside_what_ran_out_another_block_undoes() -> None:
    assert told(LAPSES, with_award("C-1", withdrawn_on="2027-03-05")) == ({"crew.withdrawn"}, {"operator.lapsed"})


def test_a_withdrawal_that_was_made_good_before_does_not_count_against_an_award_that_ran_out() -> None:
    taken = with_award("O-1", withdrawn_on="2026-01-01", authorises=frozenset({"sonde"}))
    things = ("sonde", "passive_power", "passive_radio", "induction")
    anew = together(taken, and_award("O-1", "A-2", "2026-06-01", *things), with_award("O-1", "A-2", expires_on="2027-03-04"))
    assert told(anew) == (set(), {"operator.lapsed"})


def test_a_withdrawal_that_is_still_to_come_does_not_count_yet() -> None:
    ahead = together(LAPSES, with_award("O-1", withdrawn_on="2027-03-06"))
    assert told(ahead) == (set(), {"operator.lapsed"})
    assert told(ahead, at="2027-03-06T00:00")[0] == {"operator.lapsed"}


def test_an_operator_who_leaves_after_the_locate_does_not_undo_it() -> None:
    assert told(with_person("O-1", left_on="2027-03-04")) == (set(), set())


def test_the_end_by_time_is_neither() -> None:
    assert told(with_permit(valid_to="2027-03-05T08:00")) == (set(), set())


def test_one_instrument_that_ran_out_does_not_answer_for_another_that_failed() -> None:
    evidence = together(DUE, and_calibration("TX-1", "K-9", "2027-03-05", IN, OUT))(clear())
    found = weighed(evidence, assess(evidence, instant(NOW, evidence.site.zone)), instant(SIGNED, evidence.site.zone))
    assert [(one.code, one.subject) for one in (*found.undoes, *found.ran_out)] == [
        ("instrument.calibration_failed", "instrument:TX-1"),
        ("instrument.calibration_lapsed", "instrument:RX-1"),
    ]


def test_of_a_self_test_too_it_is_said_since_when_it_ran_out_and_the_verdict_stays_as_it_was() -> None:
    anew = together(STILL_TESTED, and_check(RX, "H-10", "2027-03-05T12:00", "pass", "self_test"))
    for change, at, since in ((STILL_TESTED, NOW, "2027-03-05T00:00"), (anew, NOW, "2027-03-05T00:00"), (anew, "2027-03-07T09:00", "2027-03-07T00:00")):
        evidence = change(clear())
        zone = evidence.site.zone
        verdict = assess(evidence, instant(at, zone))
        assert [one.since for one in weighed(evidence, verdict, instant(SIGNED, zone)).ran_out] == [instant(since, zone)]
        assert [one.since for one in verdict.blocks if one.code == "instrument.self_test_lapsed"] == [None]


def test_without_a_locate_there_is_none_to_spare() -> None:
    row = SAID["operator.lapsed"]
    bare = replace(row.evidence, locate=None)
    assert weighed(bare, row.verdict, row.evidence.permit.valid_from.replace(year=2000)).ran_out == ()


def test_the_same_holds_by_the_clock_of_another_site() -> None:
    evidence = LAPSES(clear("America/Sao_Paulo"))
    signed, at = instant(SIGNED, evidence.site.zone), instant("2027-03-05T00:00", evidence.site.zone)
    assert [one.code for one in weighed(evidence, assess(evidence, at), signed).ran_out] == ["operator.lapsed"] * 4
    assert evidence.site.zone.key != AUCKLAND
