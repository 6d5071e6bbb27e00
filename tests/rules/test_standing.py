"""The time bars lay out the same evidence as the gate judges."""

import pytest
from shapely.geometry import Polygon, box

from locates.permits.rules.standing import Standing, standing
from tests.rules.cast import instant
from tests.rules.changes import (
    Change,
    and_agreement,
    and_award,
    and_calibration,
    and_check,
    and_enquiry,
    and_need,
    found_wrong,
    with_award,
    with_calibration,
    with_check,
    with_enquiry,
    with_instrument,
    with_locate,
    with_rule,
    without_enquiries,
    without_locate,
)
from tests.rules.table import About, Row
from tests.rules.test_codes import ROWS

# a bar that does not stand now, and the blocks of which one is then said of it
THEN = {
    "locate": {"locate.none", "locate.unfinished", "locate.lapsed"},
    "award": {f"{role}.{how}" for role in ("operator", "issuer", "receiver", "crew") for how in ("never", "not_begun", "lapsed", "withdrawn")},
    "calibration": {f"instrument.{how}" for how in ("none", "not_yet_calibrated", "calibration_failed", "calibration_lapsed")},
    "self_test": {"instrument.self_test_lapsed"},
    "agreement": {"owner.not_consulted", "owner.not_attending", "owner.not_isolated"},
    "check": {"instrument.check_failed", "instrument.check_missing"},
}


def bars(row: Row) -> tuple[Standing, ...]:
    return standing(row.evidence, row.at)


def blocked(row: Row, bar: Standing) -> bool:
    subject = "permit" if bar.subject == "locate" else bar.subject
    return any(one.subject == subject and one.code in THEN[bar.group] for one in row.verdict.blocks)


def test_whatever_does_not_stand_now_is_blocked() -> None:
    fallen = [(row, bar) for row in ROWS for bar in bars(row) if not bar.good and bar.group != "plans"]
    assert {bar.group for _, bar in fallen} == set(THEN)
    assert [(str(row), bar) for row, bar in fallen if not blocked(row, bar)] == []


def test_what_is_judged_at_this_instant_alone_is_blocked_only_where_it_does_not_stand() -> None:
    asked = {"issue_permit", "receive_permit", "dig"}
    upright = [(row, bar) for row in ROWS for bar in bars(row) if bar.good and (bar.group == "locate" or bar.subject.split("/")[-1] in asked)]
    assert len(upright) > 1000
    assert [(str(row), bar) for row, bar in upright if blocked(row, bar)] == []


def test_an_owner_s_plans_that_have_lapsed_stand_no_more() -> None:
    lapsed = [(row, one.subject) for row in ROWS for one in row.verdict.blocks if one.code in ("plans.lapsed", "plans.unanswered")]
    found = [[bar.good for bar in bars(row) if bar.subject == subject] for row, subject in lapsed]
    assert (len(found) > 10, any(map(any, found))) == (True, False)


DIG, RX, AGREED, POWER = "person:C-1/dig", "instrument:RX-1", "agreement:AG-1", "Birch Power"

# changes, the bar, from when until when (none: there is no such evidence, or no end), and whether it stands
BARS = [
    ([], "plans", "enquiry:E-2", "2027-02-24T10:00", "2027-03-25T00:00", True),
    ([with_enquiry("E-2", good_through="2027-03-03")], "plans", "enquiry:E-2", "2027-02-24T10:00", "2027-03-04T00:00", False),
    ([with_enquiry("E-2", answered_at=None)], "plans", "enquiry:E-2", None, None, False),
    ([found_wrong("E-2", "2027-03-03T15:00")], "plans", "enquiry:E-2", "2027-02-24T10:00", "2027-03-03T15:00", False),
    ([found_wrong("E-2", "2027-03-04T09:00:01")], "plans", "enquiry:E-2", "2027-02-24T10:00", "2027-03-25T00:00", True),
    (
        [with_enquiry("E-2", good_through="2027-03-02"), found_wrong("E-2", "2027-03-03T15:00")],
        "plans",
        "enquiry:E-2",
        "2027-02-24T10:00",
        "2027-03-03T00:00",
        False,
    ),
    ([], "locate", "locate:L-1", "2027-03-02T11:00", "2027-03-17T00:00", True),
    ([with_locate(finished_at=None)], "locate", "locate:L-1", None, None, False),
    ([], "award", DIG, "2025-06-30T00:00", "2028-07-01T00:00", True),
    ([with_award("C-1", valid_months=None)], "award", DIG, "2025-06-30T00:00", None, True),
    ([with_award("C-1", withdrawn_on="2027-03-04")], "award", DIG, "2025-06-30T00:00", "2027-03-04T00:00", False),
    ([with_award("C-1", awarded_on="2027-03-05")], "award", DIG, None, None, False),
    ([with_award("C-1", expires_on="2027-03-10"), and_award("C-1", "A-2", "2027-03-01", "dig")], "award", DIG, "2027-03-01T00:00", "2030-03-02T00:00", True),
    ([with_award("C-1", expires_on="2027-01-10"), and_award("C-1", "A-2", "2022-01-01", "dig")], "award", DIG, "2025-06-30T00:00", "2027-01-11T00:00", False),
    ([], "calibration", RX, "2026-10-01T00:00", "2027-10-02T00:00", True),
    ([and_calibration("RX-1", "K-2", "2027-03-03")], "calibration", RX, "2027-03-03T00:00", "2028-03-04T00:00", True),
    ([with_calibration("RX-1", due_on="2027-03-03")], "calibration", RX, "2026-10-01T00:00", "2027-03-04T00:00", False),
    ([], "self_test", RX, "2027-03-01T08:00", "2027-05-31T00:00", True),
    ([with_check("RX-1", "H-RX-1-self", result="fail")], "self_test", RX, None, None, False),
    ([], "check", RX, "2027-03-02T07:30", "2027-03-02T19:30", True),
    ([and_check("RX-1", "H-2", "2027-03-02T07:45", "fail")], "check", RX, "2027-03-02T07:45", "2027-03-02T19:45", False),
    ([and_check("RX-1", "H-2", "2027-03-02T08:00:01", "pass")], "check", RX, "2027-03-02T07:30", "2027-03-02T19:30", True),
    ([with_rule("check_valid_hours", "1"), with_locate(started_at="2027-03-02T08:30")], "check", RX, "2027-03-02T07:30", "2027-03-02T08:30", True),
    ([with_rule("check_valid_hours", "1"), with_locate(started_at="2027-03-02T08:31")], "check", RX, "2027-03-02T07:30", "2027-03-02T08:30", False),
    ([with_check("RX-1", "H-RX-1", kind="self_test")], "check", RX, None, None, False),
    ([and_need(), and_agreement("AG-1", POWER, "consult")], "agreement", AGREED, "2027-03-02T00:00", "2027-03-11T00:00", True),
    ([and_need(), and_agreement("AG-1", POWER, "consult", withdrawn_on="2027-03-06")], "agreement", AGREED, "2027-03-02T00:00", "2027-03-06T00:00", True),
    ([and_need(), and_agreement("AG-1", POWER, "consult", good_from="2027-02-20")], "agreement", AGREED, "2027-03-01T10:00", "2027-03-11T00:00", True),
    ([and_need()], "agreement", "trace:T-2", None, None, False),
]


@pytest.mark.parametrize(("changes", "group", "subject", "begins", "ends", "good"), BARS)
def test_a_bar_runs_from_when_until_when(changes: list[Change], group: str, subject: str, begins: str | None, ends: str | None, good: bool) -> None:
    row = About("", subject).passes(*changes)
    (bar,) = [bar for bar in bars(row) if (bar.group, bar.subject) == (group, subject)]
    wanted = [None if text is None else instant(text, row.evidence.site.zone) for text in (begins, ends)]
    assert ([bar.begins, bar.ends], bar.good) == (wanted, good)


def groups(*changes: Change) -> dict[str, int]:
    made = [bar.group for bar in bars(About("", "").passes(*changes))]
    return {group: made.count(group) for group in dict.fromkeys(made)}


def test_there_is_a_bar_for_each_piece_of_evidence() -> None:
    assert groups() == {"plans": 2, "locate": 1, "award": 8, "calibration": 3, "self_test": 3, "check": 3}


def test_what_needs_none_has_no_bar() -> None:
    assert groups(without_locate()) == {"plans": 2, "locate": 1, "award": 4}
    assert groups(with_instrument("RX-1", calibration_months=None, self_test_days=None))["calibration"] == 2
    assert groups(with_locate(started_at="2027-03-04T09:00:01", finished_at=None)) == {"plans": 2, "locate": 1, "award": 4}


AWAY = box(500, 500, 510, 510)


@pytest.mark.parametrize(("area", "good_through", "count"), [(None, "2027-03-10", 3), (AWAY, "2027-03-10", 2), (AWAY, "2027-03-31", 3)])
def test_of_an_owner_s_answers_those_for_this_ground_and_the_one_that_ends_last_have_bars(area: Polygon | None, good_through: str, count: int) -> None:
    more = and_enquiry("E-3", "Birch Power", answered_at="2027-02-25T10:00", nothing_shown=True, area=area, good_through=good_through)
    assert groups(more)["plans"] == count


def empty(*changes: Change) -> list[tuple[str, str]]:
    return [(bar.label, bar.detail) for bar in bars(About("", "").passes(*changes)) if bar.begins is None]


def test_what_is_missing_has_an_empty_bar() -> None:
    assert empty(without_locate()) == [("Locate", "the permit names none")]
    assert empty(without_enquiries("E-2")) == [("Plans: Birch Power", "not asked")]
    assert empty(with_locate(transmitter=None)) == [("Transmitter", "needed, and none is named")]


def test_an_answer_that_was_found_wrong_says_since_when() -> None:
    bar = next(bar for bar in bars(About("", "").passes(found_wrong("E-2", "2027-03-03T15:00"))) if bar.subject == "enquiry:E-2")
    assert bar.detail.endswith(", found wrong 3 Mar 2027 15:00 UTC+13:00")


def test_an_answer_for_other_ground_says_so() -> None:
    more = and_enquiry("E-3", "Birch Power", answered_at="2027-02-25T10:00", nothing_shown=True, area=AWAY, good_through="2027-03-31")
    plans = [bar for bar in bars(About("", "").passes(more)) if bar.group == "plans"]
    assert [bar.subject for bar in plans if bar.detail.endswith(", for other ground")] == ["enquiry:E-3"]
