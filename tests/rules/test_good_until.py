"""Until when a sign-off would hold, and by what it is limited."""

import pytest
from shapely.geometry import box

from tests.rules.cast import instant
from tests.rules.changes import (
    Change,
    and_agreement,
    and_award,
    and_enquiry,
    and_need,
    with_award,
    with_calibration,
    with_enquiry,
    with_instrument,
    with_locate,
    with_permit,
    with_person,
    with_roles,
    with_rule,
    without_enquiries,
    without_locate,
)
from tests.rules.table import judged


def agreement(name: str = "AG-1", **changes: str) -> Change:
    return and_agreement(name, "Birch Power", "consult", **{"good_through": "2027-03-05"} | changes)


BY_PERMIT = ("2027-03-11T07:00", "permit")
ON_THE_SIXTH = "2027-03-06T00:00"
DIG = "person:C-1/dig"
SIXTH = {"good_through": "2027-03-05"}
NEW = {"answered_at": "2027-02-25T10:00", "nothing_shown": True}


def expires(person: str, day: str = "2027-03-05") -> Change:
    return with_award(person, expires_on=day)


TABLE = [
    ([], *BY_PERMIT),
    ([with_permit(valid_from="2027-03-05T12:34:56")], "2027-03-12T12:34:56", "permit"),
    ([with_rule("permit_max_hours", "1")], "2027-03-04T08:00", "permit"),
    ([without_locate()], *BY_PERMIT),
    # plans: of each owner the latest end of what is good now
    ([with_enquiry("E-2", good_through="2027-03-05")], ON_THE_SIXTH, "enquiry:E-2"),
    ([with_rule("plan_valid_days", "9")], ON_THE_SIXTH, "enquiry:E-1 enquiry:E-2"),
    ([with_rule("plan_valid_days", "9"), with_enquiry("E-1", good_through="2027-03-31")], ON_THE_SIXTH, "enquiry:E-2"),
    ([with_enquiry("E-2", good_through="2027-03-03")], *BY_PERMIT),
    ([with_enquiry("E-2", answered_at=None)], *BY_PERMIT),
    ([with_enquiry("E-2", good_through="2027-03-05"), and_enquiry("E-3", "birch power ", **NEW)], *BY_PERMIT),
    ([with_enquiry("E-2", good_through="2027-03-04"), and_enquiry("E-3", "Birch Power", **SIXTH, **NEW)], ON_THE_SIXTH, "enquiry:E-3"),
    ([with_enquiry("E-2", good_through="2027-03-05"), and_enquiry("E-10", "Birch Power", **SIXTH, **NEW)], ON_THE_SIXTH, "enquiry:E-2"),
    ([with_enquiry("E-2", good_through="2027-03-05"), and_enquiry("E-3", "Birch Power", good_through="2027-03-03", **NEW)], ON_THE_SIXTH, "enquiry:E-2"),
    (
        [with_enquiry("E-2", good_through="2027-03-08"), and_enquiry("E-3", "Birch Power", replaces=("E-2",), **SIXTH, **NEW)],
        ON_THE_SIXTH,
        "enquiry:E-3",
    ),
    ([with_enquiry("E-2", good_through="2027-03-05", area=box(500, 500, 501, 501))], ON_THE_SIXTH, "enquiry:E-2"),
    ([without_enquiries("E-2"), with_enquiry("E-1", good_through="9999-12-31")], *BY_PERMIT),
    ([with_enquiry("E-2", good_through="9999-12-31"), and_enquiry("E-3", "Birch Power", **SIXTH, **NEW)], *BY_PERMIT),
    # the locate
    ([with_rule("locate_valid_days", "3")], ON_THE_SIXTH, "locate:L-1"),
    ([with_rule("locate_valid_days", "1")], *BY_PERMIT),
    ([with_rule("locate_valid_days", "3"), with_locate(finished_at=None)], *BY_PERMIT),
    # the receiver and the crew, not the issuer, the operator or an instrument
    ([expires("C-1")], ON_THE_SIXTH, DIG),
    ([expires("R-1")], ON_THE_SIXTH, "person:R-1/receive_permit"),
    ([expires("R-1"), with_roles(crew=("R-1",))], ON_THE_SIXTH, "person:R-1/dig person:R-1/receive_permit"),
    ([expires("I-1"), expires("O-1"), with_calibration("RX-1", due_on="2027-03-05")], *BY_PERMIT),
    ([expires("C-1", "2027-03-03")], *BY_PERMIT),
    ([with_award("C-1", withdrawn_on="2027-03-06")], ON_THE_SIXTH, DIG),
    ([with_award("C-1", withdrawn_on="2027-03-04")], *BY_PERMIT),
    ([with_person("C-1", left_on="2027-03-05")], ON_THE_SIXTH, DIG),
    ([with_person("C-1", left_on="2027-03-04")], "2027-03-05T00:00", DIG),
    ([with_person("C-1", left_on="2027-03-03")], *BY_PERMIT),
    ([with_person("I-1", left_on="2027-03-05"), with_person("O-1", left_on="2027-03-05")], *BY_PERMIT),
    # unbroken cover: a renewal that has begun counts, one of a later day does not
    ([expires("C-1"), and_award("C-1", "A-2", "2027-03-04", "dig")], *BY_PERMIT),
    ([expires("C-1"), and_award("C-1", "A-2", "2027-03-05", "dig")], ON_THE_SIXTH, DIG),
    ([expires("C-1"), and_award("C-1", "A-2", "2027-03-04", "dig", months=None)], *BY_PERMIT),
    ([expires("C-1", "2027-03-08"), and_award("C-1", "A-2", "2027-03-04", "dig"), with_award("C-1", "A-2", withdrawn_on="2027-03-06")], ON_THE_SIXTH, DIG),
    # a withdrawal that is to come of an award that is to come ends what was before
    ([and_award("C-1", "A-2", "2027-03-05", "dig"), with_award("C-1", "A-2", withdrawn_on="2027-03-06")], ON_THE_SIXTH, DIG),
    # agreements with owners, where a need that stops sign-offs rests on them
    ([and_need(), agreement(), and_agreement("AG-2", "Alder Water", "consult")], ON_THE_SIXTH, "agreement:AG-1"),
    ([and_need(utility="water"), agreement(), and_agreement("AG-2", "Alder Water", "consult")], "2027-03-11T00:00", "agreement:AG-2"),
    ([agreement()], *BY_PERMIT),
    ([and_need(blocks=False), agreement()], *BY_PERMIT),
    ([and_need(utility="electricity")], *BY_PERMIT),
    ([and_need(utility="electricity"), agreement(good_through="2027-03-10", withdrawn_on="2027-03-06")], ON_THE_SIXTH, "agreement:AG-1"),
    ([and_need(utility="electricity"), agreement(), agreement("AG-3")], ON_THE_SIXTH, "agreement:AG-3"),
    ([and_need(utility="electricity"), agreement(), agreement("AG-3", good_from="2027-03-06", good_through="2027-03-31")], *BY_PERMIT),
    # all that end at that very instant
    (
        [with_permit(valid_from="2027-02-27T00:00"), with_rule("plan_valid_days", "9"), with_rule("locate_valid_days", "3"), expires("C-2"), expires("R-1")],
        ON_THE_SIXTH,
        "enquiry:E-1 enquiry:E-2 locate:L-1 permit person:C-2/dig person:R-1/receive_permit",
    ),
    ([with_permit(valid_from="2027-02-27T00:00:01"), expires("C-2")], ON_THE_SIXTH, "person:C-2/dig"),
    ([with_permit(valid_from="2027-02-26T23:59:59"), expires("C-2")], "2027-03-05T23:59:59", "permit"),
]


@pytest.mark.parametrize(("changes", "until", "limited_by"), TABLE)
def test_a_sign_off_holds_until_the_first_of_what_it_rests_on_ends(changes: list[Change], until: str, limited_by: str) -> None:
    verdict = judged(*changes)
    assert (verdict.good_until, verdict.limited_by) == (instant(until, verdict.zone), tuple(limited_by.split(" ")))


# where a day ends that the clocks change on, and one that is skipped
ENDS = [
    ("Pacific/Auckland", "2027-04-04", "2027-04-04", "2027-04-04T12:00Z"),
    ("Pacific/Auckland", "2027-09-26", "2027-09-26", "2027-09-26T11:00Z"),
    ("Pacific/Honolulu", "2027-03-04", "2027-03-04", "2027-03-05T10:00Z"),
    ("Pacific/Apia", "2011-12-29", "2011-12-29", "2011-12-30T10:00Z"),
    ("Pacific/Apia", "2011-12-29", "2011-12-30", "2011-12-30T10:00Z"),
    ("America/Sao_Paulo", "2018-11-03", "2018-11-03", "2018-11-04T03:00Z"),
    ("America/Sao_Paulo", "2018-11-03", "2018-11-04", "2018-11-05T02:00Z"),
    ("Australia/Lord_Howe", "2027-04-04", "2027-04-04", "2027-04-04T13:30Z"),
    ("America/New_York", "2027-03-14", "2027-03-14", "2027-03-15T04:00Z"),
    ("America/New_York", "2027-11-07", "2027-11-07", "2027-11-08T05:00Z"),
    ("Europe/London", "2027-03-28", "2027-03-28", "2027-03-28T23:00Z"),
    ("America/Toronto", "1919-03-30", "1919-03-30", "1919-03-31T04:30Z"),
    ("Pacific/Auckland", "2028-02-28", "2028-02-29", "2028-02-29T11:00Z"),
]


@pytest.mark.parametrize(("zone", "day", "through", "until"), ENDS)
def test_what_is_good_through_a_day_ends_with_that_day_there(zone: str, day: str, through: str, until: str) -> None:
    verdict = judged(with_enquiry("E-2", good_through=through), zone=zone, day=day)
    assert (verdict.good_until, verdict.limited_by) == (instant(until, verdict.zone), ("enquiry:E-2",))


def test_at_the_end_of_the_calendar_what_would_end_later_never_ends() -> None:
    years = with_rule("locate_valid_days", "366"), with_rule("plan_valid_days", "366"), with_instrument("RX-1", self_test_days=3660)
    verdict = judged(*years, day="9999-01-02")
    assert (verdict.good_until, verdict.limited_by) == (instant("9999-01-09T07:00", verdict.zone), ("permit",))
    assert (verdict.clear, [one.code for one in verdict.cautions if one.code == "due.soon"]) == (True, [])
