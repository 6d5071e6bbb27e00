"""What rested on an instrument, an award or a plan while it was in doubt."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from locates.recall.rules.doubts import ByPlan, ByWithdrawal, by_calibrations, by_checks, by_withdrawals
from locates.recall.rules.reach import LOCATE, PERMIT, Held, Searched, rested
from locates.rules.fitness import IN, OUT, UNKNOWN, Calibration, Check, Instrument, recalls
from records.rules.cover import Award, Span
from records.rules.dates import local_day
from records.rules.words import PASSIVE

ZONE = ZoneInfo("Pacific/Auckland")
GROUND, FAR = box(0, 0, 10, 4), box(500, 500, 510, 510)
TODAY = date(2026, 12, 31)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=ZONE).astimezone(UTC)


def locate(name, began, hours=2, **other):
    plain = {"site": "S-1", "zone": ZONE, "operator": "P-O", "techniques": frozenset(PASSIVE), "kit": (("receiver", "R-1"),), "ground": GROUND}
    return Searched(name, began=at(began), ended=at(began) + timedelta(hours=hours), **plain | other)


def permit(name, signed, over, **other):
    people = {"issuer": "P-I", "receivers": frozenset({"P-R"}), "crew": frozenset({"P-C"})}
    plain = {"site": "S-1", "zone": ZONE, "locate": "L-1", "ground": GROUND}
    return Held(name, signed=(at(signed),), over=at(over), **plain | people | other)


def found(doubt, searched=(), held=(), narrowed=()):
    """The names of all that rested on it; those before the withdrawal in brackets."""
    return [f"({one.key})" if one.before else one.key for one in rested(doubt, searched, held, narrowed)]


# calibrations


def instrument(calibrations=(), checks=()):
    made = tuple(Calibration(f"K-{number}", date.fromisoformat(day), None, *how) for number, (day, *how) in enumerate(calibrations, 1))
    tried = tuple(Check(f"B-{number}", "before_use", at(when), result) for number, (when, result) in enumerate(checks, 1))
    return Instrument("R-1", "receiver", calibrations=made, checks=tried)


@pytest.mark.parametrize(
    ("calibrations", "good", "until"),
    [
        ([("2026-01-10", IN, IN), ("2026-06-20", OUT, IN)], "2026-01-10", "2026-06-20"),
        ([("2026-06-20", OUT, IN)], None, "2026-06-20"),
        # one at which nobody measured says nothing of the time before it
        ([("2026-01-10", IN, IN), ("2026-03-01", UNKNOWN, IN), ("2026-06-20", OUT, IN)], "2026-01-10", "2026-06-20"),
        ([("2026-01-10", OUT, IN), ("2026-06-20", OUT, IN)], "2026-01-10", "2026-06-20"),
        # left unfit, it is in doubt until the next one
        ([("2026-01-10", IN, IN), ("2026-06-20", OUT, OUT)], "2026-01-10", None),
        ([("2026-01-10", IN, IN), ("2026-06-20", OUT, OUT), ("2026-07-01", IN, IN)], "2026-01-10", "2026-07-01"),
        ([("2026-01-10", IN, IN), ("2026-06-20", IN, UNKNOWN), ("2026-07-01", IN, IN)], "2026-06-20", "2026-07-01"),
    ],
)
def test_an_instrument_is_in_doubt_from_the_last_good_day_until_it_is_put_right(calibrations, good, until):
    last = [one for one in by_calibrations(instrument(calibrations), TODAY) if one.found == date(2026, 6, 20)]
    assert [(one.good, one.until, one.unknown) for one in last] == [(good and date.fromisoformat(good), until and date.fromisoformat(until), False)]


def test_one_that_nobody_measured_is_in_doubt_since_the_calibration_before():
    history = instrument([("2026-01-10", IN, IN), ("2026-03-01", UNKNOWN, IN), ("2026-06-20", UNKNOWN, IN)])
    assert [(one.key, one.good, one.unknown) for one in by_calibrations(history, TODAY)] == [
        ("K-2", date(2026, 1, 10), True),
        ("K-3", date(2026, 3, 1), True),
    ]


def test_nothing_is_in_doubt_where_all_is_well_or_still_to_come():
    history = instrument([("2026-01-10", IN, IN), ("2026-06-20", OUT, IN)], [("2026-06-01T08:00", "pass")])
    assert list(by_calibrations(history, date(2026, 6, 19))) == []
    assert list(by_checks(history, at("2026-12-31T00:00"))) == []


@pytest.mark.parametrize(
    ("began", "hours", "rests"),
    [
        ("2026-01-09T20:00", 3, False),
        ("2026-01-09T20:00", 4, True),
        ("2026-06-20T23:59", 2, True),
        ("2026-06-21T00:00", 2, False),
        ("2025-06-21T00:00", 24 * 700, True),
    ],
)
def test_both_days_count_in_full_by_the_clock_of_the_site(began, hours, rests):
    (doubt,) = by_calibrations(instrument([("2026-01-10", IN, IN), ("2026-06-20", OUT, IN)]), TODAY)
    assert (found(doubt, [locate("L-1", began, hours)]) == ["L-1"]) is rests


@pytest.mark.parametrize("kit", [(("receiver", "R-2"),), ()])
def test_a_locate_that_did_not_need_the_instrument_does_not_rest_on_it(kit):
    (doubt,) = by_calibrations(instrument([("2026-06-20", OUT, IN)]), TODAY)
    assert found(doubt, [locate("L-1", "2026-03-01T08:00", kit=kit)]) == []


def test_permits_rest_on_it_by_their_locate_whatever_became_of_them():
    (doubt,) = by_calibrations(instrument([("2026-06-20", OUT, IN)]), TODAY)
    held = [permit("D-1", "2026-03-01T12:00", "2026-03-02T12:00"), permit("D-2", "2026-03-01T12:00", "2026-03-02T12:00", locate="L-2")]
    told = rested(doubt, [locate("L-1", "2026-03-01T08:00")], held)
    assert [(one.kind, one.key, one.how) for one in told] == [(LOCATE, "L-1", "its receiver"), (PERMIT, "D-1", "locate L-1")]


# checks

CHECKS = [("2026-03-01T07:00", "pass"), ("2026-03-01T17:00", "fail"), ("2026-03-02T07:00", "fail"), ("2026-03-03T07:00", "pass")]


def test_checks_failed_one_after_the_other_are_one_finding():
    (doubt,) = by_checks(instrument(checks=CHECKS), at("2026-12-31T00:00"))
    assert (doubt.key, doubt.keys) == ("B-2", ("B-2", "B-3"))
    assert (doubt.good, doubt.until) == (at("2026-03-01T07:00"), at("2026-03-03T07:00"))


@pytest.mark.parametrize(
    ("began", "rests"),
    [
        ("2026-03-01T04:59", False),
        ("2026-03-01T05:00", True),
        ("2026-03-01T09:00", True),
        ("2026-03-03T06:59", True),
        ("2026-03-03T07:00", False),
    ],
)
def test_what_ended_after_the_last_check_it_passed_rests_on_it_until_it_passes_another(began, rests):
    (doubt,) = by_checks(instrument(checks=CHECKS), at("2026-12-31T00:00"))
    assert (found(doubt, [locate("L-1", began)]) == ["L-1"]) is rests


def test_without_a_check_passed_before_or_after_all_is_in_doubt():
    (doubt,) = by_checks(instrument(checks=[("2026-03-01T17:00", "fail")]), at("2026-12-31T00:00"))
    assert found(doubt, [locate("L-1", "2020-01-01T08:00"), locate("L-2", "2026-11-01T08:00")]) == ["L-1", "L-2"]


# awards

THINGS = frozenset({*PASSIVE, "issue_permit", "receive_permit", "dig"})


def withdrawal(person, again=None, things=THINGS):
    return ByWithdrawal("A-1", person, date(2026, 1, 10), date(2026, 6, 20), dict.fromkeys(things, again))


def test_the_next_award_for_the_same_thing_ends_the_doubt():
    awards = (
        Award("A-1", frozenset({"dig", "clamp"}), date(2026, 1, 10), withdrawn_on=date(2026, 6, 20)),
        Award("A-2", frozenset({"dig"}), date(2026, 6, 20)),
        Award("A-3", frozenset({"dig"}), date(2026, 6, 21)),
    )
    (doubt,) = by_withdrawals("P-C", awards, date(2026, 6, 20))
    assert doubt.again == {"clamp": None, "dig": date(2026, 6, 21)}
    assert list(by_withdrawals("P-C", awards, date(2026, 6, 19))) == []


@pytest.mark.parametrize(("person", "how"), [("P-I", "its issuer"), ("P-R", "its receiver"), ("P-C", "its crew"), ("P-O", "the operator of locate L-1")])
@pytest.mark.parametrize(
    ("signed", "over", "before"),
    [
        ("2026-06-19T12:00", "2026-06-20T00:00", True),
        ("2026-06-19T12:00", "2026-06-20T00:01", False),
        ("2026-06-25T12:00", "2026-06-26T12:00", False),
    ],
)
def test_a_permit_rests_on_it_by_each_of_its_people(person, how, signed, over, before):
    told = rested(withdrawal(person), [locate("L-1", "2026-06-18T08:00")], [permit("D-1", signed, over)])
    assert [(one.how, one.before) for one in told if one.kind == PERMIT] == [(how, before)]


def test_one_of_the_time_before_the_award_or_after_the_next_one_does_not():
    held = [permit("D-1", "2026-01-08T12:00", "2026-01-10T00:00"), permit("D-2", "2026-06-25T00:00", "2026-06-26T12:00")]
    assert found(withdrawal("P-C", date(2026, 6, 25)), held=held) == []
    assert found(withdrawal("P-C", date(2026, 6, 26)), held=held) == ["D-2"]


def test_an_award_for_other_things_bears_nothing():
    held = [permit("D-1", "2026-06-19T12:00", "2026-06-26T12:00")]
    assert found(withdrawal("P-I", things={"dig"}), [locate("L-1", "2026-06-18T08:00")], held) == []
    assert found(withdrawal("P-O", things={"sonde"}), [locate("L-1", "2026-06-18T08:00")], held) == []


def test_a_locate_of_before_is_needed_while_a_permit_goes_on_upon_it():
    before, needed, later = (locate(f"L-{number}", began) for number, began in enumerate(("2026-06-10T08:00", "2026-06-18T08:00", "2026-06-20T08:00")))
    held = [permit("D-1", "2026-06-19T12:00", "2026-06-22T12:00", locate="L-1"), permit("D-0", "2026-06-11T12:00", "2026-06-12T12:00", locate="L-0")]
    assert found(withdrawal("P-O"), [before, needed, later], held) == ["D-1", "(D-0)", "(L-0)", "L-1", "L-2"]


# plans


def wrong_plan(*right, area=None, dropped=None):
    counts = Span(at("2026-03-01T10:00"), at("2026-03-29T00:00"), "E-1")
    answers = tuple((Span(at(given), at("2026-06-01T00:00")), ground) for given, ground in right)
    return ByPlan("WP-1", "E-1", "S-1", at("2026-03-10T10:00"), counts, dropped and at(dropped), area, answers)


@pytest.mark.parametrize(
    ("began", "rests"),
    [("2026-03-01T09:59", False), ("2026-03-01T10:00", True), ("2026-03-28T23:59", True), ("2026-03-29T00:00", False)],
)
def test_a_locate_rests_on_the_plans_that_were_good_when_it_began(began, rests):
    assert (found(wrong_plan(), [locate("L-1", began)]) == ["L-1"]) is rests


def test_only_of_that_site_and_ground():
    searched = [locate("L-1", "2026-03-05T08:00"), locate("L-2", "2026-03-05T08:00", site="S-2"), locate("L-3", "2026-03-05T08:00", ground=FAR)]
    assert found(wrong_plan(area=GROUND), searched) == ["L-1"]
    assert found(wrong_plan(), searched) == ["L-1", "L-3"]


def test_one_that_began_with_a_right_answer_at_hand_does_not_rest_on_the_wrong_one():
    searched = [locate("L-1", "2026-03-12T08:00"), locate("L-2", "2026-03-14T08:00")]
    assert found(wrong_plan(("2026-03-13T10:00", None)), searched) == ["L-1"]
    assert found(wrong_plan(("2026-03-13T10:00", FAR)), searched) == ["L-1", "L-2"]


def test_a_permit_rests_on_it_by_its_locate_or_where_it_was_signed_or_live_while_it_counted():
    searched = [locate("L-1", "2026-03-05T08:00")]
    held = [
        permit("D-1", "2026-06-05T12:00", "2026-06-06T12:00"),
        permit("D-2", "2026-03-05T12:00", "2026-03-06T12:00", locate="L-0"),
        permit("D-3", "2026-06-05T12:00", "2026-06-06T12:00", locate="L-0"),
        permit("D-4", "2026-03-05T12:00", "2026-03-06T12:00", locate="L-0", site="S-2"),
        permit("D-5", "2026-02-28T12:00", "2026-03-10T10:01", locate="L-0"),
        permit("D-6", "2026-02-28T12:00", "2026-03-10T10:00", locate="L-0"),
    ]
    assert found(wrong_plan(), searched, held) == ["L-1", "D-1", "D-2", "D-5"]
    assert found(wrong_plan(dropped="2026-03-05T12:00"), searched, held) == ["L-1", "D-1"]
    assert found(wrong_plan(dropped="2026-03-05T12:01"), searched, held) == ["L-1", "D-1", "D-2"]


# beside the gate

DAYS = st.integers(0, 12)
CALIBRATED = st.lists(st.tuples(DAYS, st.sampled_from((IN, OUT, UNKNOWN)), st.sampled_from((IN, OUT, UNKNOWN))), max_size=5)
TRIED = st.lists(st.tuples(st.integers(0, 12 * 24), st.sampled_from(("pass", "fail"))), max_size=6)


@given(CALIBRATED, TRIED, st.integers(0, 10 * 24), st.integers(1, 48), st.integers(0, 3 * 24))
def test_every_locate_that_the_gate_calls_back_is_found(calibrations, tried, began, hours, later):
    first = datetime(2026, 3, 1, tzinfo=UTC)
    made = tuple(Calibration(f"K-{number}", date(2026, 3, 1) + timedelta(days=day), None, *how) for number, (day, *how) in enumerate(calibrations))
    checks = tuple(Check(f"B-{number}", "before_use", first + timedelta(hours=when), result) for number, (when, result) in enumerate(tried))
    history = Instrument("R-1", "receiver", calibrations=made, checks=checks)
    begins = first + timedelta(hours=began)
    ends = begins + timedelta(hours=hours)
    now = ends + timedelta(hours=later)
    called_back = recalls(history, local_day(begins, ZONE), ends, now, ZONE)
    searched = [replace(locate("L-1", "2026-03-01T00:00"), began=begins, ended=ends)]
    known = [*by_calibrations(history, local_day(now, ZONE)), *by_checks(history, now)]
    in_doubt = {(one.kind, getattr(one, "unknown", False)) for one in known if found(one, searched)}
    if "recall_unknown" in called_back:
        assert ("calibration", True) in in_doubt
    if "recalled" in called_back:
        assert in_doubt & {("calibration", False), ("check", False)}
