"""The owners' plans: asked, answered, still good, for this ground, before the locate, and entered."""

import pytest
from shapely.geometry import box

from tests.rules.cast import OUTLINE, SWEPT
from tests.rules.changes import and_enquiry, services, together, with_enquiry, with_locate, with_permit, with_rule, with_site, without_enquiries, without_locate
from tests.rules.table import Row, block, found, wanted

none = block("plans.none", "permit")
not_asked = block("plans.not_asked", "owner:Birch Power")
unanswered = block("plans.unanswered", "enquiry:E-2")
lapsed = block("plans.lapsed", "enquiry:E-2")
other_ground = block("plans.other_ground", "enquiry:E-2")
after_locate = block("plans.after_locate", "enquiry:E-2")
not_entered = block("plans.not_entered", "enquiry:E-1")

NOT_ASKED = ("plans.not_asked",)
LATE = {"answered_at": "2027-03-03T10:00", "nothing_shown": True}
ANSWERED = {"answered_at": "2027-02-25T10:00", "nothing_shown": True}
FAR = box(500, 500, 510, 510)


def open_still(name, **changes):
    """The enquiry as it was before any answer."""
    return with_enquiry(name, answered_at=None, services=(), **changes)


def lacking(area_m2):
    """Ground that covers what is needed but for so much in the middle."""
    return SWEPT.difference(box(2, 1, 2 + area_m2, 2))


def tiny(width_m):
    """A dig of 0.2 m by 0.2 m without margin, and the owner's plans from the left up to there; nothing of it is shown."""
    dig = with_permit(outline=box(0, 0, 0.2, 0.2)), with_rule("sweep_margin_m", "0"), with_enquiry("E-1", services=(), nothing_shown=True)
    return together(*dig, with_enquiry("E-2", area=box(0, 0, width_m, 0.2), services=(), nothing_shown=True))


ROWS = [
    none.fails(without_enquiries(), also=NOT_ASKED),
    none.passes(without_enquiries("E-1"), also=NOT_ASKED),
    none.fails(without_enquiries("E-1"), with_enquiry("E-2", sent_on="2027-03-05"), also=NOT_ASKED),
    none.fails(without_enquiries("E-1"), open_still("E-2", closed_on="2027-03-04"), with_site(owners_to_ask=())),
    none.passes(without_enquiries("E-1"), open_still("E-2", closed_on="2027-03-05"), with_site(owners_to_ask=()), also=("plans.unanswered",)),
    not_asked.fails(without_enquiries("E-2")),
    not_asked.passes(without_enquiries("E-2"), with_site(owners_to_ask=("Alder Water",))),
    not_asked.passes(with_enquiry("E-2", service_owner="\u00a0 bIRCH pOWER ")),
    not_asked.fails(with_enquiry("E-2", service_owner="BirchPower")),
    not_asked.passes(with_site(owners_to_ask=("Straße",)), with_enquiry("E-2", service_owner="STRASSE"), subject="owner:Straße"),
    not_asked.passes(with_site(owners_to_ask=("E\u0301lan",)), with_enquiry("E-2", service_owner="\u00e9lan"), subject="owner:E\u0301lan"),
    not_asked.fails(with_site(owners_to_ask=("BIRCH Gas",)), subject="owner:BIRCH Gas"),
    not_asked.fails(open_still("E-2", closed_on="2027-03-04")),
    not_asked.passes(open_still("E-2", closed_on="2027-03-05"), also=("plans.unanswered",)),
    not_asked.fails(with_enquiry("E-2", sent_on="2027-03-05"), at="2027-03-04T23:59:59"),
    not_asked.passes(with_enquiry("E-2", sent_on="2027-03-05"), at="2027-03-05T00:00"),
    not_asked.fails(with_enquiry("E-2", sent_on="2018-11-04"), at="2018-11-03T23:59:59", day="2018-11-03", zone="America/Sao_Paulo"),
    not_asked.passes(with_enquiry("E-2", sent_on="2018-11-04"), at="2018-11-04T01:00", day="2018-11-03", zone="America/Sao_Paulo"),
    not_asked.fails(and_enquiry("E-3", "Cedar Gas", replaces=("E-2",), **ANSWERED)),
    not_asked.passes(and_enquiry("E-3", "Cedar Gas", replaces=("E-2",)), also=("plans.unanswered",)),
    unanswered.fails(open_still("E-2")),
    unanswered.fails(with_enquiry("E-2", answered_at="2027-03-04T09:00:01")),
    unanswered.passes(with_enquiry("E-2", answered_at="2027-03-04T09:00"), also=("plans.after_locate",)),
    unanswered.passes(and_enquiry("E-3", "Birch Power"), subject="enquiry:E-3"),
    unanswered.passes(and_enquiry("E-3", "Birch Power")),
    unanswered.fails(open_still("E-2"), and_enquiry("E-10", "BIRCH power", sent_on="2027-02-23"), subject="enquiry:E-10"),
    unanswered.passes(open_still("E-2"), and_enquiry("E-10", "BIRCH power", sent_on="2027-02-23"), also=("plans.unanswered",)),
    unanswered.fails(open_still("E-2"), and_enquiry("E-10", "Birch Power")),
    unanswered.passes(open_still("E-2", sent_on="2027-02-24"), and_enquiry("E-3", "Birch Power", replaces=("E-2",), **ANSWERED)),
    # an answer is good through the day it was given + plan_valid_days, or through the owner's own date
    lapsed.fails(with_enquiry("E-2", good_through="2027-03-03"), since="2027-03-04T00:00", at="2027-03-04T00:00"),
    lapsed.passes(with_enquiry("E-2", good_through="2027-03-03"), at="2027-03-03T23:59:59", also=("window.outlasts_evidence",)),
    lapsed.passes(with_enquiry("E-2", good_through="2027-03-04"), at="2027-03-04T23:59:59", also=("window.outlasts_evidence",)),
    lapsed.fails(with_rule("plan_valid_days", "7"), with_enquiry("E-1", good_through="2027-04-01"), since="2027-03-04T00:00"),
    lapsed.passes(with_rule("plan_valid_days", "8"), with_enquiry("E-1", good_through="2027-04-01"), also=("window.outlasts_evidence",)),
    lapsed.passes(with_enquiry("E-2", good_through="2027-03-03"), and_enquiry("E-3", "Birch Power", **ANSWERED)),
    lapsed.fails(
        with_enquiry("E-2", good_through="2027-03-03"),
        and_enquiry("E-1a", "Birch Power", good_through="2027-03-02", **ANSWERED),
        subject="enquiry:E-1a",
        since="2027-03-04T00:00",
    ),
    # 28 days from 1 February: the 29th in a leap year, 1 March in another
    lapsed.fails(with_enquiry("E-2", answered_at="2028-02-01T23:30"), day="2028-03-01", at="2028-03-01T00:00", since="2028-03-01T00:00"),
    lapsed.passes(with_enquiry("E-2", answered_at="2028-02-01T23:30"), day="2028-02-29", at="2028-02-29T23:59:59", also=("window.outlasts_evidence",)),
    lapsed.fails(with_enquiry("E-2", answered_at="2027-02-01T23:30"), day="2027-03-02", at="2027-03-02T00:00", since="2027-03-02T00:00"),
    lapsed.passes(with_enquiry("E-2", answered_at="2027-02-01T23:30"), day="2027-03-01", at="2027-03-01T23:59:59", also=("window.outlasts_evidence",)),
    # the end of the day before a day that Samoa skipped
    lapsed.fails(with_enquiry("E-2", good_through="2011-12-29"), zone="Pacific/Apia", day="2011-12-31", at="2011-12-30T10:00Z", since="2011-12-30T10:00Z"),
    lapsed.fails(with_enquiry("E-2", good_through="2011-12-30"), zone="Pacific/Apia", day="2011-12-31", since="2011-12-30T10:00Z"),
    lapsed.passes(
        with_enquiry("E-2", good_through="2011-12-29"), zone="Pacific/Apia", day="2011-12-29", at="2011-12-30T09:59:59Z", also=("window.outlasts_evidence",)
    ),
    other_ground.passes(with_enquiry("E-2", area=lacking(0.05))),
    other_ground.fails(with_enquiry("E-2", area=lacking(0.050001))),
    other_ground.passes(with_enquiry("E-2", area=lacking(0.0500004))),
    other_ground.fails(with_enquiry("E-2", area=OUTLINE)),
    other_ground.passes(with_enquiry("E-2", area=OUTLINE), with_rule("sweep_margin_m", "0")),
    other_ground.passes(tiny(0.18)),
    other_ground.fails(tiny(0.179995)),
    other_ground.passes(with_enquiry("E-2", area=box(-2, -2, 5, 6)), and_enquiry("E-3", "Birch Power", area=box(5, -2, 12, 6), **ANSWERED)),
    other_ground.fails(
        with_enquiry("E-2", area=box(-2, -2, 5, 6)), and_enquiry("E-3", "Birch Power", area=box(5.1, -2, 12, 6), **ANSWERED), subject="enquiry:E-3"
    ),
    other_ground.passes(with_enquiry("E-2", area=box(-2, -2, 5, 6)), and_enquiry("E-3", "Birch Power", **ANSWERED)),
    other_ground.fails(
        with_enquiry("E-2", area=box(-2, -2, 5, 6)),
        and_enquiry("E-3", "Birch Power", good_through="2027-03-03", **ANSWERED),
        subject="enquiry:E-3",
    ),
    other_ground.passes(with_enquiry("E-2", area=OUTLINE, good_through="2027-03-03"), also=("plans.lapsed",)),
    after_locate.passes(with_enquiry("E-2", answered_at="2027-03-02T08:00")),
    after_locate.fails(with_enquiry("E-2", answered_at="2027-03-02T08:00:01")),
    after_locate.passes(with_enquiry("E-2", answered_at="2027-03-02T08:00:01"), without_locate(), also=("locate.none",)),
    after_locate.passes(with_enquiry("E-2", answered_at="2027-03-03T10:00"), and_enquiry("E-0", "Birch Power", **ANSWERED)),
    after_locate.fails(
        with_enquiry("E-2", good_through="2027-03-01"),
        and_enquiry("E-3", "Birch Power", **LATE),
        subject="enquiry:E-3",
    ),
    after_locate.passes(
        with_enquiry("E-2", good_through="2027-03-02"),
        and_enquiry("E-3", "Birch Power", **LATE),
        subject="enquiry:E-3",
    ),
    # plans since replaced were at hand then
    after_locate.passes(and_enquiry("E-3", "BIRCH POWER", replaces=("E-2",), **LATE), subject="enquiry:E-3"),
    after_locate.fails(
        with_enquiry("E-2", area=box(11.001, 0, 20, 4)),
        and_enquiry("E-3", "Birch Power", **LATE),
        subject="enquiry:E-3",
    ),
    after_locate.passes(
        with_enquiry("E-2", area=box(11, 0, 20, 4)),
        and_enquiry("E-3", "Birch Power", **LATE),
        subject="enquiry:E-3",
    ),
    after_locate.fails(
        with_locate(started_at="2027-03-04T10:00", finished_at=None),
        with_enquiry("E-2", good_through="2027-03-03"),
        also=("plans.lapsed", "locate.unfinished"),
    ),
    not_entered.fails(with_enquiry("E-1", services=())),
    not_entered.passes(with_enquiry("E-1", services=(), nothing_shown=True)),
    not_entered.passes(with_enquiry("E-1", services=services("E-1", "SV-1"))),
    not_entered.passes(with_enquiry("E-1", services=(), area=FAR), also=("plans.other_ground", "plans.after_locate")),
    not_entered.passes(with_enquiry("E-1", services=(), good_through="2027-03-03"), also=("plans.lapsed",)),
    not_entered.fails(and_enquiry("E-3", "Cedar Gas", answered_at="2027-02-25T10:00"), subject="enquiry:E-3"),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_every_owner_s_plans_are_asked_for_answered_and_good(row: Row) -> None:
    assert found(row) == wanted(row)
