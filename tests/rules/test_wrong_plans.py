"""Owners' answers that were found wrong. The locate of these tables began on 2 March at 08:00; the answer E-2 came in on 24 February at 10:00."""

import pytest
from shapely.geometry import box

from tests.rules.cast import SWEPT
from tests.rules.changes import and_enquiry, found_wrong, together, with_enquiry, with_locate, without_enquiries, without_locate
from tests.rules.table import Row, block, found, judged, said, wanted

wrong = block("plans.wrong", "enquiry:E-2")

AFTER_LOCATE, BEFORE_LOCATE = "2027-03-03T15:00", "2027-02-26T15:00"
WEST, EAST = box(-2, -2, 5, 6), box(5, -2, 12, 6)


def answered_again(answered_at, name="E-3", **changes):
    """Another answer of that owner, which shows nothing here."""
    return and_enquiry(name, "birch power ", **{"answered_at": answered_at, "nothing_shown": True} | changes)


def located(started_at, finished_at):
    return with_locate(started_at=started_at, finished_at=finished_at)


LATE = found_wrong("E-2", AFTER_LOCATE)
EARLY = found_wrong("E-2", BEFORE_LOCATE)
AGAIN = answered_again("2027-02-27T10:00")

ROWS = [
    wrong.fails(LATE, since=AFTER_LOCATE),
    wrong.fails(LATE, since=AFTER_LOCATE, at=AFTER_LOCATE),
    wrong.passes(LATE, at="2027-03-03T14:59:59"),
    wrong.passes(LATE, subject="enquiry:E-1", also=("plans.wrong",)),
    wrong.fails(found_wrong("E-2", AFTER_LOCATE, "2027-03-03T12:00"), since="2027-03-03T12:00"),
    # asked again, but the ground was not searched again since
    wrong.fails(LATE, answered_again("2027-03-03T16:00"), since=AFTER_LOCATE),
    wrong.fails(LATE, answered_again("2027-03-03T16:00", replaces=("E-2",)), since=AFTER_LOCATE),
    # the answer after it was at hand when the locate began
    wrong.passes(EARLY, AGAIN),
    wrong.passes(EARLY, answered_again("2027-03-02T08:00")),
    wrong.fails(EARLY, answered_again("2027-03-02T08:00:01"), since=BEFORE_LOCATE),
    wrong.passes(EARLY, answered_again("2027-02-26T15:00:01")),
    wrong.fails(EARLY, answered_again(BEFORE_LOCATE), since=BEFORE_LOCATE),
    # an answer from before it was found wrong makes nothing good, though it shows the same ground
    wrong.fails(EARLY, answered_again("2027-02-25T10:00"), since=BEFORE_LOCATE),
    # replaced before the locate by one from before it was found wrong: it was at hand all the same
    wrong.fails(LATE, answered_again("2027-02-25T10:00", replaces=("E-2",)), since=AFTER_LOCATE),
    # that other owners answered is no help
    wrong.fails(EARLY, and_enquiry("E-3", "Cedar Gas", answered_at="2027-02-27T10:00", nothing_shown=True), since=BEFORE_LOCATE),
    # found wrong itself
    wrong.fails(EARLY, AGAIN, found_wrong("E-3", AFTER_LOCATE), since=BEFORE_LOCATE),
    wrong.passes(EARLY, AGAIN, found_wrong("E-3", "2027-03-04T09:00:01")),
    wrong.fails(EARLY, AGAIN, found_wrong("E-3", AFTER_LOCATE), subject="enquiry:E-3", since=AFTER_LOCATE),
    wrong.passes(EARLY, AGAIN, found_wrong("E-3", "2027-02-28T10:00"), answered_again("2027-03-01T10:00", "E-4")),
    # of other ground
    wrong.passes(LATE, with_enquiry("E-2", area=box(500, 500, 510, 510)), also=("plans.other_ground", "plans.after_locate")),
    wrong.passes(EARLY, with_enquiry("E-2", area=WEST), answered_again("2027-02-27T10:00", area=WEST), also=("plans.other_ground",)),
    wrong.fails(EARLY, answered_again("2027-02-27T10:00", area=WEST), since=BEFORE_LOCATE),
    wrong.passes(EARLY, answered_again("2027-02-27T10:00", area=WEST), answered_again("2027-02-28T10:00", "E-4", area=EAST)),
    wrong.fails(EARLY, answered_again("2027-02-27T10:00", area=WEST), answered_again("2027-03-02T09:00", "E-4", area=EAST), since=BEFORE_LOCATE),
    wrong.passes(EARLY, answered_again("2027-02-27T10:00", area=SWEPT.difference(box(2, 1, 2.05, 2)))),
    wrong.fails(EARLY, answered_again("2027-02-27T10:00", area=SWEPT.difference(box(2, 1, 2.06, 2))), since=BEFORE_LOCATE),
    wrong.fails(EARLY, with_enquiry("E-2", area=WEST), answered_again("2027-02-27T10:00", area=EAST), since=BEFORE_LOCATE),
    # the new answer has lapsed, and the wrong one still counts
    wrong.fails(EARLY, answered_again("2027-02-27T10:00", good_through="2027-03-03"), since=BEFORE_LOCATE),
    wrong.passes(EARLY, answered_again("2027-02-27T10:00", good_through="2027-03-03"), answered_again("2027-03-03T16:00", "E-4")),
    # the new answer had lapsed when the locate began
    wrong.fails(EARLY, answered_again("2027-02-27T10:00", good_through="2027-03-01"), answered_again("2027-03-03T16:00", "E-4"), since=BEFORE_LOCATE),
    # it counts no more, and counted no more when the locate began
    wrong.passes(EARLY, with_enquiry("E-2", good_through="2027-03-01"), also=("plans.lapsed", "plans.after_locate")),
    wrong.fails(EARLY, with_enquiry("E-2", good_through="2027-03-02"), also=("plans.lapsed",), since=BEFORE_LOCATE),
    # it came in after the locate began
    wrong.fails(with_enquiry("E-2", answered_at="2027-03-02T09:00"), LATE, also=("plans.after_locate",), since=AFTER_LOCATE),
    wrong.fails(LATE, without_locate(), also=("locate.none",), since=AFTER_LOCATE),
    wrong.passes(LATE, without_locate(), answered_again("2027-03-03T16:00"), also=("locate.none",)),
    wrong.passes(LATE, without_enquiries("E-2"), also=("plans.not_asked",)),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_each_row_of_the_table(row: Row) -> None:
    assert found(row) == wanted(row)


def test_a_locate_made_again_with_the_new_answer_at_hand_lifts_the_block() -> None:
    mended = together(LATE, answered_again("2027-03-03T16:00"))
    assert ("plans.wrong", "enquiry:E-2") in said(judged(mended))
    assert ("plans.wrong", "enquiry:E-2") not in said(judged(mended, located("2027-03-03T17:00", "2027-03-03T18:00")))


@pytest.mark.parametrize(
    ("changes", "remedy"),
    [
        ((LATE,), "Ask Birch Power again; locate again once the answer is there."),
        ((LATE, answered_again("2027-03-03T16:00")), "Locate again with the new plans at hand."),
    ],
)
def test_the_block_says_what_is_wrong_and_what_to_do(changes, remedy) -> None:
    one = said(judged(*changes))["plans.wrong", "enquiry:E-2"]
    assert one.says == "The plans of Birch Power (E-2) were found wrong on 3 Mar 2027 15:00 UTC+13:00: a main is missing 1."
    assert one.remedy == remedy
