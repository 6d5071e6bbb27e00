"""When work was done that a phone sends later, by whatever its clock says."""

from datetime import UTC, datetime, timedelta

import pytest

from locates.fieldwork.rules.phone import happened, instant
from records.rules.text import Unfit

NOW = datetime(2027, 3, 3, 19, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("recorded", "sent", "then"),
    [
        ("2027-03-03T19:30:00.000Z", "2027-03-03T19:30:00.000Z", NOW),
        ("2027-03-03T17:00:00.000Z", "2027-03-03T19:30:00.000Z", NOW - timedelta(hours=2, minutes=30)),
        # a clock that is wrong, by however much, is wrong by as much when it sends
        ("2027-03-03T20:00:00.000Z", "2027-03-03T20:45:00.000Z", NOW - timedelta(minutes=45)),
        ("2019-01-01T00:00:00.000Z", "2019-01-01T00:00:10.000Z", NOW - timedelta(seconds=10)),
        ("2027-03-04T08:30:00+13:00", "2027-03-03T19:31:00Z", NOW - timedelta(minutes=1)),
        ("2027-02-24T19:30:00Z", "2027-03-03T19:30:00Z", NOW - timedelta(days=7)),
        ("2027-03-03T19:31:59Z", "2027-03-03T19:30:00Z", NOW),
        ("2027-03-03T19:29:58.400Z", "2027-03-03T19:30:00Z", NOW - timedelta(seconds=2)),
    ],
)
def test_the_instant_is_put_right_by_how_far_the_phones_clock_is_off(recorded, sent, then):
    assert happened(recorded, sent, NOW) == then


@pytest.mark.parametrize(
    ("recorded", "sent", "says"),
    [
        ("2027-03-03T19:33:00Z", "2027-03-03T19:30:00Z", "was set back by 3 minutes after this was recorded"),
        ("2027-02-24T19:29:59Z", "2027-03-03T19:30:00Z", "recorded 7 days ago, and waited on this phone for longer than 7"),
        ("yesterday", "2027-03-03T19:30:00Z", "is not an instant"),
        ("2027-03-03T19:30:00", "2027-03-03T19:30:00Z", "has no offset"),
        ("", "", "is not an instant"),
    ],
)
def test_what_no_phone_can_know_is_refused_in_words(recorded, sent, says):
    with pytest.raises(Unfit, match=says):
        happened(recorded, sent, NOW)


def test_an_instant_keeps_its_offset():
    assert instant("2027-03-04T08:30:00+13:00") == NOW
